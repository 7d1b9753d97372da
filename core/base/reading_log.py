"""The log of a sweep's readings: what is active, which entries belong to one act, what undo does.

A reading row is never rewritten. A later row may take its place (`replaced_by` names it), or it is
taken back (`replaced_by` names the row itself). Rows of one *act* (one Enter, one accepted
correction, one station turned round) share their time. When an undo brings an earlier reading
back, it is a copy with the time of the first entry, so the copy belongs to the first act.
Pure functions over the rows of one sweep, in the order they were stored.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace

from core.base.records import Reading

PlaceKey = tuple[float, str, float | None]
"""Station in, kind ('mark' for a blocked one too), clock deg (None where a station has one)."""


@dataclass(frozen=True)
class ReadingEntry:
    """One reading to be stored: values as in `Reading`."""

    station_in: float
    clock_deg: float | None
    value_in: float | None
    raw: str
    kind: str = "mark"
    seen: str | None = None
    """Id of the active reading that the person saw at this place; None = an empty place."""


def place_key(row: Reading | ReadingEntry) -> PlaceKey:
    """The place of a reading. A blocked mark has the place of the mark."""
    kind = "mark" if row.kind == "blocked" else row.kind
    return (row.station_in, kind, row.clock_deg if kind in ("mark", "closing") else None)


def active(rows: Sequence[Reading]) -> tuple[Reading, ...]:
    """The readings that count now."""
    return tuple(row for row in rows if row.replaced_by is None)


def last_act(rows: Sequence[Reading], elsewhere: Collection[str] = ()) -> tuple[Reading, ...]:
    """Active readings of the newest act; acts with a time in `elsewhere` are passed over."""
    own = [row for row in active(rows) if row.taken_at not in elsewhere]
    newest = max((row.taken_at for row in own), default="")
    return tuple(row for row in own if row.taken_at == newest)


def brought_back(rows: Sequence[Reading], gone: Sequence[Reading]) -> tuple[Reading, ...]:
    """The readings that become active again when the act `gone` is undone, as they were.

    A reading that the act had moved to another station comes back at that station.
    """
    found = []
    for row in gone:
        chain = _same_entry(rows, row)
        before = [r for r in rows if r.replaced_by in chain and r.taken_at != row.taken_at]
        if before:
            newest = max(before, key=lambda r: r.id)
            found.append(replace(newest, station_in=row.station_in, replaced_by=None))
    return tuple(found)


def _same_entry(rows: Sequence[Reading], row: Reading) -> set[str]:
    """Ids of a row, of its earlier copies and of the rows it was moved from."""
    same_act = [r for r in rows if r.taken_at == row.taken_at]
    chain, places = {row.id}, {place_key(row)}
    while True:
        more = [
            r
            for r in same_act
            if r.id not in chain and (place_key(r) in places or r.replaced_by in chain)
        ]
        if not more:
            return chain
        chain |= {r.id for r in more}
        places |= {place_key(r) for r in more}


def confirmed(rows: Sequence[Reading]) -> frozenset[str]:
    """Ids of active readings entered again with the same value: looked at again and right."""
    marks = {row.id: row for row in rows if row.kind == "mark"}
    again = {
        (after.taken_at, place_key(after))
        for before in marks.values()
        if (after := marks.get(before.replaced_by or "")) is not None
        and after.taken_at != before.taken_at
        and after.value_in == before.value_in
    }
    return frozenset(row.id for row in active(rows) if (row.taken_at, place_key(row)) in again)


def is_copy(rows: Sequence[Reading], row: Reading) -> bool:
    """Whether an undo or a move stored this row: an earlier row is the same entry."""
    return min(_same_entry(rows, row)) < row.id


def is_correction(rows: Sequence[Reading], row: Reading) -> bool:
    """Whether the entry took the place of an earlier one."""
    return any(r.replaced_by == row.id and r.taken_at != row.taken_at for r in rows)
