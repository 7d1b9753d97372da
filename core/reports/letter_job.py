"""The owner's letter of a job: as changed by hand, and as frozen with the paper the job ended with.

Both are choices of the job (`core.book.choices`): a changed letter is a new row, so that what it
said before, by whom and when, stays in the book.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from hashlib import sha256

from core.base.errors import ShaftlogError
from core.base.records import Release
from core.book import choices
from core.book.connection import Book
from core.reports.letter import letter_body, whole_letter
from core.reports.ticket_data import TicketData

SUBJECT, BODY, PAPER = "letter", "body", "paper"


@dataclass(frozen=True)
class LetterBody:
    """What the letter of an open job says between head and foot."""

    text: str
    from_facts: str
    """As the facts write it now."""
    row_id: str = ""
    """Of the version changed by hand; '' = nobody changed it."""
    outdated: bool = False
    """The facts have changed since it was written by hand."""
    mark: str = ""
    """Changes when the facts do; how the job ends is not among them."""


def body_of(book: Book, job_id: str, data: TicketData) -> LetterBody:
    """As changed by hand, else from the facts."""
    facts = letter_body(data)
    mark = sha256(letter_body(replace(data, ending=None)).encode()).hexdigest()[:16]
    row = choices.current(book, job_id, SUBJECT).get((SUBJECT, BODY, 1))
    if row is None or not row.note:
        return LetterBody(facts, facts, "" if row is None else row.id, mark=mark)
    return LetterBody(row.note, facts, row.id, row.value != mark, mark)


def save_body(book: Book, job_id: str, text: str, seen: LetterBody) -> None:
    """Keep a body changed by hand; the same as from the facts, or empty = from the facts again.

    Raises `Overtaken` when another bench changed the letter since it was `seen`.
    """
    own = "" if text.split() == seen.from_facts.split() else text.strip()
    if own != (seen.text if seen.text != seen.from_facts else "") or seen.outdated:
        choices.choose(
            book,
            job_id=job_id,
            subject=SUBJECT,
            name=BODY,
            value=seen.mark if own else "",
            note=own,
            seen_id=seen.row_id,
        )


def letter_of(book: Book, job_id: str, data: TicketData) -> str:
    """The whole letter as of now."""
    return whole_letter(data, body_of(book, job_id, data).text)


def freeze_letter(book: Book, job_id: str, data: TicketData) -> None:
    """Keep the letter as it goes out (joins the transaction that ends the job).

    Raises
    ------
    ShaftlogError
        It was written by hand before the facts changed: it could say what is no longer so.
    """
    body = body_of(book, job_id, data)
    if body.outdated:
        raise ShaftlogError(
            "The letter to the owner was changed by hand and the figures have changed since. Look "
            "at it (F12 on the release, Letter): F12 there keeps it, F4 writes it again."
        )
    choices.choose(
        book, job_id=job_id, subject=SUBJECT, name=PAPER, note=whole_letter(data, body.text)
    )


def frozen_letter(book: Book, paper: Release) -> str:
    """The letter that went out with a paper; '' = none was written then."""
    every = choices.all_choices(book, paper.job_id)
    written = [
        one.note
        for one in every
        if (one.subject, one.name) == (SUBJECT, PAPER) and one.at <= paper.at
    ]
    return written[-1] if written else ""
