"""`shaftlog merge OTHER.db`: take in the jobs of another book, such as a laptop's from the yard."""

from __future__ import annotations

import argparse
from pathlib import Path

from core.base.text import lines_of
from core.cli.frame import DONE, NOTHING, book_path


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """OTHER and whether only to look."""
    parser.add_argument("other", metavar="OTHER.db", help="the other book; never changed")
    parser.add_argument("--dry-run", action="store_true", help="say what would happen, do nothing")


def run(args: argparse.Namespace) -> int:
    """Merge by ids and print the report; exit code 1 when there are conflicts to look at."""
    from core.book.opening import open_book
    from core.book.upkeep import backup
    from core.book.upkeep.merge import merge_book
    from core.book.upkeep.private_copy import private_book

    place, other = book_path(args), Path(args.other)
    if args.dry_run:
        with private_book(place) as book:
            report = merge_book(book, other, dry_run=True)
    else:
        with open_book(place, create=False) as book:
            backup.before_merge(book.path)
            report = merge_book(book, other, dry_run=False)
    print(lines_of(report.words))
    if args.dry_run:
        print("dry run: nothing was changed")
    return NOTHING if report.conflicts else DONE
