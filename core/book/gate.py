"""The gate before every entry on a job: a closed job takes none until it is opened again.

`core.book.rows.insert` and `core.book.audit.change` ask here, so that no screen and no command can
forget to. Taking in another book (`core.book.upkeep.merge`) and saving a damaged one copy rows that
were entered while the job was open; they do not pass here.
"""

from __future__ import annotations

from typing import Any

from core.book.connection import Book
from core.book.errors import ClosedJob

_BY_JOB = "SELECT tag, state, closed_at FROM job WHERE id = ?"
_BY_SWEEP = f"{_BY_JOB[:-1]}(SELECT job_id FROM sweep WHERE sweep.id = ?)"
_GATED = (
    "Sweep",
    "QuickCheck",
    "Hit",
    "HitReading",
    "PenetrantCheck",
    "PenetrantCondition",
    "Measurement",
    "JobChoice",
    "Quote",
    "Release",
)
"""Records with a `job_id` that belong to the work on an open job; notes may be added later."""


def check_record(book: Book, record: Any) -> None:
    """Raise `ClosedJob` when this record belongs to a closed job."""
    name = type(record).__name__
    if name == "Reading":
        _check(book, _BY_SWEEP, record.sweep_id)
    elif name in _GATED:
        _check(book, _BY_JOB, record.job_id)
    elif name == "Job" and record.closed_at is not None:
        _check(book, _BY_JOB, record.id)


def check_job(book: Book, job_id: str) -> None:
    """Raise `ClosedJob` when this job is closed."""
    _check(book, _BY_JOB, job_id)


def check_sweep(book: Book, sweep_id: str) -> None:
    """Raise `ClosedJob` when the job of this sweep is closed."""
    _check(book, _BY_SWEEP, sweep_id)


def _check(book: Book, sql: str, row_id: str) -> None:
    found = book.one(sql, (row_id,))
    if found is not None and found[2] is not None:
        raise ClosedJob(
            f"Job {found[0]} is closed ({found[1]}) and takes no entries. Open it again on its "
            "card, with your name; then enter this."
        )
