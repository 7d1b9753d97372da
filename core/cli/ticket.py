"""`shaftlog ticket TAG`: the paper that goes with the shaft, frozen once the job is released."""

from __future__ import annotations

import argparse
import sys

from core.base.errors import ShaftlogError
from core.base.text import plain_ascii
from core.cli.frame import DONE, book_path, refuse, shop_book, write_new

_DAMAGED = "THE JOB BOOK IS DAMAGED. Figures may be wrong: do not hand this out."


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """TAG and the form."""
    parser.add_argument("tag", metavar="TAG", help="the job's tag")
    parser.add_argument("--letter", action="store_true", help="the letter to the owner instead")
    form = parser.add_mutually_exclusive_group()
    form.add_argument("--html", action="store_true", help="one page with the runout drawn")
    form.add_argument("--pdf", metavar="FILE", help="the page as a new PDF file ('-': print it)")
    form.add_argument("--ascii", action="store_true", help="plain ASCII, for an old printer")


def run(args: argparse.Namespace) -> int:
    """Print the frozen ticket of a released job, or a draft that says what is missing.

    A ticket from a damaged book says so on its first line and ends with exit code 2.
    """
    from core.book import jobs, settings
    from core.book.upkeep.check import check_book
    from core.reports.paper import letter_paper, page_paper, ticket_paper
    from core.reports.ticket_collect import ticket_of

    path = book_path(args)
    with shop_book(args, read_only=True) as book:
        job = jobs.job_by_tag(book, args.tag)
        ticket, sheet = ticket_of(book, job.id), settings.load(book).sheet
    if args.letter and not ticket.letter:
        raise ShaftlogError(f"job {job.tag} ended before letters were written; it has none")
    paper = letter_paper(job.tag, ticket.letter) if args.letter else ticket_paper(job.tag, ticket)
    report = check_book(path)
    if report.harm:
        text, html = _marked(paper.text, html=False), _marked(paper.html, html=True)
        paper = page_paper(paper.what, job.tag, text, html)
    if args.pdf:
        write_new(args.pdf, paper.pdf(sheet))
    else:
        text = paper.html if args.html else paper.text
        sys.stdout.write(plain_ascii(text) if args.ascii else text)
    if not report.harm:
        return DONE
    sys.stdout.flush()
    return refuse("ticket", f"{path} is damaged: {report.harm[0]}. {report.way_on}")


def _marked(text: str, *, html: bool) -> str:
    """A ticket that says on its first line that it must not go out."""
    if html:
        return text.replace("<body>", f"<body><p><strong>{_DAMAGED}</strong></p>", 1)
    return f"{_DAMAGED}\n\n{text}"
