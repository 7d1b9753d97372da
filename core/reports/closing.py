"""The end of a job: ticket, letter and state are stored together or not at all."""

from __future__ import annotations

from collections.abc import Sequence

from core.base.errors import ShaftlogError
from core.base.times import local_text
from core.book import jobs, releases
from core.book.connection import Book
from core.jobs.release import missing_for_release
from core.reports.letter_job import freeze_letter
from core.reports.ticket_collect import When, collect
from core.reports.ticket_data import Ending, Ticket, TicketData
from core.reports.ticket_page import ticket_html
from core.reports.ticket_text import ticket_text


def release_shaft(
    book: Book,
    job_id: str,
    *,
    by: str,
    overrule_by: str = "",
    overrule_reason: str = "",
    missing: Sequence[str] = (),
    when: When = local_text,
) -> None:
    """Freeze ticket and letter and close the job as released.

    What is `missing` is printed; whether it may be overruled is for the caller to ask.
    """
    with book.write():
        overrule = f"{overrule_by}: {overrule_reason}" if overrule_by else ""
        data = collect(book, job_id, released_by=by, overrule=overrule, missing=missing, when=when)
        paper = _papers(book, job_id, data)
        releases.release_job(
            book,
            job_id=job_id,
            by=by,
            ticket_text=paper.text,
            ticket_html=paper.html,
            overrule_by=overrule_by,
            overrule_reason=overrule_reason,
        )


def close_unreleased(
    book: Book, job_id: str, *, state: str, by: str, reason: str, when: When = local_text
) -> None:
    """End a job without a release: closing paper, letter, reason as a note, and state."""
    if not reason.strip():
        raise ShaftlogError("Why is it closed? Type a reason; it is printed on the closing paper.")
    with book.write():
        ending = Ending(state, by, reason)
        data = collect(
            book, job_id, missing=missing_for_release(book, job_id), ending=ending, when=when
        )
        paper = _papers(book, job_id, data)
        jobs.add_note(book, job_id=job_id, text=reason, topic="Close without release")
        releases.close_job(
            book,
            job_id=job_id,
            state=state,
            by=by,
            ticket_text=paper.text,
            ticket_html=paper.html,
        )


def _papers(book: Book, job_id: str, data: TicketData) -> Ticket:
    freeze_letter(book, job_id, data)
    return Ticket(ticket_text(data), ticket_html(data))
