"""Files and folders that carry their name only when they are whole and on the disk.

They are written as `NAME.shaftlog-part` beside their place, synced, and only then given their name.
What is there already is never written over. A run that is killed leaves the part and nothing else;
the next run that writes the same name throws it away. A part that a running program writes is
locked, so that it is never taken for a left-over; without such locks (not POSIX) a left-over stays.
"""

from __future__ import annotations

import errno
import os
import re
import shutil
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from core.base.paths import OWNER_ONLY

POSIX = os.name == "posix"
if POSIX:
    import fcntl

PART = ".shaftlog-part"
"""No other program names its files so: what carries it may be thrown away."""
_TAILS = ("-wal", "-shm", "-journal", "")
"""Of a part that is a database."""


@contextmanager
def whole_file(place: Path) -> Iterator[Path]:
    """An empty part to write to; at the end of the block it is synced and gets its name.

    Raises FileExistsError when the name is taken. After an error nothing is left.
    """
    if place.exists():
        raise _taken(place)
    with part_of(place) as part:
        yield part
        put_in_place(part, place)


@contextmanager
def part_of(place: Path) -> Iterator[Path]:
    """An empty part beside `place` to write to; it is gone at the end of the block."""
    wanted = place.with_name(place.name + PART)
    discard_left_over(wanted)
    part = _new_file(wanted)
    lock = _locked(part)
    try:
        yield part
    finally:
        _unlink(part)
        _let_go(lock)


def put_in_place(part: Path, place: Path) -> None:
    """Give a finished part its name, both on the disk; raises FileExistsError if it is taken."""
    sync(part)
    give_name(part, place)
    sync_folder(place.parent)


@contextmanager
def whole_folder(folder: Path, *, last: str = "") -> Iterator[Path]:
    """A folder to write files into; at the end they are synced and are in `folder`.

    `folder` is new or empty: a new one gets its name at once; into an empty one (a stick) the files
    are moved, the one called `last` after all others. Raises FileExistsError when it holds
    something. After an error nothing is left.
    """
    there = folder.exists()
    part = folder / f"export{PART}" if there else folder.with_name(folder.name + PART)
    part.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
    discard_left_over(part)
    if there and any(folder.iterdir()):
        raise _taken(folder)
    part.mkdir(mode=0o700)
    lock = _locked(part)
    try:
        yield part
        for file in part.iterdir():
            sync(file)
        sync_folder(part)
        if there:
            _move_all(part, folder, last)
        else:
            os.rename(part, folder)
    finally:
        shutil.rmtree(part, ignore_errors=True)
        _let_go(lock)
    sync_folder(folder.resolve().parent)


def _move_all(part: Path, folder: Path, last: str) -> None:
    moved: list[Path] = []
    try:
        for file in sorted(part.iterdir(), key=lambda file: (file.name == last, file.name)):
            moved.append(folder / file.name)
            os.rename(file, moved[-1])
    except BaseException:
        for place in moved:
            place.unlink(missing_ok=True)
        raise
    sync_folder(folder)


def discard_left_overs(folder: Path) -> None:
    """Throw away what killed runs left in a folder that is the program's own."""
    for part in folder.glob(f"*{PART}*") if folder.is_dir() else ():
        if re.fullmatch(rf"{re.escape(PART)}(-[0-9]+)?", part.suffix):
            discard_left_over(part)


def discard_left_over(part: Path) -> None:
    """Throw a part away unless a running program writes it; what cannot be thrown away stays."""
    if not POSIX or part.is_symlink():
        return
    with suppress(OSError):
        lock = os.open(part, os.O_RDONLY)
        try:
            fcntl.flock(lock, fcntl.LOCK_EX | fcntl.LOCK_NB)
            if part.is_dir():
                shutil.rmtree(part)
            else:
                _unlink(part)
        finally:
            os.close(lock)


def _unlink(part: Path) -> None:
    for tail in _TAILS:
        Path(f"{part}{tail}").unlink(missing_ok=True)


def _new_file(wanted: Path) -> Path:
    """A new, empty file of this name, or with a number behind it: never one that is there."""
    place, number = wanted, 1
    while True:
        try:
            os.close(os.open(place, os.O_CREAT | os.O_EXCL | os.O_RDWR, OWNER_ONLY))
        except FileExistsError:
            number += 1
            place = wanted.with_name(f"{wanted.name}-{number}")
        else:
            return place


def give_name(part: Path, place: Path) -> None:
    """Let a finished file have its name; never over another file."""
    try:
        os.link(part, place)
    except FileExistsError:
        raise
    except OSError:
        # Sticks and network drives often know no second name for a file.
        if place.exists():
            raise
        os.rename(part, place)


def sync(path: Path) -> None:
    """Wait until a file is on the disk."""
    number = os.open(path, os.O_RDONLY)
    try:
        os.fsync(number)
    finally:
        os.close(number)


def sync_folder(folder: Path) -> None:
    """Wait until the names in a folder are on the disk."""
    if POSIX:
        sync(folder)


def _locked(part: Path) -> int | None:
    """A descriptor whose lock says that the part is being written; None where there is none."""
    if not POSIX:
        return None
    lock = os.open(part, os.O_RDONLY)
    with suppress(OSError):  # a file system without locks
        fcntl.flock(lock, fcntl.LOCK_EX | fcntl.LOCK_NB)
    return lock


def _let_go(lock: int | None) -> None:
    if lock is not None:
        os.close(lock)


def _taken(place: Path) -> FileExistsError:
    return FileExistsError(errno.EEXIST, os.strerror(errno.EEXIST), str(place))
