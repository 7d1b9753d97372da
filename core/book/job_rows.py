"""Rows of many jobs at once, for the board and the job cards: one query a table.

Moments are as stored (text that sorts by time). Only what is in force: hits not undone, readings
and figures not replaced.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from core.base.light_dataclass import dataclass
from core.base.penetrant_records import PenetrantCheck
from core.base.shop_records import NOT_NAMED, Job
from core.book import rows
from core.book.connection import Book
from core.book.penetrant_checks import takes_over

_NOT_EMPTY = (
    "(EXISTS (SELECT 1 FROM reading WHERE reading.sweep_id = sweep.id "
    "AND reading.replaced_by IS NULL AND reading.value_in IS NOT NULL) "
    "OR (finished_at IS NULL AND NOT EXISTS (SELECT 1 FROM sweep AS later "
    "WHERE later.job_id = sweep.job_id AND later.id > sweep.id)))"
)
"""A sweep without one reading counts as not made, unless it is the newest and still open."""


@dataclass(frozen=True)
class OpenJobRow:
    """An open job with the names that stand beside it on the board."""

    job: Job
    customer_name: str
    vessel_name: str
    position: str
    diameter_in: float


@dataclass(frozen=True)
class SweepRow:
    """What a job card needs of a sweep."""

    id: str
    job_id: str
    purpose: str
    started_at: str
    finished_at: str | None


def open_job_rows(book: Book) -> tuple[OpenJobRow, ...]:
    """All open jobs, oldest first."""
    count = len(rows.columns(Job))
    found = book.rows(
        f"SELECT {', '.join('job.' + c for c in rows.columns(Job))}, customer.name, vessel.name, "
        "shaft.position, shaft.diameter_in FROM job JOIN shaft ON shaft.id = job.shaft_id "
        "JOIN vessel ON vessel.id = shaft.vessel_id "
        "JOIN customer ON customer.id = vessel.customer_id "
        "WHERE job.closed_at IS NULL ORDER BY job.opened_at, job.id"
    )
    return tuple(OpenJobRow(rows.from_row(Job, row[:count]), *row[count:]) for row in found)


def not_named(book: Book, job_ids: Sequence[str]) -> dict[str, tuple[str, ...]]:
    """Which of 'customer' and 'vessel' nobody has named yet, by job."""
    found = book.rows(
        "SELECT job.id, customer.name, vessel.name FROM job JOIN shaft ON shaft.id = job.shaft_id "
        "JOIN vessel ON vessel.id = shaft.vessel_id "
        "JOIN customer ON customer.id = vessel.customer_id "
        f"WHERE {_inside(job_ids, 'job.id')} AND ? IN (customer.name, vessel.name)",
        (*job_ids, NOT_NAMED),
    )
    return {
        job_id: tuple(
            what for what, name in (("customer", customer), ("vessel", vessel)) if name == NOT_NAMED
        )
        for job_id, customer, vessel in found
    }


def hit_counts(book: Book, job_ids: Sequence[str]) -> list[tuple[str, int, int, str]]:
    """Of each job with hits: its id, hits, rounds, moment of the last hit."""
    return book.rows(
        "SELECT job_id, count(*), count(DISTINCT round_no), max(at) FROM hit "
        f"WHERE {_inside(job_ids)} AND undone_at IS NULL GROUP BY job_id",
        job_ids,
    )


def sweep_rows(book: Book, job_ids: Sequence[str]) -> tuple[SweepRow, ...]:
    """The sweeps of these jobs, oldest first; without those that count as not made."""
    found = book.rows(
        "SELECT id, job_id, purpose, started_at, finished_at FROM sweep "
        f"WHERE {_inside(job_ids)} AND {_NOT_EMPTY} ORDER BY started_at, id",
        job_ids,
    )
    return tuple(SweepRow(*row) for row in found)


def count_readings(book: Book, sweep_id: str) -> int:
    """Readings in force in a sweep."""
    row = book.one(
        "SELECT count(*) FROM reading WHERE sweep_id = ? AND replaced_by IS NULL", (sweep_id,)
    )
    return int(row[0]) if row else 0


def newest_check_rows(book: Book, job_ids: Sequence[str]) -> tuple[PenetrantCheck, ...]:
    """The penetrant check that counts for each area of these jobs."""
    newest: dict[tuple[str, str], PenetrantCheck] = {}
    for later in rows.select(
        book, PenetrantCheck, f"{_inside(job_ids)} ORDER BY id", tuple(job_ids)
    ):
        old = newest.get((later.job_id, later.area))
        if old is None or takes_over(
            (old.result, old.overrule_by), (later.result, later.penetrant_at)
        ):
            newest[later.job_id, later.area] = later
    return tuple(newest.values())


def decisions(book: Book, job_ids: Sequence[str]) -> dict[str, str]:
    """Kind of the newest quote, by job."""
    return dict(
        book.rows(
            f"SELECT job_id, kind FROM quote WHERE {_inside(job_ids)} ORDER BY at, id", job_ids
        )
    )


@dataclass(frozen=True)
class FigureCount:
    """The figures in force of one subject and set."""

    job_id: str
    subject: str
    set_no: int
    count: int
    first_at: str
    """When the earliest of them was taken."""


def figure_counts(book: Book, job_ids: Sequence[str]) -> tuple[FigureCount, ...]:
    """What was measured on these jobs, by subject and set."""
    found = book.rows(
        "SELECT job_id, subject, set_no, count(*), min(taken_at) FROM measurement "
        f"WHERE {_inside(job_ids)} AND replaced_by IS NULL AND value_in IS NOT NULL "
        "GROUP BY job_id, subject, set_no",
        job_ids,
    )
    return tuple(FigureCount(*row) for row in found)


def _inside(job_ids: Sequence[Any], column: str = "job_id") -> str:
    return f"{column} IN ({', '.join('?' * len(job_ids))})"
