"""`shaftlog import-cards FILE.csv`: the paper cards of earlier years into the history."""

from __future__ import annotations

import argparse
import sys
from functools import partial

from core.cli.frame import DONE, read_input, shop_book
from core.jobs.card_import.read_cards import COLUMNS, parse_card_columns
from core.jobs.sweep_import.csv_rows import MAX_BYTES

BAR = 40


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """FILE and what the file does not say."""
    parser.add_argument("file", metavar="FILE", help=f"CSV with {', '.join(COLUMNS)}; '-': input")
    parser.add_argument(
        "--column",
        action="append",
        default=[],
        metavar="OURS=THEIRS",
        help="which column serves as which, such as customer=Owner; remembered for the next file",
    )
    parser.add_argument("--dry-run", action="store_true", help="say what would come in, no more")


def run(args: argparse.Namespace) -> int:
    """Read the whole file, list what is left out, store all of it or nothing."""
    from core.jobs.card_import.card_words import first_cards
    from core.jobs.card_import.store_cards import plan_cards, read_for, store_cards

    columns = parse_card_columns(args.column)
    data = read_input(args.file, MAX_BYTES)
    with shop_book(args, read_only=args.dry_run) as book:
        file = read_for(book, data, args.file, columns, partial(_bar, "Reading"))
        plan = plan_cards(book, file, args.file, partial(_bar, "Looking for doubles"))
        if not args.dry_run and plan.cards:
            store_cards(book, plan, columns, partial(_bar, "Storing"))
    print(plan.words(done=not args.dry_run))
    if args.dry_run:
        print(first_cards(file))
    return DONE


def _bar(what: str, done: int, every: int) -> None:
    """A bar on a terminal; nothing where the output goes to a file."""
    if sys.stderr.isatty():
        full, percent = BAR * done // max(every, 1), 100 * done // max(every, 1)
        end = "\n" if done == every else ""
        bar = "#" * full + "." * (BAR - full)
        sys.stderr.write(f"\r{what:<21}[{bar}] {percent} %{end}")
        sys.stderr.flush()
