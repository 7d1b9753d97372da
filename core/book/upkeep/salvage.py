"""Saving what can still be read from a damaged book into a new one; the old file stays as it is."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from core.base.whole_file import whole_file
from core.book.cards.card_search import rebuild_cards
from core.book.connection import Book
from core.book.errors import READ_ERRORS, DamagedBook, Refused, plain_words
from core.book.opening import open_book
from core.book.search import index as search_index
from core.book.upkeep.backup import Progress
from core.book.upkeep.look import look
from core.book.upkeep.stoppable import INDEX_STEPS_A_ROW, rows_in, share, stoppable
from core.book.upkeep.tables import ENTERED

ROWS_A_REPORT = 500
_ROWS_SHARE = 0.7
"""Of the work is reading and storing rows, the rest building the search index."""


@dataclass(frozen=True)
class SalvageReport:
    """What was saved."""

    path: Path
    saved: tuple[tuple[str, int], ...]
    """Table and number of rows saved."""
    left_out: tuple[tuple[str, int], ...]
    """Table and number of rows that were read but hang on something that is lost."""
    broken: tuple[str, ...]
    """Tables that could not be read wholly."""


def salvage(
    damaged: str | Path, target: str | Path, progress: Progress | None = None
) -> SalvageReport:
    """Make a new book at `target` from all rows of `damaged` that can be read.

    What `progress` raises ends it, and no new book is left. Raises `Refused` when `target` exists
    and `DamagedBook` when nothing can be read at all.
    """
    source, place = Path(damaged), Path(target)
    if place.exists():
        raise Refused(f"{place} exists already. Choose another name: no file is overwritten.")
    with plain_words(str(source)):
        old = look(source)
        old.text_factory = lambda raw: raw.decode("utf-8", "replace")
    saved: dict[str, int] = {}
    left_out: dict[str, int] = {}
    broken: list[str] = []
    try:
        with plain_words(str(place)), whole_file(place) as part:
            every = rows_in(old)
            with open_book(part) as book, book.write():
                reports = _RowReports(share(progress, 0.0, _ROWS_SHARE), 2 * every)
                for table in ENTERED:
                    rows, whole = _readable(old, book, table, reports)
                    saved[table] = sum(_add(book, table, row) for row in reports.rows(rows))
                    left_out[table] = len(rows) - saved[table]
                    broken += [] if whole else [table]
                index = share(progress, _ROWS_SHARE, 1.0)
                with stoppable(book.con, index, every * INDEX_STEPS_A_ROW):
                    search_index.rebuild(book)
                    rebuild_cards(book)
            if not any(saved.values()):
                raise DamagedBook(
                    f"Nothing can be read from {source} any more. Restore a backup instead."
                )
    finally:
        old.close()
    return SalvageReport(place, tuple(saved.items()), tuple(left_out.items()), tuple(broken))


def _columns(book: Book, table: str) -> list[str]:
    return [row[1] for row in book.con.execute(f"PRAGMA table_info({table})")]


class _RowReports:
    """Reports the rows that went through it."""

    def __init__(self, progress: Progress | None, every: int) -> None:
        self.progress, self.every, self.done = progress, every, 0

    def rows(self, rows: Iterable[tuple[Any, ...]]) -> Iterator[tuple[Any, ...]]:
        """The same rows; what the progress raises comes out here."""
        for row in rows:
            if self.progress is not None and self.done % ROWS_A_REPORT == 0:
                self.progress(min(self.done, self.every), self.every)
            self.done += 1
            yield row


def _readable(
    old: sqlite3.Connection, book: Book, table: str, reports: _RowReports
) -> tuple[list[tuple[Any, ...]], bool]:
    """The rows that can be read, from the start and, past the damage, from the end."""
    names = _columns(book, table)
    found: dict[tuple[Any, ...], tuple[Any, ...]] = {}
    whole = True
    for direction in ("ASC", "DESC"):
        sql = f"SELECT {', '.join(names)} FROM {table} NOT INDEXED ORDER BY rowid {direction}"
        try:
            for row in reports.rows(old.execute(sql)):
                found.setdefault(row[:2] if table == "quote_line" else row[:1], row)
            break
        except READ_ERRORS:
            whole = False
    rows = list(found.values())
    if "replaced_by" in names:
        rows = _standing_again(rows, names.index("replaced_by"))
    return rows, whole


def _standing_again(rows: Sequence[tuple[Any, ...]], at: int) -> list[tuple[Any, ...]]:
    """A row whose replacement is lost counts again: its value is the best there is."""
    ids = {row[0] for row in rows}
    return [row if row[at] in ids else (*row[:at], None, *row[at + 1 :]) for row in rows]


def _add(book: Book, table: str, row: Sequence[Any]) -> int:
    """Store one row; 0 when its parent is lost or it is no longer what a row can be."""
    marks = ", ".join("?" * len(row))
    how = "INSERT OR REPLACE" if table == "setting" else "INSERT"  # a new book has limits
    try:
        book.con.execute(f"{how} INTO {table} VALUES ({marks})", row)
    except READ_ERRORS:
        return 0
    return 1
