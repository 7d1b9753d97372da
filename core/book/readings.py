"""Readings: append-only. A reading is on the disk when the function that took it returns."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from typing import Any

from core.base.records import Reading
from core.book import rows
from core.book.audit import note_change
from core.book.connection import Book
from core.book.errors import Overtaken, Refused
from core.book.gate import check_sweep

ANY = "any"
_SAME_PLACE = (
    "(clock_deg IS ? OR kind = 'high spot') "
    "AND (kind = ? OR (kind IN ('mark', 'blocked') AND ? IN ('mark', 'blocked')))"
)


def take_reading(
    book: Book,
    sweep_id: str,
    *,
    station_in: float,
    clock_deg: float | None,
    value_in: float | None,
    raw: str,
    kind: str = "mark",
    in_place_of: str | None = ANY,
) -> Reading:
    """Store one reading; when it returns, the reading has been committed and fsynced.

    A reading already standing at the same station and mark is replaced (and kept). `kind`
    'blocked' has no value, 'tir' no clock, 'high spot' no value. `in_place_of` is the id of the
    reading that the person saw standing there (None = none): when another one stands there by now,
    `Overtaken` is raised and nothing stored.
    """
    new = _new_reading(book, sweep_id, station_in, clock_deg, value_in, raw, kind)
    with book.write():
        if in_place_of != ANY:
            _check_place(book, new, in_place_of)
        _store(book, new)
    return new


def _check_place(book: Book, new: Reading, seen_id: str | None) -> None:
    found = book.one(
        "SELECT id, raw FROM reading WHERE sweep_id = ? AND station_in = ? "
        f"AND {rows.NOT_REPLACED} AND {_SAME_PLACE}",
        (new.sweep_id, new.station_in, new.clock_deg, new.kind, new.kind),
    )
    if found is not None and found[0] != seen_id:
        raise Overtaken(
            f"Another bench has read this mark meanwhile: {found[1]}. Yours is not stored; Enter "
            "once more puts it in place of that one, Backspace drops it."
        )


def take_readings(book: Book, sweep_id: str, many: Iterable[dict[str, Any]]) -> int:
    """Store many readings (keywords of `take_reading`) in one transaction; how many."""
    count = 0
    with book.write():
        for one in many:
            _store(
                book,
                _new_reading(
                    book,
                    sweep_id,
                    one["station_in"],
                    one["clock_deg"],
                    one["value_in"],
                    one.get("raw", ""),
                    one.get("kind", "mark"),
                ),
            )
            count += 1
    return count


def _new_reading(
    book: Book,
    sweep_id: str,
    station_in: float,
    clock_deg: float | None,
    value_in: float | None,
    raw: str,
    kind: str,
) -> Reading:
    if value_in is not None and not abs(value_in) < 100:
        raise Refused(f"A reading of {value_in:g} in is beyond any dial. Type it again.")
    if not 0 <= station_in < 10_000:
        raise Refused(f"Station {station_in:g} in is not on any shaft. Check the station.")
    if clock_deg is not None and not -360 <= clock_deg <= 720:
        raise Refused(f"A clock of {clock_deg:g} degrees cannot be. Give 0 to 360.")
    clean_raw = rows.stored("raw", raw)
    station = float(station_in)
    clock = None if clock_deg is None else float(clock_deg)
    value = None if value_in is None else float(value_in)
    return Reading(book.new_id(), sweep_id, station, clock, value, clean_raw, kind, book.now())


def _store(book: Book, new: Reading) -> None:
    rows.insert(book, new)
    book.con.execute(
        "UPDATE reading SET replaced_by = ? WHERE sweep_id = ? AND station_in = ? "
        f"AND {rows.NOT_REPLACED} AND id <> ? AND {_SAME_PLACE}",
        (new.id, new.sweep_id, new.station_in, new.id, new.clock_deg, new.kind, new.kind),
    )


def correct_reading(book: Book, reading_id: str, *, value_in: float | None, raw: str) -> Reading:
    """Put a new value in the place of an earlier reading, which stays in the book.

    `value_in=None` makes it a blocked mark.
    """
    old = rows.get(book, Reading, reading_id)
    if old.replaced_by is not None:
        raise Refused("That reading has been replaced already. Mend the one that stands.")
    kind = old.kind
    if kind in ("mark", "blocked"):
        kind = "blocked" if value_in is None else "mark"
    new = _new_reading(book, old.sweep_id, old.station_in, old.clock_deg, value_in, raw, kind)
    with book.write() as con:
        rows.insert(book, new)
        con.execute("UPDATE reading SET replaced_by = ? WHERE id = ?", (new.id, old.id))
    return new


def undo_reading(book: Book, sweep_id: str) -> Reading | None:
    """Take back the last reading that stands; the row stays, marked. None = nothing to undo.

    When that reading had replaced an earlier one, the earlier value is entered again.
    """
    with book.write() as con:
        check_sweep(book, sweep_id)
        last = rows.select(
            book,
            Reading,
            f"sweep_id = ? AND {rows.NOT_REPLACED} ORDER BY taken_at DESC, id DESC LIMIT 1",
            (sweep_id,),
        )
        if not last:
            return None
        con.execute("UPDATE reading SET replaced_by = id WHERE id = ?", (last[0].id,))
        note_change(book, "sweep", sweep_id, "reading taken back", last[0].raw, "")
        # A reading entered again by an undo is the same entry under another id: what its first
        # row had replaced is what stands behind it.
        same = "sweep_id = ? AND station_in = ? AND clock_deg IS ? AND taken_at = ? AND raw = ?"
        entry = (sweep_id, last[0].station_in, last[0].clock_deg, last[0].taken_at, last[0].raw)
        earlier = rows.select(
            book,
            Reading,
            f"replaced_by IN (SELECT id FROM reading WHERE {same}) "
            f"AND id NOT IN (SELECT id FROM reading WHERE {same}) ORDER BY id DESC LIMIT 1",
            (*entry, *entry),
        )
        if earlier:
            old = earlier[0]
            # The time it was read stays the same, so that the next undo goes on to the entry
            # before the mend and does not take this one back again.
            rows.insert(book, replace(old, id=book.new_id(), replaced_by=None))
    return last[0]


def readings_of(book: Book, sweep_id: str, *, all_rows: bool = False) -> tuple[Reading, ...]:
    """The readings that stand, in the order taken; `all_rows` adds the replaced ones."""
    where = "sweep_id = ?" if all_rows else f"sweep_id = ? AND {rows.NOT_REPLACED}"
    return rows.select(book, Reading, f"{where} ORDER BY id", (sweep_id,))


def last_reading_times(book: Book, job_id: str) -> dict[str, str]:
    """By sweep of a job: when the last of its marks was read for the first time.

    A value corrected later was still read then; readings taken back do not count.
    """
    return dict(
        book.rows(
            "SELECT sweep_id, max(first) FROM (SELECT sweep_id, min(taken_at) AS first "
            "FROM reading WHERE sweep_id IN (SELECT id FROM sweep WHERE job_id = ?) "
            "AND (replaced_by IS NULL OR replaced_by <> id) "
            "GROUP BY sweep_id, station_in, clock_deg) GROUP BY sweep_id",
            (job_id,),
        )
    )
