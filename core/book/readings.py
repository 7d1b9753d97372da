"""Readings: append-only. A reading is on the disk when the function that took it returns."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from typing import Any

from core.base.reading_log import ReadingEntry, brought_back, last_act
from core.base.records import Reading
from core.base.times import just_after
from core.base.units import format_dial, format_station
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

    An active reading at the same station and mark is replaced (and kept). `kind` 'blocked' has no
    value, 'tir' no clock, 'high spot' no value. `in_place_of` is the id of the reading that the
    person saw there (None = none): when another one is active by now, `Overtaken` is raised and
    nothing stored.
    """
    entry = ReadingEntry(station_in, clock_deg, value_in, raw, kind, in_place_of)
    return store_act(book, sweep_id, [entry])[0]


def take_readings(book: Book, sweep_id: str, many: Iterable[dict[str, Any]]) -> int:
    """Store many readings (keywords of `take_reading`) in one transaction; how many.

    Each is an act of its own, so that undo takes them back one at a time.
    """
    count = 0
    with book.write():
        at = _act_time(book, sweep_id)
        for one in many:
            entry = ReadingEntry(**({"raw": "", "seen": ANY} | one))
            _store(book, _new_reading(book, sweep_id, entry, at))
            at = just_after(at)
            count += 1
    return count


def store_act(book: Book, sweep_id: str, entries: Sequence[ReadingEntry]) -> tuple[Reading, ...]:
    """Store the readings of one act in one transaction, with one time; the new rows.

    Raises
    ------
    Overtaken : at a place another reading is active than the one in `seen`; nothing is stored.
    Refused : a value that no dial, shaft or circle has; nothing is stored.
    """
    with book.write():
        for entry in entries:
            if entry.seen != ANY:
                _check_place(book, sweep_id, entry)
        at = _act_time(book, sweep_id)
        new = tuple(_new_reading(book, sweep_id, entry, at) for entry in entries)
        for row in new:
            _store(book, row)
    return new


def move_readings(book: Book, sweep_id: str, from_in: float, to_in: float) -> tuple[Reading, ...]:
    """Correct the station of all active readings at one station; the new rows.

    Each keeps the time of its entry, so that undo takes back the same entry as before the move.
    """
    with book.write() as con:
        taken = readings_of(book, sweep_id)
        if any(row.station_in == to_in for row in taken):
            raise Refused(
                f"Readings were taken at {format_station(to_in)} before. Add that station to the "
                "list instead, or choose another place."
            )
        here = [row for row in taken if row.station_in == from_in]
        moved = tuple(
            replace(
                row,
                id=book.new_id(),
                station_in=float(to_in),
                raw=rows.stored("raw", f"{row.raw} (moved from {from_in:g} in)"),
            )
            for row in here
        )
        for old, new in zip(here, moved, strict=True):
            rows.insert(book, new)
            con.execute("UPDATE reading SET replaced_by = ? WHERE id = ?", (new.id, old.id))
    return moved


def _act_time(book: Book, sweep_id: str) -> str:
    """Now, or a moment after the newest entry of the sweep where the clock is not later."""
    now = book.now()
    newest = book.one("SELECT max(taken_at) FROM reading WHERE sweep_id = ?", (sweep_id,))
    last = str(newest[0]) if newest and newest[0] else ""
    return now if now > last else just_after(last)


def _check_place(book: Book, sweep_id: str, new: ReadingEntry) -> None:
    found = book.one(
        "SELECT id, raw FROM reading WHERE sweep_id = ? AND station_in = ? "
        f"AND {rows.NOT_REPLACED} AND {_SAME_PLACE}",
        (sweep_id, new.station_in, new.clock_deg, new.kind, new.kind),
    )
    if (found[0] if found else None) != new.seen:
        now = f"reads {found[1]} now" if found else "is empty again"
        raise Overtaken(f"Another bench changed this mark: it {now}. Yours is not stored.")


def _new_reading(book: Book, sweep_id: str, entry: ReadingEntry, at: str) -> Reading:
    value_in, clock_deg, station_in = entry.value_in, entry.clock_deg, entry.station_in
    if value_in is not None and not abs(value_in) < 100:
        raise Refused(f"A reading of {format_dial(value_in)} is beyond any dial. Type it again.")
    if not 0 <= station_in < 10_000:
        raise Refused(
            f"Station {format_station(station_in)} is not on any shaft. Check the station."
        )
    if clock_deg is not None and not -360 <= clock_deg <= 720:
        raise Refused(f"A clock of {clock_deg:g} degrees cannot be. Give 0 to 360.")
    clock = None if clock_deg is None else float(clock_deg)
    value = None if value_in is None else float(value_in)
    raw = rows.stored("raw", entry.raw)
    return Reading(
        book.new_id(), sweep_id, float(station_in), clock, value, raw, entry.kind, at, by=book.by
    )


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
        raise Refused("That reading has been replaced already. Correct the newer one.")
    kind = old.kind
    if kind in ("mark", "blocked"):
        kind = "blocked" if value_in is None else "mark"
    entry = ReadingEntry(old.station_in, old.clock_deg, value_in, raw, kind, old.id)
    return store_act(book, old.sweep_id, [entry])[0]


def undo_reading(
    book: Book, sweep_id: str, *, seen: Sequence[Reading] | None = None
) -> tuple[Reading, ...]:
    """Take back the last act, and bring back what it had replaced; all rows stay, marked.

    `seen` is the act that the person means (default: the newest one of the sweep); `Overtaken` is
    raised when one of its readings is not active any more. Returns what was taken back.
    """
    with book.write() as con:
        check_sweep(book, sweep_id)
        every = readings_of(book, sweep_id, all_rows=True)
        gone = last_act(every) if seen is None else tuple(seen)
        now_active = {row.id for row in every if row.replaced_by is None}
        if any(row.id not in now_active for row in gone):
            raise Overtaken("Another bench changed your last entry. Look at it again.")
        for row in gone:
            con.execute("UPDATE reading SET replaced_by = id WHERE id = ?", (row.id,))
            note_change(book, "sweep", sweep_id, "reading taken back", row.raw, "")
        for row in brought_back(every, gone):
            # The time of the first entry stays, so that the next undo takes back the act before.
            rows.insert(book, replace(row, id=book.new_id()))
    return gone


def readings_of(book: Book, sweep_id: str, *, all_rows: bool = False) -> tuple[Reading, ...]:
    """The active readings in the order stored; `all_rows` adds the replaced ones."""
    where = "sweep_id = ?" if all_rows else f"sweep_id = ? AND {rows.NOT_REPLACED}"
    return rows.select(book, Reading, f"{where} ORDER BY id", (sweep_id,))


def reading_times(book: Book, job_id: str) -> dict[str, tuple[str, str]]:
    """By sweep of a job that has readings: when its first and its last mark were first read.

    A value corrected later was still read then; readings taken back do not count.
    """
    return {
        sweep_id: (first, last)
        for sweep_id, first, last in book.rows(
            "SELECT sweep_id, min(first), max(first) FROM (SELECT sweep_id, min(taken_at) AS first "
            "FROM reading WHERE sweep_id IN (SELECT id FROM sweep WHERE job_id = ?) "
            "AND (replaced_by IS NULL OR replaced_by <> id) "
            "GROUP BY sweep_id, station_in, clock_deg) GROUP BY sweep_id",
            (job_id,),
        )
    }
