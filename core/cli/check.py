"""`shaftlog check`: is the job book sound? Looks and reports; changes nothing."""

from __future__ import annotations

import argparse
from pathlib import Path

from core.base.counting import many
from core.base.text import lines_of
from core.cli.frame import DONE, NOTHING, book_path


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Where to save what can still be read."""
    parser.add_argument(
        "--save-to",
        metavar="NEW",
        help="write all that can still be read of a damaged book to this new file",
    )
    parser.add_argument(
        "--mend-index", action="store_true", help="build the search index again first"
    )


def run(args: argparse.Namespace) -> int:
    """Print the report; exit code 1 when the book is not sound."""
    from core.book.upkeep.check import check_book, mend_index

    path = book_path(args)
    if args.mend_index:
        print(f"{many(mend_index(path), 'job')} in the new search index")
    report = check_book(path)
    print(lines_of(report.words))
    if args.save_to:
        from core.book.upkeep.salvage import salvage

        saved = salvage(path, Path(args.save_to))
        count = sum(rows for _, rows in saved.saved)
        lost = sum(rows for _, rows in saved.left_out)
        print(f"{many(count, 'row')} saved to {args.save_to}; {lost} hang on something lost")
        if saved.broken:
            print(f"not read wholly: {', '.join(saved.broken)}")
    return DONE if report.sound else NOTHING
