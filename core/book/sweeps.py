"""Sweeps: what was set up, on which rollers, with which dial."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Any

from core.base.records import Job, QuickCheck, Sweep
from core.base.units import format_station
from core.book import rows
from core.book.audit import change
from core.book.connection import Book
from core.book.errors import Refused


def start_sweep(
    book: Book,
    *,
    job_id: str,
    purpose: str,
    roller_a_in: float,
    roller_b_in: float,
    stations_in: Sequence[float],
    marks_deg: Sequence[float],
    direction: int = 1,
    resolution_in: float = 0.0005,
    repeatability_in: float | None = None,
    dial_turn_in: float = 0.100,
    gauge: str = "",
    measured_by: str = "",
    closing: bool = False,
) -> Sweep:
    """A new sweep of a job. Empty `marks_deg` = the quick way (TIR and high spot)."""
    if roller_a_in == roller_b_in:
        raise Refused(
            f"Both rollers stand at {format_station(roller_a_in)}. Give two different stations for "
            "them."
        )
    new = Sweep(
        book.new_id(),
        job_id,
        purpose,
        book.now(),
        None,
        float(roller_a_in),
        float(roller_b_in),
        direction,
        tuple(float(mark) for mark in marks_deg),
        resolution_in,
        repeatability_in,
        dial_turn_in,
        gauge,
        measured_by or book.by,
        tuple(float(station) for station in stations_in),
        closing,
    )
    rows.insert(book, new)
    return sweep(book, new.id)


def start_like(
    book: Book, like: Sweep, stations_in: Sequence[float], *, closing: bool = False
) -> Sweep:
    """A new quick check set up as another sweep; only the stations are its own."""
    new = replace(
        like,
        id=book.new_id(),
        purpose="quick check",
        started_at=book.now(),
        finished_at=None,
        stations_in=tuple(float(station) for station in stations_in),
        closing=closing,
    )
    rows.insert(book, new)
    return new


def sweep(book: Book, sweep_id: str) -> Sweep:
    """The sweep with this id."""
    return rows.get(book, Sweep, sweep_id)


def sweeps_of(book: Book, job_id: str) -> tuple[Sweep, ...]:
    """The sweeps of a job, oldest first."""
    return rows.select(book, Sweep, "job_id = ? ORDER BY started_at, id", (job_id,))


def last_sweep(book: Book, job_id: str, *purposes: str) -> Sweep | None:
    """The newest sweep of a job, of one of these purposes if any are named."""
    found = [s for s in sweeps_of(book, job_id) if not purposes or s.purpose in purposes]
    return found[-1] if found else None


def rollers_of(book: Book, job: Job) -> tuple[float, float] | None:
    """Stations of the two roller pairs: of the newest sweep, else as the intake names them."""
    last = last_sweep(book, job.id)
    if last is not None:
        return last.roller_a_in, last.roller_b_in
    if job.roller_a_in is None or job.roller_b_in is None:
        return None
    return job.roller_a_in, job.roller_b_in


def change_sweep(book: Book, sweep_id: str, **changes: Any) -> Sweep:
    """Change fields by name (stations, rollers, direction, gauge, ...); readings stay."""
    return change(book, Sweep, sweep_id, changes)


def finish_sweep(book: Book, sweep_id: str) -> Sweep:
    """Mark a sweep as finished; reading on is still possible."""
    return change(book, Sweep, sweep_id, {"finished_at": book.now()})


def reopen_sweep(book: Book, sweep_id: str) -> Sweep:
    """Take `finish_sweep` back."""
    return change(book, Sweep, sweep_id, {"finished_at": None})


def add_quick_check(book: Book, *, job_id: str, round_no: int, sweep_id: str) -> QuickCheck:
    """Say that a sweep is the quick check after a round of hits."""
    new = QuickCheck(book.new_id(), job_id, round_no, sweep_id)
    rows.insert(book, new)
    return new


def quick_checks_of(book: Book, job_id: str) -> tuple[QuickCheck, ...]:
    """The quick checks of a job, oldest first."""
    return rows.select(book, QuickCheck, "job_id = ? ORDER BY id", (job_id,))
