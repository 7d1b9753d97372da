"""`shaftlog erase WHO`: delete a customer's personal data on request; the measurements stay."""

from __future__ import annotations

import argparse

from core.base.errors import ShaftlogError
from core.base.text import lines_of
from core.cli.frame import DONE, book_path


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """WHO, and the written confirmation."""
    parser.add_argument("who", metavar="WHO", help="the whole name, or the tag of one of the jobs")
    parser.add_argument(
        "--confirm",
        metavar="NAME",
        help="the customer's name once more: deletes for good; left out: only says what would go",
    )


def run(args: argparse.Namespace) -> int:
    """Say what goes and what stays; with the name typed as confirmation, do it."""
    from core.book.opening import open_book
    from core.book.privacy import erase as privacy
    from core.book.privacy.text import done_words, plan_words

    looking = args.confirm is None
    with open_book(book_path(args), create=False, read_only=looking) as book:
        plan = privacy.erase_plan(book, privacy.customer_by_words(book, args.who).id)
        if looking:
            print(lines_of(plan_words(plan)))
            print("Nothing was changed. To delete it: --confirm and the name.")
            return DONE
        if not plan.customer.forgotten_at and not plan.confirmed_by(args.confirm):
            raise ShaftlogError(
                f"{args.confirm!r} is not what has to be typed to confirm: {plan.to_type!r}; "
                "nothing was changed"
            )
        print(lines_of(done_words(privacy.erase_customer(book, plan.customer.id))))
    return DONE
