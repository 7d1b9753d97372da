"""What was read while a hit was made: loads under the ram, looks at a cooling bar."""

from __future__ import annotations

from core.base.records import HitReading
from core.book import rows
from core.book.audit import note_change
from core.book.connection import Book


def add_reading(
    book: Book,
    *,
    job_id: str,
    hit_id: str,
    kind: str,
    value_in: float,
    travel_in: float | None = None,
    by: str = "",
) -> HitReading:
    """Store one reading of a hit, taken now. `by`: who read it; '' = the name of the bench."""
    new = HitReading(
        book.new_id(),
        job_id,
        hit_id,
        kind,
        book.now(),
        by.strip() or book.by,
        float(value_in),
        travel_in,
    )
    rows.insert(book, new)
    return new


def readings_of_job(book: Book, job_id: str) -> tuple[HitReading, ...]:
    """The readings of all hits of a job in order; those taken back left out."""
    where = "job_id = ? AND undone_at IS NULL ORDER BY at, id"
    return rows.select(book, HitReading, where, (job_id,))


def undo_reading(book: Book, reading: HitReading) -> None:
    """Take one reading back; it stays in the book."""
    with book.write() as con:
        con.execute("UPDATE hit_reading SET undone_at = ? WHERE id = ?", (book.now(), reading.id))
        note_change(book, "hit_reading", reading.id, "taken back", reading.value_in, "")
