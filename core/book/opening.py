"""Opening the job book, making it or bringing it up to date where needed.

book = open_book("shop.db", by="bench 1")
...
book.close()
"""

from __future__ import annotations

import os
import sqlite3
import time
from collections.abc import Callable
from contextlib import suppress
from pathlib import Path
from urllib.parse import quote

from core.base.paths import OWNER_ONLY
from core.base.times import Clock, moment_text
from core.book.connection import WAIT_S, Book
from core.book.errors import DamagedBook, FolderMissing, NotABook, ReadOnlyBook, plain_words
from core.book.ids import IdMaker
from core.book.schema import ledger as schema
from core.book.settings import first_values
from core.book.upkeep import header
from core.book.upkeep.clock import BenchClock
from core.book.upkeep.look import look


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
            book = Book(
                con,
                place,
                by=by,
                now=now,
                new_id=new_id or IdMaker(now),
                read_only=read_only,
                wait_s=wait_s,
                before_commit=_index_changes,
                open_again=open_book,
            )
            if migrated:
                with book.write():
                    pass  # the search index catches up with what the steps changed
        except BaseException:
            con.close()
            raise
    return book


def _index_changes(book: Book) -> None:
    """Bring the search index up to date inside the transaction that changed its words."""
    if book.con.execute("SELECT 1 FROM search_todo LIMIT 1").fetchone():
        from core.book.search.index import catch_up

        catch_up(book)
    if book.con.execute("SELECT 1 FROM search_card_todo LIMIT 1").fetchone():
        from core.book.cards.card_search import catch_up_cards

        catch_up_cards(book)


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
        with suppress(FileExistsError):  # another program made it this moment
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
    if read_only:
        return look(place, wait_s=wait_s)
    address = f"file:{quote(os.fsencode(place.absolute()))}?mode=rw"
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
    # Another program may be making the book: with tables there, what is read after them is there.
    tables = int(con.execute("SELECT count(*) FROM sqlite_master").fetchone()[0])
    version = int(con.execute("PRAGMA user_version").fetchone()[0])
    if version > schema.SCHEMA_VERSION:
        raise schema.newer_book(str(place))
    ours = con.execute("PRAGMA application_id").fetchone()[0] == schema.APPLICATION_ID
    if tables and (not ours or not version):
        raise header.not_a_book(place)
    if not read_only:
        _use_log(con)
    if not tables:
        if read_only:
            raise header.not_a_book(place)
        schema.create_all(con, moment_text(now()))
        con.executemany(
            "INSERT OR REPLACE INTO setting (name, value) VALUES (?, ?)", first_values()
        )
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
            "Open it once in Shaftlog where it can be written to; a backup is made first."
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
