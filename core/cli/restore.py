"""`shaftlog restore [BACKUP]`: a good backup, the proposed or the one named, in the book's place.

Without a name it lists the copies beside the book and takes the newest good one that does not hold
much less than the fullest. The file that stood there is kept.
"""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import TYPE_CHECKING

from core.base.counting import many
from core.base.errors import ShaftlogError
from core.base.times import local_text
from core.cli.frame import DONE, named_book

if TYPE_CHECKING:
    from core.book.upkeep.copies import Copy


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """BACKUP, or none for the proposed one."""
    parser.add_argument(
        "backup",
        metavar="BACKUP",
        nargs="?",
        help="the backup to put in place; left out: the newest good one that is not much emptier "
        "than the fullest",
    )
    parser.add_argument("--list", action="store_true", help="list the copies, restore nothing")


def run(args: argparse.Namespace) -> int:
    """Check the backup, move the book aside, put the backup in its place."""
    from core.book.privacy.text import restored_words
    from core.book.upkeep.backup import restore
    from core.book.upkeep.copies import proposed, weighed

    place = named_book(args)
    if args.backup and args.list:
        raise ShaftlogError("--list shows every copy: leave the name of the backup out")
    if args.backup:
        backup = Path(args.backup)
        if not backup.is_file():
            raise ShaftlogError(f"{backup}: there is no such file")
    else:
        chosen = proposed(place)
        for copy in weighed(place):
            print(_line(copy, proposed=chosen is not None and copy.file == chosen.file))
        if chosen is None:
            raise ShaftlogError(f"{place}: there is no good backup beside it; name one")
        backup = chosen.file.path
    if args.list:
        return DONE
    kept = restore(place, backup)
    print(f"{backup} put in the place of {place}")
    if kept is not None:
        print(f"the book that stood there is kept as {kept}")
    again = restored_words(place, kept)
    if again:
        print(again)
    return DONE


def _line(copy: Copy, *, proposed: bool) -> str:
    """One copy: when, why, what it holds."""
    mark = "->" if proposed else "  "
    start = f"{mark} {copy.file.at:%Y-%m-%d %H:%M}  {copy.file.kind:<14}"
    if copy.contents is None:
        return f"{start}cannot be read"
    held = copy.contents
    last = local_text(held.newest_at) if held.newest_at else "none"
    less = "; HOLDS MUCH LESS THAN THE ONE BEFORE" if copy.much_less else ""
    holds = f"{many(held.jobs, 'job')}, {many(held.readings, 'reading')}"
    return f"{start}{holds}, last entry {last}{less}"
