"""Hits: what was planned and done at the press or with heat, and what was read meanwhile."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from core.base.records import Hit, HitReading
from core.book import rows
from core.book.audit import note_change
from core.book.connection import Book
from core.book.errors import Overtaken, Refused
from core.book.gate import check_job

NOT_UNDONE = "undone_at IS NULL"
_UNREAD_SWEEPS_BEGIN_LATER = (
    "UPDATE sweep SET started_at = ? WHERE job_id = ? AND started_at <= ? "
    "AND finished_at IS NULL AND purpose <> 'quick check' "
    "AND NOT EXISTS (SELECT 1 FROM reading WHERE reading.sweep_id = sweep.id)"
)


def add_hit(
    book: Book,
    *,
    job_id: str,
    round_no: int,
    method: str,
    station_in: float,
    clock_deg: float,
    angle_rad: float,
    load_lbf: float | None = None,
    travel_in: float | None = None,
    stays_in: float | None = None,
    at: str = "",
    by: str = "",
    seen_last: str | None = None,
    **more: Any,
) -> Hit:
    """Store a hit: station, clock of the high side, angle meant to come out.

    `at`: when it was made; '' = now. `by`: who made it; '' = the name of the bench. Load, travel,
    what stays: as read; None = not read. `more`: the other fields of `Hit`. A sweep set up but not
    read begins after it.

    `seen_last`: id of the last hit in the plan the person was shown ('' = none). When another bench
    has noted, corrected or taken back a hit since, `Overtaken` is raised: that plan is old.
    """
    new = Hit(
        book.new_id(),
        job_id,
        round_no,
        method,
        float(station_in),
        float(clock_deg),
        float(angle_rad),
        load_lbf,
        travel_in,
        stays_in,
        by.strip() or book.by,
        at or book.now(),
        **more,
    )
    with book.write() as con:
        if seen_last is not None:
            _check_last(book, job_id, seen_last)
        rows.insert(book, new)
        con.execute(_UNREAD_SWEEPS_BEGIN_LATER, (book.now(), job_id, new.at))
    return rows.get(book, Hit, new.id)


def _check_last(book: Book, job_id: str, seen_last: str) -> None:
    """Raise `Overtaken` when the hits of the job are not those of the plan that was shown."""
    last = last_entered(book, job_id)
    if seen_last != ("" if last is None else last.id):
        now = "there is none" if last is None else f"{_summary(last)}, {last.by or 'no name'}"
        raise Overtaken(
            "Another bench has noted a hit or taken one back since this plan was shown. The last "
            f"hit now: {now}. Nothing was noted: look at the new plan first."
        )


def hits_of(book: Book, job_id: str, round_no: int | None = None) -> tuple[Hit, ...]:
    """The hits of a job in order, of one round if it is named; those taken back left out.

    A hit whose loads were read one by one stays at what the last of them left.
    """
    found = rows.select(book, Hit, f"job_id = ? AND {NOT_UNDONE} ORDER BY at, id", (job_id,))
    loads = {r.hit_id: r for r in readings_of_job(book, job_id) if r.kind == "load"}
    return tuple(
        replace(h, travel_in=loads[h.id].travel_in, stays_in=loads[h.id].value_in)
        if h.id in loads
        else h
        for h in found
        if round_no is None or h.round_no == round_no
    )


def last_round(book: Book, job_id: str) -> int:
    """Number of the last round of hits, 0 before the first."""
    row = book.one(f"SELECT max(round_no) FROM hit WHERE job_id = ? AND {NOT_UNDONE}", (job_id,))
    return int(row[0]) if row and row[0] else 0


def hit(book: Book, hit_id: str) -> Hit:
    """The hit with this id, taken back or not."""
    return rows.get(book, Hit, hit_id)


def correct_hit(book: Book, hit_id: str, **changes: Any) -> Hit:
    """Replace a hit by an entry with other figures, made at the same time in the same round.

    The first entry keeps its row, marked as undone; the new one names it.
    """
    with book.write() as con:
        first = hit(book, hit_id)
        if first.undone_at is not None:
            raise Refused("This hit was taken back or corrected meanwhile: look at the list again.")
        new = replace(first, id=book.new_id(), corrects=first.id, **changes)
        rows.insert(book, new)
        con.execute("UPDATE hit SET undone_at = ? WHERE id = ?", (book.now(), first.id))
        note_change(book, "hit", first.id, "taken back", _summary(first), "")
        note_change(book, "hit", new.id, "corrected", _summary(first), _summary(new))
    return hit(book, new.id)


def _summary(made: Hit) -> str:
    return (
        f"{made.method} at {made.station_in:g} in, {made.clock_deg:.0f} deg, "
        f"{1000 * made.angle_rad:.2f} mrad"
    )


def last_entered(book: Book, job_id: str) -> Hit | None:
    """The newest entry among the hits that count: what undo takes back."""
    return max(hits_of(book, job_id), key=lambda made: made.id, default=None)


def undo_hit(book: Book, job_id: str) -> Hit | None:
    """Take back the hit entered last (it stays in the book); None = there is none.

    Taking a correction back brings the entry it replaced back.
    """
    with book.write() as con:
        check_job(book, job_id)
        last = last_entered(book, job_id)
        if last is None:
            return None
        con.execute("UPDATE hit SET undone_at = ? WHERE id = ?", (book.now(), last.id))
        if last.corrects is not None:
            con.execute("UPDATE hit SET undone_at = NULL WHERE id = ?", (last.corrects,))
            before = _summary(hit(book, last.corrects))
            note_change(book, "hit", last.corrects, "taken back", "", before)
        note_change(book, "hit", last.id, "taken back", f"{last.station_in:g} in", "")
    return last


def jobs_hit_of_material(book: Book, material: str, most: int) -> tuple[str, ...]:
    """Ids of the newest jobs with hits on shafts of a material, newest first."""
    found = book.rows(
        "SELECT DISTINCT job.id FROM job JOIN shaft ON shaft.id = job.shaft_id "
        f"JOIN hit ON hit.job_id = job.id AND hit.{NOT_UNDONE} WHERE shaft.material = ? "
        "ORDER BY job.opened_at DESC LIMIT ?",
        (material, most),
    )
    return tuple(str(row[0]) for row in found)


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
        check_job(book, reading.job_id)
        con.execute("UPDATE hit_reading SET undone_at = ? WHERE id = ?", (book.now(), reading.id))
        note_change(book, "hit_reading", reading.id, "taken back", reading.value_in, "")
