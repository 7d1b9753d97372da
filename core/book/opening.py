"""Opening the job book: one SQLite file, write-ahead log, every commit on the disk at once.

    book = open_book("shop.db", by="bench 1")
    ...
    book.close()

The functions of the other modules take the book first. Each of them that writes is one committed
and fsynced transaction (journal in WAL mode with synchronous = FULL); when it returns, the entry
has survived a power cut. When it raises a `BookError`, nothing of it was stored and the message
says what to do. Several processes may have the same book open.
"""

from __future__ import annotations

import os
import sqlite3
import stat
import time
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import Any
from urllib.parse import quote

from core.base.times import Clock, moment_text
from core.book.errors import (
    BookError,
    DamagedBook,
    DiskFull,
    FolderMissing,
    LockedBook,
    LogDeleted,
    MovedBook,
    NewerBook,
    NotABook,
    NotFound,
    ReadOnlyBook,
    Refused,
    plain_words,
)
from core.book.ids import IdMaker
from core.book.schema import ledger as schema
from core.book.upkeep import header
from core.book.upkeep.clock import BenchClock
from core.book.upkeep.file_guard import Standing
from core.book.upkeep.newest import newest_entry

__all__ = [
    "Book",
    "BookError",
    "DamagedBook",
    "DiskFull",
    "FolderMissing",
    "LockedBook",
    "MovedBook",
    "NewerBook",
    "NotABook",
    "NotFound",
    "ReadOnlyBook",
    "Refused",
    "open_book",
]

OWNER_ONLY = stat.S_IRUSR | stat.S_IWUSR
WAIT_S = 3.0
"""How long a write waits for another process before it says that the book is in use, seconds."""


