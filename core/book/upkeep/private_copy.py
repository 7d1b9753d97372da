"""A copy of another book in a file without a name."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import closing, contextmanager
from pathlib import Path

from core.book.connection import Book
from core.book.errors import DamagedBook, plain_words
from core.book.ids import IdMaker
from core.book.opening import open_book
from core.book.schema import ledger as schema
from core.book.upkeep import header
from core.book.upkeep.backup import Progress
from core.book.upkeep.clock import BenchClock
from core.book.upkeep.look import look
from core.book.upkeep.stoppable import share

_PAGES_A_STEP = 500


@contextmanager
def private_copy(place: Path, progress: Progress | None = None) -> Iterator[sqlite3.Connection]:
    """A copy of another book, brought up to date, in a file without a name.

    `progress` is called while it is copied; what it raises ends that.

    SQLite deletes that file as it opens it, so a program that is killed leaves nothing behind.
    Raises `NotABook`, `NewerBook` or `DamagedBook`; the book itself is only read.
    """
    with plain_words(str(place)):
        header.check(place)
        copy = sqlite3.connect("", isolation_level=None)
        try:
            with closing(look(place)) as con:
                con.execute("BEGIN")
                if con.execute("PRAGMA application_id").fetchone()[0] != schema.APPLICATION_ID:
                    raise header.not_a_book(place)
                report = share(progress, 0.0, 1.0)
                con.backup(
                    copy,
                    pages=_PAGES_A_STEP,
                    progress=lambda _status, left, of: report(of - left, of),
                    sleep=0.0,
                )
            found = copy.execute("PRAGMA integrity_check(1)").fetchone()[0]
            if found != "ok":
                raise DamagedBook(f"{place} is damaged ({found}): it cannot be taken in.")
            schema.migrate(copy, str(place))
            yield copy
        finally:
            copy.close()


@contextmanager
def private_book(place: Path) -> Iterator[Book]:
    """The same as a book, to try on it what must leave the file itself alone."""
    with private_copy(place) as con:
        con.execute("PRAGMA foreign_keys = ON")
        now = BenchClock()
        yield Book(
            con,
            place,
            by="",
            now=now,
            new_id=IdMaker(now),
            read_only=False,
            before_commit=lambda _: None,
            open_again=open_book,
        )
