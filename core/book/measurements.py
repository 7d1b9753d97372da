"""Measurements of coupling bore, face, pilot, keys and shaft end; append-only like readings."""

from __future__ import annotations

from dataclasses import replace

from core.base.records import Measurement
from core.base.units import format_length
from core.book import rows
from core.book.audit import note_change
from core.book.connection import Book
from core.book.errors import Overtaken, Refused
from core.book.gate import check_job


def take_measurement(
    book: Book,
    *,
    job_id: str,
    subject: str,
    what: str,
    raw: str,
    value_in: float | None = None,
    set_no: int = 1,
    depth_in: float | None = None,
    clock_deg: float | None = None,
    seen_id: str | None = None,
) -> Measurement:
    """Store one figure; committed and fsynced on return.

    The row that counts for the same subject, thing, set, depth and clock is replaced and kept.
    With `seen_id`, the id of the row the person saw ('' = none), `Overtaken` is raised when another
    bench has measured there meanwhile.
    """
    if value_in is not None and not abs(value_in) < 10_000:
        raise Refused(f"A measurement of {format_length(value_in)} cannot be. Check the unit.")
    new = Measurement(
        book.new_id(),
        job_id,
        subject,
        what,
        set_no,
        None if depth_in is None else float(depth_in),
        None if clock_deg is None else float(clock_deg),
        None if value_in is None else float(value_in),
        rows.stored("raw", raw),
        book.now(),
        by=book.by,
    )
    with book.write() as con:
        if seen_id is not None:
            _check_place(book, new, seen_id)
        rows.insert(book, new)
        con.execute(
            f"UPDATE measurement SET replaced_by = ? WHERE job_id = ? AND subject = ? "
            f"AND what = ? AND set_no = ? AND depth_in IS ? AND clock_deg IS ? AND id <> ? "
            f"AND {rows.NOT_REPLACED}",
            (new.id, job_id, subject, what, set_no, new.depth_in, new.clock_deg, new.id),
        )
    return new


def _check_place(book: Book, new: Measurement, seen_id: str) -> None:
    found = rows.select(
        book,
        Measurement,
        "job_id = ? AND subject = ? AND what = ? AND set_no = ? AND depth_in IS ? "
        f"AND clock_deg IS ? AND {rows.NOT_REPLACED}",
        (new.job_id, new.subject, new.what, new.set_no, new.depth_in, new.clock_deg),
    )
    for one in found:
        if one.id != seen_id:
            raise Overtaken(
                f"Another bench has measured this meanwhile: {one.raw} "
                f"({one.by or 'name not known'}"
                "). Look at it, then enter yours again."
            )


def measurements_of(
    book: Book, job_id: str, *subjects: str, all_rows: bool = False
) -> tuple[Measurement, ...]:
    """The measurements that count, of these subjects if named, in the order taken."""
    where = "job_id = ?" if all_rows else f"job_id = ? AND {rows.NOT_REPLACED}"
    found = rows.select(book, Measurement, f"{where} ORDER BY id", (job_id,))
    return tuple(m for m in found if not subjects or m.subject in subjects)


def undo_measurement(book: Book, job_id: str, *subjects: str) -> Measurement | None:
    """Take back the last measurement (of these subjects); an earlier value counts again."""
    with book.write() as con:
        check_job(book, job_id)
        found = measurements_of(book, job_id, *subjects)
        if not found:
            return None
        last = max(found, key=lambda m: (m.taken_at, m.id))
        con.execute("UPDATE measurement SET replaced_by = id WHERE id = ?", (last.id,))
        note_change(book, "job", job_id, f"{last.subject} {last.what} taken back", last.raw, "")
        earlier = rows.select(
            book,
            Measurement,
            "replaced_by = ?1 AND id <> ?1 ORDER BY id DESC LIMIT 1",
            (last.id,),
        )
        if earlier:
            rows.insert(book, replace(earlier[0], id=book.new_id(), replaced_by=None))
    return last
