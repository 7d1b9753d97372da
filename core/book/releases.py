"""Papers a job ends with, frozen: the ticket of a released shaft, the closing paper of another."""

from __future__ import annotations

from core.base.records import Job, Release
from core.book import rows
from core.book.audit import note_change
from core.book.connection import Book
from core.book.errors import Refused
from core.book.jobs import set_state


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
    (`core.jobs.blocks.release_blocks`); an overrule needs both a name and a reason.
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
    return _store(book, new, "released")


def close_job(
    book: Book, *, job_id: str, state: str, by: str, ticket_text: str, ticket_html: str
) -> Release:
    """Freeze the closing paper of a job that is not released ('replaced' or 'returned')."""
    if not by.strip():
        raise Refused("A closing paper needs the name of the person who closes the job.")
    if state not in ("replaced", "returned"):
        raise Refused("A job that is not released ends as replaced or as returned.")
    new = Release(book.new_id(), job_id, book.now(), by, "", "", ticket_text, ticket_html)
    return _store(book, new, state)


def _store(book: Book, new: Release, state: str) -> Release:
    """Paper and state in one transaction, with one moment that ties them together."""
    with book.write():
        rows.insert(book, new)
        set_state(book, new.job_id, state, closed_at=new.at)
        if new.overrule_by:
            overrule = f"{new.overrule_by}: {new.overrule_reason}"
            note_change(book, "job", new.job_id, "release overruled", "", overrule)
    return rows.get(book, Release, new.id)


def releases_of(book: Book, job_id: str) -> tuple[Release, ...]:
    """The papers of a job, oldest first (a job may come back and be closed again)."""
    return rows.select(book, Release, "job_id = ? ORDER BY at, id", (job_id,))


def last_release(book: Book, job_id: str) -> Release | None:
    """The newest paper, or None."""
    found = releases_of(book, job_id)
    return found[-1] if found else None


def paper_in_force(book: Book, job: Job) -> Release | None:
    """The paper the job ended with; None while it is open, or when it was closed without one."""
    last = last_release(book, job.id)
    if last is None or (job.state != "released" and last.at != job.closed_at):
        return None
    return last
