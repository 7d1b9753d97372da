"""Is the file under the book's name still the one that is open?

SQLite goes on writing to a file that was deleted or given another name, and notices nothing; what
is entered then is gone with the program. So two looks at the folder come before each entry.
"""

from __future__ import annotations

import os
from pathlib import Path

from core.book.errors import DamagedBook, LogDeleted, MovedBook
from core.book.upkeep import header

Identity = tuple[int, int]


class FileGuard:
    """The book and its write-ahead log as they were when they were opened."""

    def __init__(self, place: Path) -> None:
        self.place = place
        self._file, self._bytes = _look(place)
        self._log, _ = _look(Path(f"{place}-wal"))

    def owns_log(self) -> bool:
        """Whether the log under the book's name is the one that is open here."""
        return self._log is not None and _look(Path(f"{self.place}-wal"))[0] == self._log

    def check(self) -> None:
        """Raise `MovedBook`, `LogDeleted` or `DamagedBook` when something was done to the files."""
        file, size = _look(self.place)
        if file != self._file:
            raise MovedBook(
                f"{self.place} was deleted, moved or replaced while it was open. This entry is not "
                "stored. All that was stored is still open here: Shaftlog writes it to the disk "
                "again by itself; keep it running, then enter it again."
            )
        if size < self._bytes and size < _bytes_in_header(self.place):
            raise DamagedBook(
                f"{self.place} was written over by another program: it is shorter than before. "
                "Nothing more is entered. Leave Shaftlog, run `shaftlog check`, restore the last "
                "good backup; the damaged file is kept beside it."
            )
        self._bytes = size
        if self._log is not None and not self.owns_log():
            raise LogDeleted(
                f"{self.place}-wal, the log that belongs to the book, was deleted. All that was "
                "stored has been written into the book itself; this entry is not. Leave Shaftlog "
                "on every bench and start it again."
            )


def _look(place: Path) -> tuple[Identity | None, int]:
    """Which file is there (None = none) and how many bytes it has."""
    try:
        found = os.stat(place)
    except OSError:
        return None, 0
    return (found.st_dev, found.st_ino), found.st_size


def _bytes_in_header(place: Path) -> int:
    """How long the file is by its own header; it may shrink, when the book is rewritten.

    Source: SQLite file format, section 1.3: page size at offset 16, pages of the file at 28.
    """
    try:
        head = header.first_bytes(place)
    except OSError:
        return 0
    if len(head) < 32:
        return 32
    page = int.from_bytes(head[16:18], "big")
    return (65536 if page == 1 else page) * int.from_bytes(head[28:32], "big")
