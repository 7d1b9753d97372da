"""Work that SQLite does in a few long statements: it reports how far it is and can be stopped.

SQLite calls back after so many of its own steps. What the report raises ends the statement under
way; a transaction around it is then rolled back, so that nothing is left half done.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager

from core.base.errors import Stopped
from core.book.errors import READ_ERRORS
from core.book.upkeep.backup import Progress
from core.book.upkeep.tables import ENTERED

STEPS_A_REPORT = 20_000
"""Steps of SQLite between two reports: about a thousandth of a second.

It counts them within one statement: many short ones never come to a report."""
INDEX_STEPS_A_ROW = 70
"""Steps to build the search index, for each row of the book, measured on 20,000 jobs."""


@contextmanager
def stoppable(
    con: sqlite3.Connection, progress: Progress | None, expected_steps: int
) -> Iterator[None]:
    """Inside the block `progress(steps done, expected_steps)` is called; what it raises comes out.

    It comes out also where the block took SQLite's 'interrupted' for another error.
    """
    if progress is None:
        yield
        return
    raised: list[BaseException] = []
    done = 0

    def report() -> int:
        nonlocal done
        done = min(done + STEPS_A_REPORT, max(expected_steps - 1, 0))
        try:
            if not raised:
                progress(done, expected_steps)
        except BaseException as error:
            raised.append(error)
        return len(raised)

    con.set_progress_handler(report, STEPS_A_REPORT)
    try:
        yield
    finally:
        con.set_progress_handler(None, 0)
        if raised:
            raise raised[0]


def rows_in(con: sqlite3.Connection) -> int:
    """About how many rows the book holds, without reading them."""
    return sum(last_row(con, table) for table in ENTERED)


def last_row(con: sqlite3.Connection, table: str) -> int:
    """About how many rows a table holds; 0 where it cannot be read."""
    try:
        return int(con.execute(f"SELECT max(rowid) FROM {table}").fetchone()[0] or 0)
    except READ_ERRORS:
        return 0


def share(progress: Progress | None, begin: float, end: float) -> Progress:
    """The progress of one part of a work, as the share of the whole from `begin` to `end`."""
    if progress is None:
        return lambda _done, _of: None
    return lambda done, of: progress(
        round(1000 * (begin + (end - begin) * done / max(of, 1))), 1000
    )


def cannot_be_stopped(progress: Progress | None) -> Progress | None:
    """The same progress for a part that must be done to its end."""
    if progress is None:
        return None

    def report(done: int, of: int) -> None:
        try:
            progress(done, of)
        except Stopped:
            return

    return report
