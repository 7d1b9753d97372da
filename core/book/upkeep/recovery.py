"""A book whose file was deleted, moved or replaced while it was open: nothing of it is lost.

The open connection still reads all of it. Where its name is free it is written there again and work
goes on; where another file is now, it is kept beside that one, which then is the book.
"""

from __future__ import annotations

import os
from dataclasses import dataclass
from pathlib import Path

from core.base.times import utc_now
from core.book.connection import Book
from core.book.errors import BookError, FolderMissing, SavedElsewhere, plain_words
from core.book.opening import open_book
from core.book.upkeep import backup, header

AWAY = "until-moved"


@dataclass(frozen=True)
class Recovered:
    """What was done."""

    words: str
    other_book: bool
    """Whether the book now open is another one than before."""


def recover(book: Book) -> Recovered:
    """Save what is open and go on with a sound file under the book's name.

    Raises
    ------
    BookError : it cannot be done now (folder gone, disk full); the open book is as before.
    """
    place = book.path
    if not place.parent.is_dir():
        raise FolderMissing(
            f"{place} is gone, and its folder too. Put the drive or the folder back, and leave "
            "Shaftlog running: it writes the book again. Nothing is stored until then."
        )
    return _beside(book) if place.exists() else _under_its_name(book)


def _under_its_name(book: Book) -> Recovered:
    place = book.path
    part = place.with_name(f"{place.name}.put-back")
    with plain_words(str(place)):
        part.unlink(missing_ok=True)
    backup.save_open_book(book.con, part)
    _close(book)
    with plain_words(str(place)):
        os.rename(part, place)
    _open_again(book)
    return Recovered(
        f"{place.name} had been deleted or moved while it was open. All that was stored has been "
        "written there again; go on. If it was moved on purpose: leave Shaftlog before doing that.",
        other_book=False,
    )


def _beside(book: Book) -> Recovered:
    place = book.path
    header.check(place)
    kept = _free_name(place)
    backup.save_open_book(book.con, kept)
    _close(book)
    try:
        _open_again(book)
    except BookError as error:
        raise SavedElsewhere(
            f"Another file was put in the place of {place.name} while it was open, and cannot be "
            f"opened: {error} What was open is kept whole as {kept}: give it the name of the book, "
            "or start with --book and its name."
        ) from error
    return Recovered(
        f"Another book was put in the place of {place.name} while it was open; that one is open "
        f"now. What was open is kept as {kept.name}: Keeping, take in another book, adds it.",
        other_book=True,
    )


def _close(book: Book) -> None:
    """Close what is open, and let no log of it stay under the name of the other file.

    SQLite would play that log into whatever has the name, and ruin it.
    """
    log = Path(f"{book.path}-wal")
    with plain_words(str(book.path)):
        ours = book.file_guard.owns_log()
        book.close()
        if ours:
            for place in (log, Path(f"{book.path}-shm")):
                place.unlink(missing_ok=True)


def _open_again(book: Book) -> None:
    new = open_book(book.path, create=False, by=book.by)
    book.take_over(new)


def _free_name(place: Path) -> Path:
    stamp = utc_now().astimezone().strftime("%Y%m%d-%H%M%S")
    for number in range(1, 1000):
        more = f"-{number}" if number > 1 else ""
        kept = place.with_name(f"{place.stem}-{AWAY}-{stamp}{more}{place.suffix}")
        if not kept.exists():
            return kept
    raise BookError(f"{place.parent} is full of saved books. Move some away.")
