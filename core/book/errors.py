"""What can go wrong with a job book, each with plain words and a way on."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager

from core.base.errors import ShaftlogError


class BookError(ShaftlogError):
    """The job book could not do what was asked; nothing already stored was changed."""


class NotABook(BookError):
    """The file is no job book."""


class NewerBook(BookError):
    """The book was written by a newer program."""


class DamagedBook(BookError):
    """The file is damaged."""


class ReadOnlyBook(BookError):
    """The book cannot be written to here."""


class LockedBook(BookError):
    """Another program holds the book."""


class DiskFull(BookError):
    """No room left where the book lives."""


class FolderMissing(BookError):
    """The folder of the book does not exist or cannot be entered."""


class MovedBook(BookError):
    """The file was deleted, moved or replaced while it was open."""


class SavedElsewhere(BookError):
    """The book had to be closed; all of it is kept under another name."""


class LogDeleted(BookError):
    """The write-ahead log was deleted while the book was open."""


class Overtaken(BookError):
    """Another bench has entered something at the same place meanwhile."""


class NotFound(BookError):
    """There is no such customer, job, ... in the book."""


class ClosedJob(BookError):
    """The job is closed; it takes no entries until it is opened again."""


class Refused(BookError):
    """The value cannot be stored: it breaks a rule of the book."""


def damaged(path: str) -> DamagedBook:
    """The refusal of a damaged file."""
    return DamagedBook(
        f"{path} is damaged. It is left as it is: run `shaftlog check`, then restore the "
        "last good backup; the damaged file is kept beside it."
    )


def _words(name: str, path: str, detail: str) -> BookError:
    """Our exception for SQLite's error `name` (such as SQLITE_BUSY)."""
    if name.startswith(("SQLITE_BUSY", "SQLITE_LOCKED")):
        return LockedBook(
            f"{path} is in use by another program. Nothing was lost: wait a moment and try again."
        )
    if name.startswith("SQLITE_FULL"):
        return DiskFull(
            f"The disk holding {path} is full. Make room (delete or move other files), then "
            "try again: it is not stored yet."
        )
    if name.startswith(("SQLITE_READONLY", "SQLITE_PERM", "SQLITE_AUTH")):
        return ReadOnlyBook(
            f"{path} cannot be written to. Ask for write permission on the file and its folder, "
            "or copy the book to a place of your own; then try again."
        )
    if name.startswith("SQLITE_CORRUPT") or "decode to UTF-8" in detail:
        return damaged(path)
    if name.startswith("SQLITE_NOTADB"):
        return NotABook(
            f"{path} is not a job book. Nothing was changed: choose another file, or a new name "
            "to start a new book."
        )
    if name.startswith("SQLITE_CANTOPEN"):
        return FolderMissing(
            f"{path} cannot be opened. Check that its folder exists and that you may use it; "
            "then try again."
        )
    if name.startswith("SQLITE_IOERR_SHM"):
        return DiskFull(
            f"The disk holding {path} is full: there is no room for the small file that SQLite "
            "keeps beside an open book. Nothing was changed: make room, then try again."
        )
    if name.startswith("SQLITE_IOERR"):
        return DiskFull(
            f"The disk holding {path} does not answer properly ({name}). Check the cable, the "
            "network drive or the free space, then try again. What was being entered "
            "is not stored yet."
        )
    if name.startswith("SQLITE_CONSTRAINT"):
        return Refused(f"The book refuses this value: {detail}. Check what was typed.")
    return BookError(
        f"{path}: the job book reports '{detail}'. Try again, or run `shaftlog check`."
    )


READ_ERRORS = (sqlite3.Error, UnicodeDecodeError, OverflowError)
"""All that reading a damaged file can raise (also when SQLite's own message quotes rubbish)."""


def book_error(error: Exception, path: str) -> BookError:
    """One of `READ_ERRORS` in our words."""
    if not isinstance(error, sqlite3.Error):
        return damaged(path)
    name = getattr(error, "sqlite_errorname", None) or ""
    if not name and "closed" in str(error):
        return BookError(f"{path} has been closed; open it again.")
    return _words(name, path, str(error))


@contextmanager
def plain_words(path: str) -> Iterator[None]:
    """Turn SQLite's and the file system's errors inside the block into ours."""
    try:
        yield
    except sqlite3.Error as error:
        raise book_error(error, path) from error
    except UnicodeDecodeError as error:
        raise damaged(path) from error
    except UnicodeEncodeError as error:
        raise Refused(
            "What was typed holds signs that are no text (another encoding than UTF-8). Type it "
            "again, or leave them out."
        ) from error
    except OverflowError as error:
        raise Refused(
            f"{path}: a number is too large to be stored. Check what was typed."
        ) from error
    except FileNotFoundError as error:
        raise FolderMissing(
            f"The folder of {path} does not exist. Make it, or choose another place."
        ) from error
    except PermissionError as error:
        raise ReadOnlyBook(
            f"{path} cannot be used: no permission. Ask for permission on the file and its "
            "folder, or copy the book to a place of your own."
        ) from error
    except OSError as error:
        raise DiskFull(
            f"{path}: the disk reports '{error.strerror}'. Check the free space and the drive, "
            "then try again."
        ) from error
