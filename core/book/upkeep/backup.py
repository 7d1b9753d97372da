"""Backups by SQLite's online backup, and restoring one. Nothing is ever overwritten.

They lie beside the book in a folder of their own: `shop.db` -> `shop-backups/`. A copy is written
under another name, checked, fsynced and only then given its name, so that what carries the name of
a backup is a good one. Files can be read by their owner only.
"""

from __future__ import annotations

import errno
import os
import shutil
import sqlite3
from collections.abc import Callable
from datetime import datetime
from pathlib import Path

from core.base.times import utc_now
from core.base.whole_file import discard_left_overs, part_of, put_in_place, whole_file
from core.book.errors import (
    READ_ERRORS,
    DamagedBook,
    DiskFull,
    LockedBook,
    Refused,
    book_error,
    plain_words,
)
from core.book.schema import ledger as schema
from core.book.upkeep import copies, header
from core.book.upkeep.look import look

KEPT = 14
Progress = Callable[[int, int], None]
"""Called with what is done and what there is in all."""
_PAGES_A_STEP = 500


def make_backup(
    book_path: str | Path,
    target: str | Path,
    *,
    progress: Progress | None = None,
) -> Path:
    """Copy the book, in use or not, to a new file; checked and on the disk when it returns.

    `progress(done, total)` is called with pages; what it raises ends the copy, and nothing of it is
    kept. An existing file is refused.
    """
    source, place = Path(book_path), Path(target)
    with plain_words(str(place)):
        if place.exists():
            raise Refused(f"{place} exists already. Choose another name: no file is overwritten.")
    with plain_words(str(source)):
        header.check(source)
    with plain_words(str(place)), whole_file(place) as part:
        _copy_pages(source, part, progress)
    return place


def _copy_pages(source: Path, part: Path, progress: Progress | None) -> None:
    def report(_status: int, remaining: int, total: int) -> None:
        if progress is not None:
            progress(total - remaining, total)

    with plain_words(str(source)):
        old = look(source)
        new = sqlite3.connect(part, isolation_level=None)
        try:
            # One reading transaction over the whole copy: entries made meanwhile neither get in
            # by halves nor make the copy start over.
            old.execute("BEGIN")
            if old.execute("PRAGMA application_id").fetchone()[0] != schema.APPLICATION_ID:
                raise header.not_a_book(source)
            old.backup(new, pages=_PAGES_A_STEP, progress=report, sleep=0.002)
            found = _tidy(new)
        except sqlite3.OperationalError as error:
            full = getattr(error, "sqlite_errorname", "") == "SQLITE_FULL"
            raise book_error(error, str(part if full else source)) from error
        finally:
            new.close()
            old.close()
    if found != "ok":
        raise DamagedBook(
            f"{source} is damaged ({found}); no backup was made of it and the older backups are "
            "kept. Run `shaftlog check`, then restore the last good backup."
        )


def _tidy(new: sqlite3.Connection) -> str:
    """One file without a write-ahead log beside it; 'ok' when it is sound."""
    new.execute("PRAGMA journal_mode = DELETE")
    return str(new.execute("PRAGMA integrity_check(1)").fetchone()[0])


def save_open_book(con: sqlite3.Connection, place: Path) -> None:
    """Write what an open book holds to a new file, also when its own file is gone."""
    with plain_words(str(place)), whole_file(place) as part:
        new = sqlite3.connect(part, isolation_level=None)
        try:
            con.backup(new)
            found = _tidy(new)
        finally:
            new.close()
        if found != "ok":
            raise DamagedBook(f"What was open of {place} is damaged ({found}).")


def daily(
    book_path: str | Path, *, keep: int = KEPT, now: datetime | None = None
) -> copies.BackupFile | None:
    """Make today's backup unless there is one; None = there was. Keeps the newest `keep`,
    and the one that holds most whatever its age.

    Opens its own connection, so it may run in a thread. A damaged book raises `DamagedBook` and
    no older backup is thrown away.
    """
    moment = (now or utc_now()).astimezone()
    made = [b for b in copies.list_backups(book_path) if b.kind == copies.DAILY]
    if any(b.at.date() == moment.date() for b in made):
        return None
    new = _make_named(book_path, copies.DAILY, moment)
    fullest = copies.fullest(made)
    for old in made[max(keep, 1) - 1 :]:
        if old != fullest:
            old.path.unlink(missing_ok=True)
    return new


