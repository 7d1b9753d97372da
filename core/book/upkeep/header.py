"""A look at the first bytes of a file before SQLite opens it, so that nothing is touched.

SQLite file format, section 1.3 'The Database Header': offsets 0 (magic), 16 (page size), 28 (size
in pages), 60 (user version), 68 (application id).
"""

from __future__ import annotations

import os
from pathlib import Path

from core.book.errors import DamagedBook, NotABook
from core.book.schema import ledger as schema

_MAGIC = b"SQLite format 3\x00"
_HEADER_BYTES = 100
_KEPT: dict[tuple[int, int], int] = {}
"""Descriptors that stay open, by device and inode."""


def not_a_book(place: Path) -> NotABook:
    """The refusal of a file that is something else."""
    return NotABook(
        f"{place} is not a job book, or its beginning is damaged. Nothing was changed: choose "
        "another file, or restore the last good backup if this was your book."
    )


def first_bytes(place: Path) -> bytes:
    """The header of a file; a file that may be open as a book here is never closed again.

    Closing any descriptor of a file drops all POSIX locks of the process on it (SQLite, 'How To
    Corrupt An SQLite Database File', section 2.2): another program would then think that nobody has
    the book open, and delete its log.
    """
    found = os.stat(place)
    kept = _KEPT.get((found.st_dev, found.st_ino))
    if kept is not None:
        return os.pread(kept, _HEADER_BYTES, 0)
    number = os.open(place, os.O_RDONLY)
    if Path(f"{place}-shm").exists():
        _KEPT[found.st_dev, found.st_ino] = number
        return os.pread(number, _HEADER_BYTES, 0)
    try:
        return os.pread(number, _HEADER_BYTES, 0)
    finally:
        os.close(number)


def check(place: Path) -> None:
    """Refuse a file that is no book, a newer book, or cut short. Only reads."""
    head = first_bytes(place)
    if len(head) < _HEADER_BYTES or not head.startswith(_MAGIC):
        raise not_a_book(place)
    application_id = int.from_bytes(head[68:72], "big")
    version = int.from_bytes(head[60:64], "big")
    if application_id not in (0, schema.APPLICATION_ID):
        raise not_a_book(place)
    if application_id == schema.APPLICATION_ID and version > schema.SCHEMA_VERSION:
        raise schema.newer_book(str(place))
    log = Path(f"{place}-wal")
    if log.exists() and log.stat().st_size:
        return
    page_bytes = int.from_bytes(head[16:18], "big")
    page_bytes = 65536 if page_bytes == 1 else page_bytes
    wanted = page_bytes * int.from_bytes(head[28:32], "big")
    if place.stat().st_size < wanted:
        raise DamagedBook(
            f"{place} is cut short: {place.stat().st_size} bytes where {wanted} should be. It is "
            "left as it is: restore the last good backup; the damaged file is kept beside it."
        )
