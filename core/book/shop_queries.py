"""Rows for the statistics of the shop: grouped queries over many jobs, all moments of one job.

Moments come as seconds since 1970.
"""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass

from core.base.times import moment
from core.book.connection import Book
from core.book.hits import NOT_UNDONE

_ENTRIES = (
    ("hit", "at"),
    ("sweep", "started_at"),
    ("sweep", "finished_at"),
    ("penetrant_check", "penetrant_at"),
    ("penetrant_check", "wiped_at"),
    ("penetrant_check", "developer_at"),
    ("penetrant_check", "inspected_at"),
    ("measurement", "taken_at"),
    ("note", "at"),
    ("quote", "at"),
)
"""Tables with a job_id and the columns in which they keep moments."""
_OTHER = tuple(pair for pair in _ENTRIES if pair[0] not in ("hit", "sweep"))


@dataclass(frozen=True)
class JobHit:
    """A job with hits."""

    job_id: str
    tag: str
    material: str
    stamp: str
    """Changes whenever a hit is entered or taken back, or a sweep begun or finished."""


@dataclass(frozen=True)
class SweepMoments:
    """When a sweep was read: seconds."""

    full: bool
    """False: a quick check."""
    started_s: float
    finished_s: float | None
    readings_s: tuple[float, ...]


@dataclass(frozen=True)
class JobMoments:
    """Every moment of a job: seconds, any zero."""

    hits_s: tuple[float, ...]
    sweeps: tuple[SweepMoments, ...]
    other_s: tuple[float, ...] = ()
    """Everything else that was entered: penetrant stages, measurements, notes, quotes."""


@dataclass(frozen=True)
class Left:
    """So many jobs closed in one year in one state."""

    year: str
    state: str
    """'released', 'replaced' or 'returned'."""
    with_hits: bool
    jobs: int


def count_jobs_hit(book: Book) -> int:
    """Jobs of the whole book with hits."""
    row = book.one(f"SELECT count(DISTINCT job_id) FROM hit WHERE {NOT_UNDONE}")
    return int(row[0]) if row else 0


def newest_jobs_hit(book: Book, each: int, most: int) -> tuple[JobHit, ...]:
    """The newest jobs with hits: `each` of every material, `most` in all; newest first."""
    found = book.rows(
        "SELECT id, tag, material, opened_at FROM (SELECT job.id, job.tag, shaft.material, "
        "job.opened_at, row_number() OVER "
        "(PARTITION BY shaft.material ORDER BY job.opened_at DESC, job.id DESC) AS place "
        f"FROM (SELECT DISTINCT job_id FROM hit WHERE {NOT_UNDONE}) AS made "
        "JOIN job ON job.id = made.job_id JOIN shaft ON shaft.id = job.shaft_id) "
        "WHERE place <= ? ORDER BY opened_at DESC, id DESC LIMIT ?",
        (each, most),
    )
    return tuple(JobHit(job_id, tag, mat, _stamp(book, job_id)) for job_id, tag, mat, _ in found)


def _stamp(book: Book, job_id: str) -> str:
    row = book.one(
        "SELECT (SELECT count(*) || ' ' || max(at) FROM hit "
        f"WHERE job_id = ?1 AND {NOT_UNDONE}), "
        "(SELECT count(*) || ' ' || count(finished_at) || ' ' "
        "|| max(coalesce(finished_at, started_at)) FROM sweep WHERE job_id = ?1)",
        (job_id,),
    )
    return " ".join(str(part) for part in row or ())


def moments_of(book: Book, job_id: str) -> JobMoments:
    """All moments of one job; times in seconds."""
    hits = book.rows(f"SELECT at FROM hit WHERE job_id = ? AND {NOT_UNDONE} ORDER BY at", (job_id,))
    read: dict[str, list[float]] = defaultdict(list)
    for sweep_id, taken_at in book.rows(
        "SELECT sweep_id, taken_at FROM reading WHERE sweep_id IN "
        "(SELECT id FROM sweep WHERE job_id = ?) ORDER BY taken_at",
        (job_id,),
    ):
        read[sweep_id].append(_seconds(taken_at))
    sweeps = tuple(
        SweepMoments(
            purpose != "quick check",
            _seconds(started_at),
            None if finished_at is None else _seconds(finished_at),
            tuple(read[sweep_id]),
        )
        for sweep_id, purpose, started_at, finished_at in book.rows(
            "SELECT id, purpose, started_at, finished_at FROM sweep WHERE job_id = ? "
            "ORDER BY started_at, id",
            (job_id,),
        )
    )
    parts = [
        f"SELECT {column} AS at FROM {table} WHERE job_id = ?1 AND {column} IS NOT NULL"
        for table, column in _OTHER
    ]
    other = book.rows(" UNION ".join(parts), (job_id,))
    return JobMoments(
        tuple(_seconds(row[0]) for row in hits), sweeps, tuple(_seconds(row[0]) for row in other)
    )


def jobs_that_left(book: Book) -> tuple[Left, ...]:
    """Closed jobs counted by year (UTC), state, and whether they have hits."""
    found = book.rows(
        "SELECT substr(job.closed_at, 1, 4), job.state, made.job_id IS NOT NULL, count(*) "
        f"FROM job LEFT JOIN (SELECT DISTINCT job_id FROM hit WHERE {NOT_UNDONE}) AS made "
        "ON made.job_id = job.id WHERE job.closed_at IS NOT NULL GROUP BY 1, 2, 3"
    )
    return tuple(Left(str(year), str(state), bool(hit), int(n)) for year, state, hit, n in found)


def last_entries(book: Book) -> dict[str, float]:
    """When anything was last entered on each open job, its opening included."""
    parts = [
        f"SELECT t.job_id, max(t.{column}) AS at FROM {table} AS t JOIN job ON job.id = t.job_id "
        f"WHERE job.closed_at IS NULL AND t.{column} IS NOT NULL GROUP BY t.job_id"
        for table, column in _ENTRIES
    ]
    parts += [
        "SELECT id, opened_at FROM job WHERE closed_at IS NULL",
        "SELECT event.subject_id, max(event.at) FROM event JOIN job ON job.id = event.subject_id "
        "WHERE event.subject = 'job' AND job.closed_at IS NULL GROUP BY event.subject_id",
        "SELECT sweep.job_id, max(reading.taken_at) FROM reading "
        "JOIN sweep ON sweep.id = reading.sweep_id JOIN job ON job.id = sweep.job_id "
        "WHERE job.closed_at IS NULL AND sweep.finished_at IS NULL GROUP BY sweep.job_id",
    ]
    found = book.rows(f"SELECT job_id, max(at) FROM ({' UNION ALL '.join(parts)}) GROUP BY job_id")
    return {str(job_id): _seconds(at) for job_id, at in found}


def _seconds(text: str) -> float:
    return moment(text).timestamp()
