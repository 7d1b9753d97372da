"""Papers of a job, each as text for any printer and as PDF; written to files beside the book."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import partial
from pathlib import Path

from core.book import customers, history, jobs, settings
from core.book.connection import Book
from core.reports.export_file import write_export
from core.reports.ticket_data import Ticket


@dataclass(frozen=True)
class Paper:
    """One paper; nothing of it is made as PDF before it is asked for."""

    what: str
    """Its name in a sentence: 'ticket'."""
    tag: str
    pdf: Callable[[str], bytes]
    """From the size of the sheet ('letter' or 'A4')."""
    text: str = ""
    """80 columns; '' = there is none, such as of a label."""
    html: str = ""


def ticket_paper(tag: str, ticket: Ticket) -> Paper:
    """The ticket; its PDF is drawn from the page."""
    return Paper("ticket", tag, partial(page_as_pdf, ticket.html, tag), ticket.text, ticket.html)


def text_paper(what: str, tag: str, text: str) -> Paper:
    """A paper that is only text."""
    return Paper(what, tag, partial(_text, text, f"{what} {tag}"), text)


def label_paper(book: Book, job_id: str) -> Paper:
    """The label for the shaft of a job; it has its own size whatever the sheet."""
    from core.reports.pdf.label_pdf import Label, label_pdf

    job = jobs.job(book, job_id)
    vessel, shaft = history.vessel_of(book, job), history.shaft_of(book, job)
    label = Label(
        job.tag,
        f"{vessel.name}, {shaft.position}" if shaft.position else vessel.name,
        customers.customer(book, vessel.customer_id).name,
        settings.load(book).shop_name,
        shaft.zero_end,
    )
    return Paper("label", job.tag, lambda _: label_pdf(label))


def write_paper(paper: Paper, folder: Path, sheet: str) -> tuple[Path, ...]:
    """Write every form of a paper to new files in the exports beside the book."""
    name = f"{paper.tag} {paper.what}"
    forms: dict[str, str | bytes] = {"txt": paper.text, "html": paper.html, "pdf": paper.pdf(sheet)}
    return tuple(
        write_export(folder, name, ending, content) for ending, content in forms.items() if content
    )


def page_as_pdf(html: str, tag: str, sheet: str) -> bytes:
    """The page of a ticket as PDF for a sheet ('letter' or 'A4')."""
    from core.reports.pdf.page_pdf import page_pdf

    return page_pdf(html, f"Shaft ticket, tag {tag}", sheet)


def _text(text: str, title: str, sheet: str) -> bytes:
    from core.reports.pdf.text_pdf import text_pdf

    return text_pdf(text, title, sheet)
