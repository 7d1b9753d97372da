"""Hits: what was planned and done at the press or with heat, round by round."""

from __future__ import annotations

from core.base.records import Hit
from core.book import rows
from core.book.audit import note_change
from core.book.connection import Book

NOT_UNDONE = "undone_at IS NULL"


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
    notes: str = "",
    at: str = "",
) -> Hit:
    """Store a hit: station, clock of the high side, angle meant to come out.

    `at` : when it was made, as stored; '' = now. A full sweep that is set up but not yet read
    begins after the hit.
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
        book.by,
        at or book.now(),
        notes,
    )
    with book.write() as con:
        rows.insert(book, new)
        con.execute(
            "UPDATE sweep SET started_at = ? WHERE job_id = ? AND started_at <= ? "
            "AND finished_at IS NULL AND purpose <> 'quick check' "
            "AND NOT EXISTS (SELECT 1 FROM reading WHERE reading.sweep_id = sweep.id)",
            (book.now(), job_id, new.at),
        )
    return rows.get(book, Hit, new.id)


def hits_of(book: Book, job_id: str, round_no: int | None = None) -> tuple[Hit, ...]:
    """The hits of a job in order, of one round if it is named; those taken back left out."""
    found = rows.select(book, Hit, f"job_id = ? AND {NOT_UNDONE} ORDER BY at, id", (job_id,))
    return tuple(h for h in found if round_no is None or h.round_no == round_no)


def last_round(book: Book, job_id: str) -> int:
    """Number of the last round of hits, 0 before the first."""
    row = book.one(f"SELECT max(round_no) FROM hit WHERE job_id = ? AND {NOT_UNDONE}", (job_id,))
    return int(row[0]) if row and row[0] else 0


def undo_hit(book: Book, job_id: str) -> Hit | None:
    """Take back the last hit entered for a job (it stays in the book); None = there is none."""
    with book.write() as con:
        found = hits_of(book, job_id)
        if not found:
            return None
        last = found[-1]
        con.execute("UPDATE hit SET undone_at = ? WHERE id = ?", (book.now(), last.id))
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
