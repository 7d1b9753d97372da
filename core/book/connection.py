"""The open job book: one SQLite file, write-ahead log, every commit on the disk at once.

Each function of the other modules takes the book first. Each of them that writes is one committed
and fsynced transaction (journal in WAL mode with synchronous = FULL); when it returns, the entry
has survived a power cut. When it raises a `BookError`, nothing of it was stored and the message
says what to do. Several processes may have the same book open.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from core.base.times import Clock, moment_text
from core.book.errors import LogDeleted, ReadOnlyBook, plain_words
from core.book.upkeep.clock import BenchClock
from core.book.upkeep.file_guard import FileGuard
from core.book.upkeep.newest import newest_entry

WAIT_S = 3.0
"""How long a write waits for another process before it reports that the book is in use, seconds."""


class Book:
    """An open job book. It belongs to the thread that opened it; `reopen()` opens it once more.

    `core.book.opening.open_book` makes it. The hooks come from there, because they build on this
    module: `before_commit` runs inside each transaction just before it is committed, `open_again`
    opens the same file once more with the given options of `open_book`.
    """

    def __init__(
        self,
        con: sqlite3.Connection,
        path: Path,
        *,
        by: str,
        now: Clock,
        new_id: Callable[[], str],
        read_only: bool,
        wait_s: float = WAIT_S,
        before_commit: Callable[[Book], object],
        open_again: Callable[..., Book],
    ) -> None:
        self.con = con
        """For the modules of this package only."""
        self.path = path
        self.by = by
        """Who works at this bench; recorded with events, hits and notes."""
        self.new_id = new_id
        self.read_only = read_only
        self._now = now
        self._wait_s = wait_s
        self._before_commit = before_commit
        self._open_again = open_again
        self._depth = 0
        self._seen_version = self._data_version()
        self.file_guard = FileGuard(path)
        self._continue_clock()

    def __enter__(self) -> Book:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    def close(self) -> None:
        """Close the file. The last process to close moves the write-ahead log into it."""
        self.con.close()

    def now(self) -> str:
        """The present moment as stored."""
        return moment_text(self._now())

    def now_s(self) -> float:
        """The present moment in seconds since 1970."""
        return self._now().timestamp()

    @property
    def clock_words(self) -> str:
        """What is wrong with the clock of this computer, judged by the last entry; '' = nothing."""
        return self._now.words if isinstance(self._now, BenchClock) else ""

    def _continue_clock(self) -> None:
        """Let the clock continue after the last entry of the book."""
        if isinstance(self._now, BenchClock):
            with plain_words(str(self.path)):
                self._now.start_after(newest_entry(self.con))

    def reopen(self, *, read_only: bool = False) -> Book:
        """The same book opened once more, for another thread."""
        return self._open_again(
            self.path,
            create=False,
            by=self.by,
            now=self._now,
            read_only=read_only or self.read_only,
        )

    @contextmanager
    def short_timeout(self, wait_s: float = 0.05) -> Iterator[None]:
        """Inside the block a write gives up soon when another process holds the book.

        For entries that may be skipped once (who is at which job), so that no key waits for them.
        """
        with plain_words(str(self.path)):
            self.con.execute(f"PRAGMA busy_timeout = {wait_s * 1000:.0f}")
            try:
                yield
            finally:
                self.con.execute(f"PRAGMA busy_timeout = {self._wait_s * 1000:.0f}")

    @contextmanager
    def write(self) -> Iterator[sqlite3.Connection]:
        """One transaction: committed and fsynced at the end of the block, or nothing at all.

        A `write` inside another joins it, so that functions can be built from functions.
        """
        if self.read_only:
            raise ReadOnlyBook(
                f"{self.path} is open for reading only. To enter anything, open it at the bench "
                "that owns it."
            )
        if self._depth == 0:
            self.verify_file()
        with plain_words(str(self.path)):
            if self._depth == 0:
                self.con.execute("BEGIN IMMEDIATE")
            self._depth += 1
            try:
                yield self.con
                if self._depth == 1:
                    self._before_commit(self)
                    self.con.execute("COMMIT")
            except BaseException:
                if self._depth == 1 and self.con.in_transaction:
                    self.con.execute("ROLLBACK")
                raise
            finally:
                self._depth -= 1

    def verify_file(self) -> None:
        """Raise when another program moved, deleted or overwrote the file."""
        if self.read_only:
            return
        try:
            self.file_guard.check()
        except LogDeleted:
            self.checkpoint()
            raise

    def take_over(self, other: Book) -> None:
        """Continue with the file that `other` has open (`core.book.upkeep.recovery`)."""
        self.con, self.file_guard = other.con, other.file_guard
        self._seen_version = self._data_version()

    def rows(self, sql: str, values: Sequence[Any] = ()) -> list[tuple[Any, ...]]:
        """All rows of a query; for the modules of this package only."""
        with plain_words(str(self.path)):
            return self.con.execute(sql, values).fetchall()

    def one(self, sql: str, values: Sequence[Any] = ()) -> tuple[Any, ...] | None:
        """The first row of a query, or None; for the modules of this package only."""
        with plain_words(str(self.path)):
            row: tuple[Any, ...] | None = self.con.execute(sql, values).fetchone()
            return row

    def _data_version(self) -> int:
        with plain_words(str(self.path)):
            return int(self.con.execute("PRAGMA data_version").fetchone()[0])

    def checkpoint(self) -> bool:
        """Move the write-ahead log into the file and empty it; False when another program reads."""
        with plain_words(str(self.path)):
            return not self.con.execute("PRAGMA wal_checkpoint(TRUNCATE)").fetchone()[0]

    def vacuum(self) -> None:
        """Rewrite the whole file without its free pages (not inside a `write`)."""
        with plain_words(str(self.path)):
            self.con.execute("VACUUM")

    def changed_elsewhere(self) -> bool:
        """True once after another process (or connection) has stored something. Microseconds."""
        version = self._data_version()
        changed = version != self._seen_version
        self._seen_version = version
        if changed:
            self._continue_clock()
        return changed
