"""The copies of a book that lie beside it: which there are, what each holds, which to restore."""

from __future__ import annotations

from collections.abc import Sequence
from contextlib import closing
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from core.book.errors import BookError, DamagedBook, plain_words
from core.book.upkeep import header
from core.book.upkeep.look import look

DAILY = "daily"
BEFORE_UPDATE = "before-update"
BY_HAND = "by-hand"
BEFORE_MERGE = "before-merge"
SET_ASIDE = "set-aside"
_KINDS = (DAILY, BEFORE_UPDATE, BY_HAND, BEFORE_MERGE)
MUCH_LESS = 0.5
"""A copy with fewer jobs or readings than this share of a fuller one is not proposed unasked."""


@dataclass(frozen=True)
class BackupFile:
    """One backup beside a book."""

    path: Path
    kind: str
    """'daily', 'before-update', 'by-hand' or 'before-merge'; only daily ones are thrown away."""
    at: datetime
    """When it was made, local time."""
    size_bytes: int


@dataclass(frozen=True)
class BackupContents:
    """What a backup holds, to choose one by."""

    jobs: int
    readings: int
    newest_at: str
    """When the last entry in it was made, as stored; empty = nothing was ever entered."""


def backup_folder(book_path: str | Path) -> Path:
    """The folder in which the backups of this book lie."""
    place = Path(book_path)
    return place.with_name(f"{place.stem}-backups")


@dataclass(frozen=True)
class Copy:
    """A copy and what it holds."""

    file: BackupFile
    contents: BackupContents | None
    """None = it cannot be read."""
    much_less: bool
    """It holds much less than the copy made before it: look before restoring it."""


def list_backups(book_path: str | Path) -> tuple[BackupFile, ...]:
    """The backups beside a book, newest first."""
    folder, stem = backup_folder(book_path), Path(book_path).stem
    found = []
    for place in folder.glob(f"{stem}-*.db") if folder.is_dir() else ():
        for kind in _KINDS:
            start = f"{stem}-{kind}-"
            at = _moment_in(place.name[len(start) :]) if place.name.startswith(start) else None
            if at is not None:
                found.append(BackupFile(place, kind, at, place.stat().st_size))
    return tuple(sorted(found, key=lambda b: (b.at, b.path.name), reverse=True))


def books_set_aside(book_path: str | Path) -> tuple[BackupFile, ...]:
    """Books that a restored backup has replaced, newest first; they too can be put in place."""
    place = Path(book_path)
    start = f"{place.stem}-{SET_ASIDE}-"
    found = []
    for kept in place.parent.glob(f"{start}*{place.suffix}"):
        at = _moment_in(kept.name[len(start) :])
        if at is not None:
            found.append(BackupFile(kept, SET_ASIDE, at, kept.stat().st_size))
    return tuple(sorted(found, key=lambda b: (b.at, b.path.name), reverse=True))


def _moment_in(text: str) -> datetime | None:
    try:
        return datetime.strptime(text[:15], "%Y%m%d-%H%M%S")
    except ValueError:
        return None


def check_copy(place: Path) -> None:
    with plain_words(str(place)):
        header.check(place)
        con = look(place)
        try:
            result = con.execute("PRAGMA integrity_check(1)").fetchone()[0]
            tables = con.execute("SELECT count(*) FROM sqlite_master WHERE name = 'job'").fetchone()
        finally:
            con.close()
    if result == "ok" and not tables[0]:
        raise header.not_a_book(place)
    if result != "ok":
        raise DamagedBook(f"The backup {place} is damaged too ({result}). Take an older one.")


def look_into(place: Path) -> BackupContents:
    """Check a copy wholly and count what it holds; a bad one raises `BookError`."""
    check_copy(place)
    return _count(place)


def _count(place: Path) -> BackupContents:
    with plain_words(str(place)):
        header.check(place)
        with closing(look(place)) as con:
            jobs, readings = (
                con.execute(f"SELECT count(*) FROM {table}").fetchone()[0]
                for table in ("job", "reading")
            )
            newest = con.execute(
                "SELECT max(at) FROM (SELECT max(taken_at) AS at FROM reading UNION "
                "SELECT max(at) FROM event)"
            ).fetchone()[0]
    return BackupContents(jobs, readings, newest or "")


def contents_of(place: Path) -> BackupContents | None:
    """What a copy holds, without checking all of it; None when it cannot be read."""
    try:
        return _count(place)
    except BookError:
        return None


def weighed(book_path: str | Path) -> tuple[Copy, ...]:
    """The backups beside a book, newest first, each with what it holds."""
    made = list_backups(book_path)
    held = [contents_of(one.path) for one in made]
    found = []
    for number, (one, holds) in enumerate(zip(made, held, strict=True)):
        before = next((h for h in held[number + 1 :] if h is not None), None)
        less = holds is not None and before is not None and much_less(holds, before)
        found.append(Copy(one, holds, less))
    return tuple(found)


def proposed(book_path: str | Path) -> Copy | None:
    """The copy to restore: the newest good one that does not hold much less than the fullest."""
    every = [one for one in weighed(book_path) if one.contents is not None]
    most = _most([one.contents for one in every if one.contents is not None])
    for one in every:
        if most is None or one.contents is None or much_less(one.contents, most):
            continue
        try:
            check_copy(one.file.path)
        except BookError:
            continue
        return one
    return None


def fullest(made: Sequence[BackupFile]) -> BackupFile | None:
    """The copy that holds most jobs, then most readings; of several the newest."""
    known = [(one, contents_of(one.path)) for one in made]
    full = [(one, held) for one, held in known if held is not None]
    if not full:
        return None
    return max(full, key=lambda pair: (pair[1].jobs, pair[1].readings, pair[0].at))[0]


def _most(held: Sequence[BackupContents]) -> BackupContents | None:
    if not held:
        return None
    jobs, readings = max(h.jobs for h in held), max(h.readings for h in held)
    return BackupContents(jobs, readings, "")


def much_less(one: BackupContents, other: BackupContents) -> bool:
    """Whether one holds much less than the other."""
    return one.jobs < MUCH_LESS * other.jobs or one.readings < MUCH_LESS * other.readings
