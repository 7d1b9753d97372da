"""A connection for looking only, which works where nothing can be written.

A book in use keeps an index of its log in a file beside it. Where that file cannot be made (a
write-protected stick, a read-only folder, a full disk) and there is no log with entries in it, the
book itself holds everything, and SQLite may read it as a file that does not change.
Source: SQLite documentation, 'Write-Ahead Logging', section 5 'Read-Only Databases'.
"""

from __future__ import annotations

import os
import sqlite3
from contextlib import closing
from pathlib import Path
from urllib.parse import quote

from core.book.errors import READ_ERRORS, BookError, plain_words
from core.book.upkeep import header

_NO_ROOM_BESIDE = (
    "SQLITE_READONLY",
    "SQLITE_CANTOPEN",
    "SQLITE_IOERR",
    "SQLITE_PERM",
    "SQLITE_FULL",
)


def look(place: Path, *, wait_s: float = 5.0) -> sqlite3.Connection:
    """Open a file for reading only; raises what SQLite raises (see `core.book.errors`)."""
    if not os.access(place.parent, os.W_OK) and not _log_bytes(place):
        return _connect(place, "mode=ro&immutable=1", wait_s)
    con = _open_to_look(place, wait_s)
    try:
        con.execute("SELECT count(*) FROM sqlite_master").fetchone()
    except sqlite3.OperationalError as error:
        name = getattr(error, "sqlite_errorname", "")
        if not name.startswith(_NO_ROOM_BESIDE) or _log_bytes(place):
            con.close()
            raise
        con.close()
        return _connect(place, "mode=ro&immutable=1", wait_s)
    except READ_ERRORS:
        pass  # damage: the caller meets it in its own words
    return con


def _open_to_look(place: Path, wait_s: float) -> sqlite3.Connection:
    """Without a log, opened so that SQLite takes away what it puts beside the file: a connection
    for reading only would leave an empty log and its index there."""
    if _log_bytes(place) or not os.access(place, os.W_OK):
        return _connect(place, "mode=ro", wait_s)
    con = _connect(place, "mode=rw", wait_s)
    con.execute("PRAGMA query_only = ON")
    return con


def _connect(place: Path, how: str, wait_s: float) -> sqlite3.Connection:
    address = f"file:{quote(os.fsencode(place.absolute()))}?{how}"
    return sqlite3.connect(address, uri=True, isolation_level=None, timeout=wait_s)


def _log_bytes(place: Path) -> int:
    log = Path(f"{place}-wal")
    return log.stat().st_size if log.exists() else 0


def has_jobs(place: Path) -> bool:
    """Whether a book holds a job; also True where that cannot be read (opening it says why)."""
    try:
        with plain_words(str(place)):
            header.check(place)
            with closing(look(place)) as con:
                return con.execute("SELECT 1 FROM job LIMIT 1").fetchone() is not None
    except BookError:
        return True
