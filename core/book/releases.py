"""Releases: the ticket that left with the shaft, frozen."""

from __future__ import annotations

from core.book import rows
from core.book.errors import Refused
from core.book.events import note_change
from core.book.file import Book
from core.book.jobs import set_state
from core.book.records import Release


def release_job(
    book: Book,
    *,
    job_id: str,
    by: str,
    ticket_text: str,
    ticket_html: str,
    overrule_by: str = "",
    overrule_reason: str = "",
) -> Release:
    """Freeze the ticket and close the job, in one transaction.

    Whether something still blocks the release is for the caller to ask
    (`core.steps.release_blocks`); an overrule needs both a name and a reason.
    """
    if not by.strip():
        raise Refused("A release needs the name of the person who releases.")
    if bool(overrule_by.strip()) != bool(overrule_reason.strip()):
        raise Refused("To overrule, both a name and a written reason are needed.")
    new = Release(
        book.new_id(),
        job_id,
        book.now(),
        by,
        overrule_by,
        overrule_reason,
        ticket_text,
        ticket_html,
    )
    with book.write():
        rows.insert(book, new)
        set_state(book, job_id, "released")
        if new.overrule_by:
            overrule = f"{new.overrule_by}: {new.overrule_reason}"
            note_change(book, "job", job_id, "release overruled", "", overrule)
    return rows.get(book, Release, new.id)


def releases_of(book: Book, job_id: str) -> tuple[Release, ...]:
    """The releases of a job, oldest first (a job may come back and be released again)."""
    return rows.select(book, Release, "job_id = ? ORDER BY at, id", (job_id,))


def last_release(book: Book, job_id: str) -> Release | None:
    """The ticket in force, or None."""
    found = releases_of(book, job_id)
    return found[-1] if found else None
