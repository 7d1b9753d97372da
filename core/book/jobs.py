"""Jobs, their tags and their notes."""

from __future__ import annotations

from typing import Any

from core.base.shop_records import OPEN_STATES, WORK, Job, Note
from core.base.times import local_text
from core.book import rows
from core.book.audit import change, note_change
from core.book.connection import Book
from core.book.errors import ClosedJob, NotFound, Overtaken, Refused


def next_tag(book: Book) -> str:
    """The next free tag: year, dash, number in the year, such as 26-014."""
    year = local_text(book.now(), "%y")
    row = book.one(
        "SELECT max(CAST(substr(tag, 4) AS INTEGER)) FROM job WHERE tag GLOB ?",
        (f"{year}-[0-9]*",),
    )
    last = row[0] if row and row[0] else 0
    return f"{year}-{last + 1:03d}"


def start_job(
    book: Book,
    *,
    shaft_id: str,
    roller_a_in: float | None = None,
    roller_b_in: float | None = None,
    complaint: str = "",
    due: str = "",
    notes: str = "",
    work: tuple[str, ...] = WORK,
    tag: str = "",
) -> Job:
    """A new job on a shaft; the tag is chosen unless one is given."""
    with book.write():
        wanted = tag.strip() or next_tag(book)
        if book.one("SELECT 1 FROM job WHERE tag = ?", (wanted,)):
            raise Refused(
                f"The tag {wanted} is already on another job. Leave it out to get a new one."
            )
        _check_none_open(book, shaft_id)
        new = Job(
            book.new_id(),
            wanted,
            shaft_id,
            "open",
            book.now(),
            None,
            roller_a_in,
            roller_b_in,
            complaint,
            due,
            notes,
            "",
            tuple(work),
        )
        rows.insert(book, new)
        note_change(book, "job", new.id, "started", "", wanted)
    return job(book, new.id)


def _check_none_open(book: Book, shaft_id: str) -> None:
    here = book.one("SELECT tag FROM job WHERE shaft_id = ? AND closed_at IS NULL", (shaft_id,))
    if here:
        raise Overtaken(
            f"This shaft is in the shop already: job {here[0]} is open. No second one is made."
        )


def job(book: Book, job_id: str) -> Job:
    """The job with this id."""
    return rows.get(book, Job, job_id)


def job_by_tag(book: Book, tag: str) -> Job:
    """The job with this tag, typed in either case; `NotFound` when there is none."""
    found = rows.select(book, Job, "tag = ? COLLATE NOCASE", (tag.strip(),))
    if not found:
        raise NotFound(f"There is no job with the tag {tag.strip()!r}. Search for it by name.")
    return found[0]


def jobs_of_shaft(book: Book, shaft_id: str) -> tuple[Job, ...]:
    """All jobs on a shaft, newest first."""
    return rows.select(book, Job, "shaft_id = ? ORDER BY opened_at DESC, id DESC", (shaft_id,))


def open_jobs(book: Book) -> tuple[Job, ...]:
    """The jobs in the shop, oldest first."""
    return rows.select(book, Job, "closed_at IS NULL ORDER BY opened_at, id")


def any_job(book: Book) -> bool:
    """Whether the book holds a job, open or closed."""
    return book.one("SELECT 1 FROM job LIMIT 1") is not None


def change_job(book: Book, job_id: str, **changes: Any) -> Job:
    """Change fields by name; the state goes through `set_state`."""
    if set(changes) & {"state", "closed_at", "tag", "opened_at"}:
        raise Refused("Tag, dates and state of a job are not changed by hand.")
    return change(book, Job, job_id, changes)


def set_state(
    book: Book,
    job_id: str,
    state: str,
    *,
    waiting_for: str = "",
    closed_at: str | None = None,
    by: str = "",
) -> Job:
    """Move a job: 'open', 'waiting', 'released', 'replaced' or 'returned' (undo: set it back).

    `closed_at` is the moment of the paper it is closed with; None = now. Only with a name, `by`, is
    a closed job opened again, so that no bench does it unawares; the event log keeps it.
    """
    with book.write() as con:
        before = job(book, job_id)
        if before.closed_at is not None and state in OPEN_STATES:
            who = by.strip()
            if not who:
                raise ClosedJob(
                    f"Job {before.tag} is closed ({before.state}). F7 on its card, 'Go on with "
                    "it', opens it again, with a name."
                )
            _check_none_open(book, before.shaft_id)
            note_change(book, "job", job_id, "opened again by", before.state, who)
        closing = closed_at or before.closed_at or book.now()
        con.execute(
            "UPDATE job SET state = ?, closed_at = ?, waiting_for = ? WHERE id = ?",
            (
                state,
                None if state in OPEN_STATES else closing,
                rows.stored("waiting_for", waiting_for),
                job_id,
            ),
        )
        note_change(book, "job", job_id, "state", before.state, state)
        after = job(book, job_id)
        if after.waiting_for != before.waiting_for:
            note_change(book, "job", job_id, "waiting_for", before.waiting_for, after.waiting_for)
    return after


def add_note(book: Book, *, job_id: str, text: str, topic: str = "") -> Note:
    """A note on a job."""
    new = Note(book.new_id(), job_id, topic, text, book.by, book.now())
    rows.insert(book, new)
    return rows.get(book, Note, new.id)


def notes_of(book: Book, job_id: str) -> tuple[Note, ...]:
    """The notes of a job, oldest first."""
    return rows.select(book, Note, "job_id = ? ORDER BY at, id", (job_id,))


def log_printed(book: Book, job_id: str, what: str) -> None:
    """Keep that a paper of the job was printed, also of a closed one: it changes nothing of it."""
    with book.write():
        note_change(book, "job", rows.get(book, Job, job_id).id, "printed", "", what)
