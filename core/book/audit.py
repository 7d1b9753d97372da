"""The event log: who changed what, when, with the old and the new value. Only ever added to."""

from __future__ import annotations

from typing import Any

from core.base.shop_records import Event
from core.book import gate, rows
from core.book.connection import Book
from core.book.errors import Refused


def _text(value: Any) -> str:
    return "" if value is None else str(value)


def note_change(book: Book, subject: str, subject_id: str, what: str, old: Any, new: Any) -> None:
    """Write one event (joins the transaction it is called in)."""
    event = Event(
        book.new_id(), book.now(), book.by, subject, subject_id, what, _text(old), _text(new)
    )
    rows.insert(book, event)


def change(
    book: Book, record_type: type[rows.Record], record_id: str, changes: dict[str, Any]
) -> rows.Record:
    """Change fields of one record, each change with its event (old and new)."""
    unknown = set(changes) - set(rows.columns(record_type)) | ({"id"} & set(changes))
    if unknown:
        raise Refused(f"There is no field {', '.join(sorted(unknown))} to change.")
    table = rows.table_of(record_type)
    with book.write() as con:
        before = rows.get(book, record_type, record_id)
        gate.check_record(book, before)
        for name, value in changes.items():
            new = rows.stored(name, value)
            old = rows.stored(name, getattr(before, name))
            if new == old:
                continue
            con.execute(f"UPDATE {table} SET {name} = ? WHERE id = ?", (new, record_id))
            note_change(book, table, record_id, name, old, new)
    return rows.get(book, record_type, record_id)


def events_of(book: Book, subject: str, subject_id: str) -> tuple[Event, ...]:
    """The events of one customer, shaft, job, ..., oldest first."""
    return rows.select(
        book, Event, "subject = ? AND subject_id = ? ORDER BY at, id", (subject, subject_id)
    )


def events_of_job(book: Book, job_id: str) -> tuple[Event, ...]:
    """The events of a job and of all that hangs on it (sweeps, checks, hits), oldest first."""
    return rows.select(
        book,
        Event,
        "subject_id IN (SELECT ?1 UNION ALL SELECT id FROM sweep WHERE job_id = ?1 "
        "UNION ALL SELECT id FROM penetrant_check WHERE job_id = ?1 "
        "UNION ALL SELECT id FROM hit WHERE job_id = ?1) ORDER BY at, id",
        (job_id,),
    )
