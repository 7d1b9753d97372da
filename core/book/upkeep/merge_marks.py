"""Marks read, and figures measured, in both of two merged books: one counts, both are listed."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import TypeVar

from core.base.records import Measurement, Reading
from core.book import rows
from core.book.connection import Book
from core.book.upkeep.conflicts import Conflict, label_of, note_conflict, said

One = TypeVar("One")
_TWICE_READ = (
    f"{rows.NOT_REPLACED} AND sweep_id IN (SELECT sweep_id FROM reading "
    f"WHERE {rows.NOT_REPLACED} GROUP BY sweep_id, station_in, "
    "iif(kind = 'high spot', NULL, clock_deg), iif(kind = 'blocked', 'mark', kind) "
    "HAVING count(*) > 1) ORDER BY id"
)
_TWICE_MEASURED = (
    f"{rows.NOT_REPLACED} AND job_id IN (SELECT job_id FROM measurement "
    f"WHERE {rows.NOT_REPLACED} GROUP BY job_id, subject, what, set_no, depth_in, clock_deg "
    "HAVING count(*) > 1) ORDER BY id"
)


def settle_marks(book: Book, before: dict[str, set[str]]) -> list[Conflict]:
    """Let the entry made last count at each place that has several; the conflicts, in words.

    `before`: ids of the readings and measurements that were here before the merge.
    """
    readings: dict[tuple[object, ...], list[Reading]] = {}
    for reading in rows.select(book, Reading, _TWICE_READ):
        kind = "mark" if reading.kind == "blocked" else reading.kind
        clock = None if kind == "high spot" else reading.clock_deg
        readings.setdefault((reading.sweep_id, reading.station_in, clock, kind), []).append(reading)
    measured: dict[tuple[object, ...], list[Measurement]] = {}
    for one in rows.select(book, Measurement, _TWICE_MEASURED):
        place = (one.job_id, one.subject, one.what, one.set_no, one.depth_in, one.clock_deg)
        measured.setdefault(place, []).append(one)
    found = [_reading_conflict(book, same, before["reading"]) for same in _several(readings)]
    found += [_figure_conflict(book, same, before["measurement"]) for same in _several(measured)]
    return [one for one in found if one is not None]


def _several(places: dict[tuple[object, ...], list[One]]) -> Iterable[list[One]]:
    return (same for same in places.values() if len(same) > 1)


def _replace(book: Book, table: str, ids: Sequence[str]) -> None:
    book.con.executemany(
        f"UPDATE {table} SET replaced_by = ? WHERE id = ?", [(ids[-1], old) for old in ids[:-1]]
    )


def _reading_conflict(book: Book, same: list[Reading], here: set[str]) -> Conflict | None:
    _replace(book, "reading", [one.id for one in same])
    other, last = same[-2], same[-1]
    if (other.value_in, other.kind, other.clock_deg) == (last.value_in, last.kind, last.clock_deg):
        return None
    clock = "" if last.clock_deg is None else f", clock {last.clock_deg:g} deg"
    kind = "" if last.kind == "mark" else f" ({last.kind})"
    found = Conflict(
        "reading", last.id, label_of(book, "reading", last.id),
        f"station {last.station_in:g} in{clock}{kind}",
        said(book, last), said(book, other), other.id,
        last.id not in here,
    )  # fmt: skip
    note_conflict(book, found, last.id)
    return found


def _figure_conflict(book: Book, same: list[Measurement], here: set[str]) -> Conflict | None:
    _replace(book, "measurement", [one.id for one in same])
    other, last = same[-2], same[-1]
    if (other.value_in, other.raw) == (last.value_in, last.raw):
        return None
    depth = "" if last.depth_in is None else f" at {last.depth_in:g} in"
    clock = "" if last.clock_deg is None else f", clock {last.clock_deg:g} deg"
    found = Conflict(
        "measurement", last.id, label_of(book, "measurement", last.id),
        f"{last.subject} {last.what}{depth}{clock}", said(book, last), said(book, other), other.id,
        last.id not in here,
    )  # fmt: skip
    note_conflict(book, found, last.id)
    return found
