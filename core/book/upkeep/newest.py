"""The moment of the newest entry in a book, read off the time-sortable ids (microseconds)."""

from __future__ import annotations

import sqlite3
from datetime import UTC, datetime

_TABLES = (
    "job",
    "note",
    "sweep",
    "reading",
    "hit",
    "hit_reading",
    "penetrant_check",
    "penetrant_condition",
    "measurement",
    "choice",
    "quote",
    "release",
    "event",
)


def newest_entry(con: sqlite3.Connection) -> datetime | None:
    """When the last entry was made; None in an empty book."""
    ids = (con.execute(f"SELECT max(id) FROM {table}").fetchone()[0] for table in _TABLES)
    newest = max((found for found in ids if found), default=None)
    if newest is None:
        return None
    try:
        # The next id must come after it: one millisecond later at the earliest.
        seconds = (int(newest.replace("-", "")[:12], 16) + 1) / 1000
        return datetime.fromtimestamp(seconds, UTC)
    except (ValueError, OverflowError, OSError):
        return None
