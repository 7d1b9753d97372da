"""One visit of a shaft in figures: how bent it came in and how true it left."""

from __future__ import annotations

from dataclasses import dataclass

from core.book import sweeps
from core.book.file import Book
from core.book.records import Sweep
from core.errors import ShaftlogError


@dataclass(frozen=True)
class VisitFigures:
    """Greatest TIR along the shaft in the first and the last full sweep, inches; None = none."""

    came_in: float | None
    left_in: float | None


def figures_of(book: Book, job_id: str) -> VisitFigures:
    """Work out the first and the last full sweep of a job (some milliseconds each)."""
    full = [s for s in sweeps.sweeps_of(book, job_id) if _is_full(s)]
    if not full:
        return VisitFigures(None, None)
    came = worst_tir_in(book, full[0])
    return VisitFigures(came, worst_tir_in(book, full[-1]) if len(full) > 1 else None)


def _is_full(sweep: Sweep) -> bool:
    return sweep.purpose != "quick check" and sweep.finished_at is not None


def worst_tir_in(book: Book, sweep: Sweep) -> float | None:
    """Greatest TIR of a sweep, inches; None when its readings cannot be worked out."""
    from core.dial.sweep_fit import fit_sweep

    try:
        fit = fit_sweep(sweeps.readings_for_core(book, sweep.id), strict=False)
    except ShaftlogError:
        return None
    return float(fit.line.tir_in.max())
