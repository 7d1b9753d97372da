"""A working copy of the invented shop, as fresh as on the day it was made.

What is entered stays in the copy, the original as it is.
"""

from __future__ import annotations

import shutil
import tempfile
from contextlib import suppress
from datetime import timedelta
from pathlib import Path

from core.base.paths import DEMO_NAME, demo_copy_path, shipped_demo_path
from core.base.times import utc_now
from core.base.whole_file import whole_file
from core.book.errors import FolderMissing

JUST_NOW = timedelta(minutes=2)


def demo_copy(place: Path | None = None) -> Path:
    """Path of the copy; it is made when it is not there yet, and kept otherwise.

    Without a place the copy lies in the user's data folder, or in a temporary folder when that
    cannot be written to. Where the shipped file is missing the shop is made again.
    """
    if place is not None:
        return place if place.exists() else _fill(place)
    usual = demo_copy_path()
    if usual.exists():
        return usual
    try:
        usual.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
        return _fill(usual)
    except (OSError, FolderMissing):
        return _fill(Path(tempfile.mkdtemp(prefix="shaftlog-demo-")) / DEMO_NAME)


def _fill(place: Path) -> Path:
    """Copy or make the shop under another name first, so that no half copy is ever opened."""
    if not place.parent.is_dir():
        raise FolderMissing(
            f"The folder {place.parent} does not exist. Make it, or choose another place."
        )
    with suppress(FileExistsError), whole_file(place) as part:  # another program was first
        shipped = shipped_demo_path()
        if shipped.exists():
            shutil.copyfile(shipped, part)
        else:
            from core.demo.make import fill_demo

            fill_demo(part)
        _move_to_now(part)
    return place


def _move_to_now(part: Path) -> None:
    """The last entry was made a moment ago: clocks run, nothing is long overdue."""
    from core.book.opening import open_book
    from core.book.upkeep.move_times import move_times
    from core.book.upkeep.newest import newest_entry

    with open_book(part) as book:
        newest = newest_entry(book.con)
        if newest is not None and newest < utc_now() - JUST_NOW:
            move_times(book, utc_now() - newest - JUST_NOW)
