"""The worst TIR of a shaft as it came and as it left, from its stored sweeps."""

from __future__ import annotations

from core.base.errors import ShaftlogError
from core.base.records import Sweep
from core.book.connection import Book
from core.jobs.about_job import TirInOut
from core.jobs.evidence import sweeps_that_count
from core.jobs.sweep.sweep_fits import fit_of
from core.jobs.sweep.sweep_readings import readings_for_core


def tir_in_out(book: Book, job_id: str) -> TirInOut:
    """Inches; as it came = the newest full sweep before the first hit, as it left = the newest
    after the last one (`core.jobs.visits`), if that is another."""
    found = sweeps_that_count(book, job_id)
    left = None if found.leaving is found.start else found.leaving
    return _worst(book, found.start), _worst(book, left)


def _worst(book: Book, sweep: Sweep | None) -> float | None:
    if sweep is None:
        return None
    try:
        return max(fit.tir_in for fit in fit_of(readings_for_core(book, sweep.id)).fits)
    except ShaftlogError:
        return None
