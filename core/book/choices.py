"""Choices of a job: prices, conditions, set-ups, parts offered, answers of check lists.

    choices.choose(book, job_id=job.id, subject="repair terms", name="labour_rate", number=77.0)
    rate = choices.numbers(book, job.id, "repair terms").get("labour_rate")

A changed choice is a new row and the newest row of a place (subject, name, set) counts, so what was
chosen before, by whom and when, stays in the book.
"""

from __future__ import annotations

from core.base.records import JobChoice
from core.book import rows
from core.book.connection import Book
from core.book.errors import Overtaken

Place = tuple[str, str, int]
"""Subject, name, number of the set."""


def choose(
    book: Book,
    *,
    job_id: str,
    subject: str,
    name: str,
    value: str = "",
    number: float | None = None,
    note: str = "",
    by: str = "",
    set_no: int = 1,
    seen_id: str | None = None,
) -> JobChoice:
    """Store a choice; committed and fsynced on return. `by` is empty: who works at this bench.

    With `seen_id`, the id of the row the person saw ('' = none), `Overtaken` is raised when
    another bench has stored a different choice there meanwhile.
    """
    new = JobChoice(
        book.new_id(), job_id, subject, name, set_no, value,
        None if number is None else float(number), note, by or book.by, book.now(),
    )  # fmt: skip
    with book.write():
        found = current(book, job_id, subject).get((subject, name, set_no))
        if seen_id is not None and found is not None and found.id != seen_id:
            raise Overtaken(
                f"Another bench has entered {found.value or found.number!r} here meanwhile "
                f"({found.by or 'name not known'}). Look at it, then enter yours again."
            )
        rows.insert(book, new)
    return new


def choices_of(book: Book, job_id: str, *subjects: str) -> tuple[JobChoice, ...]:
    """The choices of a job that count, of these subjects if named, in the order made."""
    return tuple(current(book, job_id, *subjects).values())


def current(book: Book, job_id: str, *subjects: str) -> dict[Place, JobChoice]:
    """The choice that counts at each place."""
    every = rows.select(book, JobChoice, "job_id = ? ORDER BY at, id", (job_id,))
    wanted = (one for one in every if not subjects or one.subject in subjects)
    return {(one.subject, one.name, one.set_no): one for one in wanted}


def all_choices(book: Book, job_id: str) -> tuple[JobChoice, ...]:
    """Every choice ever made on a job, oldest first."""
    return rows.select(book, JobChoice, "job_id = ? ORDER BY at, id", (job_id,))


def texts(book: Book, job_id: str, subject: str) -> dict[str, str]:
    """Name -> text of the choices of a subject without sets."""
    return {one.name: one.value for one in choices_of(book, job_id, subject)}


def numbers(book: Book, job_id: str, subject: str) -> dict[str, float]:
    """Name -> figure of the choices of a subject that have one."""
    found = choices_of(book, job_id, subject)
    return {one.name: one.number for one in found if one.number is not None}