def before_migration(book_path: str | Path) -> copies.BackupFile:
    """The backup made before an older book is changed; these are never thrown away."""
    return _make_named(book_path, copies.BEFORE_UPDATE, utc_now().astimezone())


def by_hand(book_path: str | Path, progress: Progress | None = None) -> copies.BackupFile:
    """The backup that somebody asked for; kept until a person deletes the file."""
    return _make_named(book_path, copies.BY_HAND, utc_now().astimezone(), progress)


def before_merge(book_path: str | Path, progress: Progress | None = None) -> copies.BackupFile:
    """The backup made before another book is taken in: the way back."""
    return _make_named(book_path, copies.BEFORE_MERGE, utc_now().astimezone(), progress)


def _make_named(
    book_path: str | Path, kind: str, moment: datetime, progress: Progress | None = None
) -> copies.BackupFile:
    folder = copies.backup_folder(book_path)
    with plain_words(str(folder)):
        folder.mkdir(mode=0o700, exist_ok=True)
        discard_left_overs(folder)
    stem = f"{Path(book_path).stem}-{kind}-{moment:%Y%m%d-%H%M%S}"
    place = folder / f"{stem}.db"
    number = 1
    while place.exists():
        number += 1
        place = folder / f"{stem}-{number}.db"
    make_backup(book_path, place, progress=progress)
    return copies.BackupFile(place, kind, moment.replace(tzinfo=None), place.stat().st_size)


def restore(book_path: str | Path, backup_path: str | Path) -> Path | None:
    """Put a backup in the place of the book; where the book that was there is kept, or None.

    A book that is a symbolic link is replaced behind the link. The book and its write-ahead log are
    moved aside under a new name, never overwritten. All other programs must have closed the book.
    """
    place, backup = Path(book_path).resolve(), Path(backup_path)
    copies.check_copy(backup)
    with plain_words(str(place)):
        _refuse_if_open(place)
        with part_of(place) as part:
            if Path(f"{backup}-wal").exists():
                _copy_pages(backup, part, None)  # a book set aside may have its log beside it
            else:
                _copy_bytes(backup, part)
            kept = _move_aside(place)
            try:
                put_in_place(part, place)
            except OSError:
                _move_back(kept, place)
                raise
    return kept


def _copy_bytes(backup: Path, part: Path) -> None:
    """Copy a file, naming the disk that has no room: the one copied to."""
    try:
        shutil.copyfile(backup, part)
    except OSError as error:
        if error.errno != errno.ENOSPC:
            raise
        raise DiskFull(
            f"The disk holding {part.parent} has no room for the copy. The book is as it was: make "
            "room there, then try again."
        ) from error


def _move_aside(place: Path) -> Path | None:
    """Give the book (with its log) another name; the new name."""
    if not place.exists():
        return None
    stamp = utc_now().astimezone().strftime("%Y%m%d-%H%M%S")
    kept = place.with_name(f"{place.stem}-{copies.SET_ASIDE}-{stamp}{place.suffix}")
    number = 1
    while kept.exists():
        number += 1
        kept = place.with_name(f"{place.stem}-{copies.SET_ASIDE}-{stamp}-{number}{place.suffix}")
    os.rename(place, kept)
    for tail in ("-wal", "-shm"):
        beside = Path(f"{place}{tail}")
        if beside.exists():
            os.rename(beside, f"{kept}{tail}")
    return kept


def _move_back(kept: Path | None, place: Path) -> None:
    """Undo `_move_aside` when nothing could be put in place."""
    if kept is None or place.exists():
        return
    for tail in ("-wal", "-shm", ""):
        beside = Path(f"{kept}{tail}")
        if beside.exists():
            os.rename(beside, f"{place}{tail}")


def _refuse_if_open(place: Path) -> None:
    """Raise `LockedBook` when another program has the book open; a damaged file cannot tell."""
    if not place.exists() or place.stat().st_size == 0:
        return
    con = sqlite3.connect(place, isolation_level=None, timeout=0.2)
    try:
        # In WAL mode every open connection holds a shared lock on the file, so this fails then.
        con.execute("PRAGMA locking_mode = EXCLUSIVE")
        con.execute("BEGIN EXCLUSIVE")
        con.execute("ROLLBACK")
    except READ_ERRORS as error:
        name = getattr(error, "sqlite_errorname", "")
        if name.startswith(("SQLITE_BUSY", "SQLITE_LOCKED")):
            raise LockedBook(
                f"{place} is open in another program. Close Shaftlog on every bench, then restore."
            ) from error
    finally:
        con.close()
