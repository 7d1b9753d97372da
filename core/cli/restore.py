"""`shaftlog restore [BACKUP]`: a good backup, the newest or the one named, in the book's place.

The file that stood there is kept.
"""

from __future__ import annotations

import argparse
from pathlib import Path

from core.base.errors import ShaftlogError
from core.base.paths import default_book_path
from core.cli.frame import DONE


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """BACKUP, or none for the newest good one."""
    parser.add_argument(
        "backup",
        metavar="BACKUP",
        nargs="?",
        help="the backup to put in place; left out: the newest good one beside the book",
    )


def run(args: argparse.Namespace) -> int:
    """Check the backup, move the book aside, put the backup in its place."""
    from core.book.privacy.text import restored_words
    from core.book.upkeep.backup import last_good, restore

    place = Path(args.book) if args.book else default_book_path()
    if args.backup:
        backup = Path(args.backup)
        if not backup.exists():
            raise ShaftlogError(f"{backup}: there is no such file")
    else:
        newest = last_good(place)
        if newest is None:
            raise ShaftlogError(f"{place}: there is no good backup beside it; name one")
        backup = newest.path
    kept = restore(place, backup)
    print(f"{backup} put in the place of {place}")
    if kept is not None:
        print(f"the book that stood there is kept as {kept}")
    again = restored_words(place, kept)
    if again:
        print(again)
    return DONE
