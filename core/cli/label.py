"""`shaftlog label TAG FILE`: the label for the shaft as PDF, with the bar code of the tag."""

from __future__ import annotations

import argparse

from core.cli.frame import DONE, shop_book, write_new


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """TAG and where it goes."""
    parser.add_argument("tag", metavar="TAG", help="the job's tag")
    parser.add_argument("file", metavar="FILE", help="a new PDF file; '-' for standard output")


def run(args: argparse.Namespace) -> int:
    """Write the label, 4 by 2 inches."""
    from core.book import jobs
    from core.reports.paper import label_paper

    with shop_book(args, read_only=True) as book:
        label = label_paper(book, jobs.job_by_tag(book, args.tag).id)
        write_new(args.file, label.pdf(""))
    return DONE
