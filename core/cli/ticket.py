"""`shaftlog ticket TAG`: the paper that goes with the shaft, frozen once the job is released."""

from __future__ import annotations

import argparse
import sys

from core.base.text import plain_ascii
from core.cli.frame import DONE, book_path


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """TAG and the form."""
    parser.add_argument("tag", metavar="TAG", help="the job's tag")
    form = parser.add_mutually_exclusive_group()
    form.add_argument("--html", action="store_true", help="one page with the runout drawn")
    form.add_argument("--ascii", action="store_true", help="plain ASCII, for an old printer")


def run(args: argparse.Namespace) -> int:
    """Print the frozen ticket of a released job, or a draft that says what is missing."""
    from core.book import jobs
    from core.book.opening import open_book
    from core.reports.ticket_collect import ticket_of

    with open_book(book_path(args), create=False, read_only=True) as book:
        ticket = ticket_of(book, jobs.job_by_tag(book, args.tag).id)
    text = ticket.html if args.html else ticket.text
    sys.stdout.write(plain_ascii(text) if args.ascii else text)
    return DONE