class Book:
    """An open job book. It belongs to the thread that opened it; `another()` opens it once more."""

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
    ) -> None:
        self.con = con
        """For the modules of this package only."""
        self.path = path
        self.by = by
        """Who works at this bench; stands in events, hits and notes."""
        self.new_id = new_id
        self.read_only = read_only
        self._now = now
        self._wait_s = wait_s
        self._depth = 0
        self._seen_version = self._data_version()
        self.standing = Standing(path)
        self._count_on()

    def __enter__(self) -> Book:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    def close(self) -> None:
        """Close the file. The write-ahead log is folded in by the last process to close."""
        self.con.close()

    def now(self) -> str:
        """The present moment as stored."""
        return moment_text(self._now())

    def now_s(self) -> float:
        """The present moment in seconds since 1970."""
        return self._now().timestamp()

    @property
    def clock_words(self) -> str:
        """What is wrong with the clock of this computer, as far as the book tells; or ''."""
        return self._now.words if isinstance(self._now, BenchClock) else ""

    def _count_on(self) -> None:
        """Let time in this book go on from its last entry."""
        if isinstance(self._now, BenchClock):
            with plain_words(str(self.path)):
                self._now.start_after(newest_entry(self.con))

    def another(self, *, read_only: bool = False) -> Book:
        """The same book opened once more, for another thread."""
        return open_book(
            self.path,
            create=False,
            by=self.by,
            now=self._now,
            read_only=read_only or self.read_only,
        )

    @contextmanager
    def impatient(self, wait_s: float = 0.05) -> Iterator[None]:
        """Inside the block a write gives up soon when another process holds the book.

        For what may be left out for once (who is at which job), so that no key waits for it.
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
                f"{self.path} is open for reading only. Open it at the bench that owns it to enter "
                "anything."
            )
        if self._depth == 0:
            self.look_at_file()
        with plain_words(str(self.path)):
            if self._depth == 0:
                self.con.execute("BEGIN IMMEDIATE")
            self._depth += 1
            try:
                yield self.con
                if self._depth == 1:
                    self._index_changes()
                    self.con.execute("COMMIT")
            except BaseException:
                if self._depth == 1 and self.con.in_transaction:
                    self.con.execute("ROLLBACK")
                raise
            finally:
                self._depth -= 1

    def look_at_file(self) -> None:
        """Raise when the file was moved, deleted or written over behind our back."""
        if self.read_only:
            return
        try:
            self.standing.check()
        except LogDeleted:
            self.fold_log()
            raise

    def take_over(self, other: Book) -> None:
        """Go on with the file that `other` has open (`core.book.upkeep.recovery`)."""
        self.con, self.standing = other.con, other.standing
        self._seen_version = self._data_version()

    def _index_changes(self) -> None:
        """Bring the search index up to date inside the transaction that changed its words."""
        if self.con.execute("SELECT 1 FROM search_todo LIMIT 1").fetchone():
            from core.book.search.index import catch_up

            catch_up(self)

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

    def fold_log(self) -> bool:
        """Fold the write-ahead log into the file and empty it; False when others are in the way."""
        with plain_words(str(self.path)):
            return not self.con.execute("PRAGMA wal_checkpoint(TRUNCATE)").fetchone()[0]

    def write_anew(self) -> None:
        """Write the whole file anew without its free pages (not inside a `write`)."""
        with plain_words(str(self.path)):
            self.con.execute("VACUUM")

    def changed_elsewhere(self) -> bool:
        """True once after another process (or connection) has stored something. Microseconds."""
        version = self._data_version()
        changed = version != self._seen_version
        self._seen_version = version
        if changed:
            self._count_on()
        return changed


def open_book(
    path: str | Path,
    *,
    create: bool = True,
    by: str = "",
    now: Clock | None = None,
    new_id: Callable[[], str] | None = None,
    read_only: bool = False,
    wait_s: float = WAIT_S,
    before_migration: Callable[[Path], object] | None = None,
) -> Book:
    """Open a job book, making it (mode 0600) or bringing it up to date where needed.

    Parameters
    ----------
    create : make a new book when there is no file; otherwise `FolderMissing` is raised.
    now, new_id : clock and source of ids, replaced by fixed ones in demos and tests; by default
        a clock that never goes back behind the last entry.
    read_only : open for looking only; works on read-only disks; no migration, no presence.
    wait_s : seconds a write waits for another process.
    before_migration : called with the path before an older book is changed; by default a backup
        is made beside it (`core.book.upkeep.backup`).

    Raises
    ------
    NotABook, NewerBook, DamagedBook, ReadOnlyBook, LockedBook, DiskFull, FolderMissing
        with the file untouched.
    """
    place = Path(path).expanduser()
    now = now or BenchClock()
    with plain_words(str(place)):
        _check_place(place, create=create, read_only=read_only)
        con = _connect(place, read_only=read_only, wait_s=wait_s)
        try:
            migrated = _make_ready(con, place, now, read_only, before_migration)
        except BaseException:
            con.close()
            raise
    book = Book(
        con,
        place,
        by=by,
        now=now,
        new_id=new_id or IdMaker(now),
        read_only=read_only,
        wait_s=wait_s,
    )
    if migrated:
        with book.write():
            pass  # whatever the steps left for the search index is worked off here
    return book


def _check_place(place: Path, *, create: bool, read_only: bool) -> None:
    """Refuse what can be refused by looking at the file alone, before SQLite touches it."""
    if place.is_dir():
        raise NotABook(f"{place} is a folder. Name a file in it, such as {place / 'shop.db'}.")
    if not place.parent.is_dir():
        raise FolderMissing(
            f"The folder {place.parent} does not exist. Make it, or choose another place."
        )
    if not place.exists() or place.stat().st_size == 0:
        if read_only or (not create and not place.exists()):
            raise FolderMissing(f"There is no job book at {place}. Check the name.")
        if not place.exists():
            os.close(os.open(place, os.O_CREAT | os.O_EXCL | os.O_RDWR, OWNER_ONLY))
        return
    header.check(place)
    writable = os.access(place, os.W_OK) and os.access(place.parent, os.W_OK)
    if not read_only and not writable:
        raise ReadOnlyBook(
            f"{place} or its folder is read-only. Ask for write permission, or copy the book to a "
            "place of your own. It can still be looked at: open it for reading only."
        )


def _connect(place: Path, *, read_only: bool, wait_s: float) -> sqlite3.Connection:
    mode = "ro" if read_only else "rw"
    log = Path(f"{place}-wal")
    if read_only and not os.access(place.parent, os.W_OK) and not log.exists():
        mode = "ro&immutable=1"
    address = f"file:{quote(str(place.absolute()))}?mode={mode}"
    return sqlite3.connect(address, uri=True, isolation_level=None, timeout=wait_s)


# FULL: the log is fsynced at each commit. secure_delete: what is deleted leaves no bytes behind.
# cache_size: 16 MB, so that searching a large book does not go to the disk for each key.
_PRAGMAS = (
    "foreign_keys = ON",
    "synchronous = FULL",
    "fullfsync = ON",
    "cell_size_check = ON",
    "secure_delete = ON",
    "cache_size = -16000",
)


def _make_ready(
    con: sqlite3.Connection,
    place: Path,
    now: Clock,
    read_only: bool,
    before_migration: Callable[[Path], object] | None,
) -> bool:
    """Check, set the journal, make or update the tables; True when an older book was updated."""
    for pragma in _PRAGMAS:
        con.execute(f"PRAGMA {pragma}")
    version = int(con.execute("PRAGMA user_version").fetchone()[0])
    if version > schema.SCHEMA_VERSION:
        raise schema.newer_book(str(place))
    tables = int(con.execute("SELECT count(*) FROM sqlite_master").fetchone()[0])
    ours = con.execute("PRAGMA application_id").fetchone()[0] == schema.APPLICATION_ID
    if tables and (not ours or not version):
        raise header.not_a_book(place)
    if not read_only:
        _use_log(con)
    if not tables:
        if read_only:
            raise header.not_a_book(place)
        schema.create_all(con, moment_text(now()))
    elif version < schema.SCHEMA_VERSION:
        _bring_up_to_date(con, place, read_only, before_migration)
        return True
    return False


def _use_log(con: sqlite3.Connection) -> None:
    """Switch the book to the write-ahead log; waits while another program does the same."""
    for tries_left in range(40, -1, -1):
        try:
            if con.execute("PRAGMA journal_mode = WAL").fetchone()[0] == "wal":
                return
        except sqlite3.OperationalError:
            if not tries_left:
                raise
        time.sleep(0.05)


def _bring_up_to_date(
    con: sqlite3.Connection,
    place: Path,
    read_only: bool,
    before_migration: Callable[[Path], object] | None,
) -> None:
    if read_only:
        raise ReadOnlyBook(
            f"{place} was written by an older Shaftlog and must be brought up to date first. "
            "Open it once where it can be written to."
        )
    if before_migration is None:
        from core.book.upkeep.backup import before_migration as make_backup

        before_migration = make_backup
    before_migration(place)
    con.execute("PRAGMA foreign_keys = OFF")
    try:
        schema.migrate(con, str(place))
    except sqlite3.Error:
        # Another program may have brought it up to date at the same moment.
        if con.execute("PRAGMA user_version").fetchone()[0] != schema.SCHEMA_VERSION:
            raise
    if con.execute("PRAGMA foreign_key_check").fetchone():
        raise DamagedBook(
            f"{place} was brought up to date but some rows point to nothing. The backup made just "
            "before is good: run `shaftlog check`, then restore it."
        )
    con.execute("PRAGMA foreign_keys = ON")
