"""Papers of a job, each as text for any printer and as PDF; written to files beside the book."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import partial
from pathlib import Path

from core.book import customers, history, jobs, settings
from core.book.connection import Book
from core.reports.export_file import write_export
from core.reports.letter import letter_as_html, letter_as_text
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
    """The ticket."""
    return page_paper("ticket", tag, ticket.text, ticket.html)


def letter_paper(tag: str, letter: str) -> Paper:
    """The letter to the owner."""
    return page_paper("letter", tag, letter_as_text(letter), letter_as_html(letter, tag))


def page_paper(what: str, tag: str, text: str, html: str) -> Paper:
    """A paper whose PDF is drawn from its page; a letter is set larger than a ticket."""

    def pdf(sheet: str) -> bytes:
        from core.reports.pdf.page_pdf import BODY_PT, LETTER_PT, page_pdf

        size_pt = LETTER_PT if what == "letter" else BODY_PT
        return page_pdf(html, f"Shaft {what}, tag {tag}", sheet, size_pt=size_pt)

    return Paper(what, tag, pdf, text, html)


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


def _text(text: str, title: str, sheet: str) -> bytes:
    from core.reports.pdf.text_pdf import text_pdf

    return text_pdf(text, title, sheet)
