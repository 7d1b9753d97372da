"""From stored readings to what the core computes with, and where a sweep stopped."""

from __future__ import annotations

import math
from collections.abc import Sequence

from core.base.records import Reading, ResumePoint, Sweep
from core.book import jobs, readings, rows, settings, shafts, sweeps
from core.book.connection import Book
from core.runout.readings import QuickReading, StationReadings, SweepReadings


def readings_for_core(book: Book, sweep_id: str) -> SweepReadings:
    """All that stands in a sweep, by station along the shaft, clock mirrored if rolled back."""
    sweep = sweeps.sweep(book, sweep_id)
    by_station: dict[float, list[Reading]] = {}
    every = readings.readings_of(book, sweep_id, all_rows=True)
    right = looked_at_again(every)
    for reading in every:
        if reading.replaced_by is not None:
            continue
        by_station.setdefault(reading.station_in, []).append(reading)
    shop = settings.load(book)
    length_in = shafts.shaft(book, jobs.job(book, sweep.job_id).shaft_id).length_in
    return SweepReadings(
        stations=tuple(
            _station(station_in, by_station[station_in], sweep.direction, right)
            for station_in in sorted(by_station)
            # A station taken off the list keeps its readings but no longer counts.
            if station_in in sweep.stations_in or not sweep.stations_in
        ),
        rollers_in=(sweep.roller_a_in, sweep.roller_b_in),
        resolution_in=sweep.resolution_in,
        repeatability_in=sweep.repeatability_in,
        dial_turn_in=sweep.dial_turn_in,
        length_in=length_in,
        ovality_prior_in=shop.oval_prior_in,
        lobes_prior_in=shop.lobe_prior_in,
    )


def looked_at_again(every: Sequence[Reading]) -> frozenset[str]:
    """Ids of readings that stand for one of the same value: looked at again and found right."""
    marks = {r.id: r for r in every if r.kind == "mark"}
    return frozenset(
        after.id
        for before in marks.values()
        if (after := marks.get(before.replaced_by or "")) is not None
        and after.id != before.id
        and after.value_in == before.value_in
    )


def _station(
    station_in: float, taken: list[Reading], direction: int, right: frozenset[str]
) -> StationReadings:
    def clocks(kind: str) -> tuple[float, ...]:
        return tuple(
            true_clock_rad(r.clock_deg, direction)
            for r in taken
            if r.kind == kind and r.clock_deg is not None
        )

    def values(kind: str) -> tuple[float, ...]:
        return tuple(r.value_in for r in taken if r.kind == kind and r.value_in is not None)

    tirs, spots = values("tir"), clocks("high spot")
    closings = values("closing")
    marked = clocks("mark")
    quick = QuickReading(tirs[-1], spots[-1]) if tirs and spots and not marked else None
    return StationReadings(
        station_in=station_in,
        clock_rad=marked,
        reading_in=values("mark"),
        blocked_rad=clocks("blocked"),
        closing_in=closings[-1] if closings else None,
        quick=quick,
        right=tuple(n for n, r in enumerate(r for r in taken if r.kind == "mark") if r.id in right),
    )


def resume_point(book: Book, sweep_id: str) -> ResumePoint:
    """Where the sweep stopped: the mark to be read next.

    It is the first mark still empty at the station where the last entry (or undo) was made; when
    that station is full, the next station along the list that has an empty mark.
    """
    sweep = sweeps.sweep(book, sweep_id)
    wanted = _places(sweep)
    every = readings.readings_of(book, sweep_id, all_rows=True)
    full = {(r.station_in, _slot(sweep, r)) for r in every if r.replaced_by is None}
    taken = sum((station, slot) in full for station in sweep.stations_in for slot in wanted)
    count = len(sweep.stations_in)
    start = _last_station_no(sweep, every)
    for step in range(count):
        number = (start + step) % count
        station_in = sweep.stations_in[number]
        for slot in wanted:
            if (station_in, slot) not in full:
                return _point(sweep, number, slot, taken, complete=False)
    return _point(sweep, max(count - 1, 0), wanted[-1], taken, complete=True)


def _places(sweep: Sweep) -> tuple[int, ...]:
    """Numbers of the entries one station asks for (marks, then the closing mark; or 0 and 1)."""
    if not sweep.marks_deg:
        return (0, 1)
    return tuple(range(len(sweep.marks_deg) + (1 if sweep.closing else 0)))


def _slot(sweep: Sweep, reading: Reading) -> int:
    if reading.kind in ("tir", "high spot"):
        return 0 if reading.kind == "tir" else 1
    if reading.kind == "closing":
        return len(sweep.marks_deg)
    try:
        return sweep.marks_deg.index(reading.clock_deg or 0.0)
    except ValueError:
        return -1


def _last_station_no(sweep: Sweep, every: tuple[Reading, ...]) -> int:
    for reading in reversed(every):
        if reading.station_in in sweep.stations_in:
            return sweep.stations_in.index(reading.station_in)
    return 0


def _point(sweep: Sweep, number: int, slot: int, taken: int, *, complete: bool) -> ResumePoint:
    if not sweep.marks_deg:
        kind, clock_deg = ("tir", None) if slot == 0 else ("high spot", None)
    elif slot >= len(sweep.marks_deg):
        kind, clock_deg = "closing", sweep.marks_deg[0]
    else:
        kind, clock_deg = "mark", sweep.marks_deg[slot]
    station_in = sweep.stations_in[number] if sweep.stations_in else 0.0
    wanted = len(sweep.stations_in) * len(_places(sweep))
    return ResumePoint(number, station_in, slot, clock_deg, kind, taken, wanted, complete)


def reading_at(
    book: Book, sweep_id: str, station_in: float, clock_deg: float | None, kind: str = "mark"
) -> Reading | None:
    """The reading that stands at a station and mark (blocked marks too), or None."""
    kinds = ("mark", "blocked") if kind == "mark" else (kind, kind)
    found = rows.select(
        book,
        Reading,
        "sweep_id = ? AND station_in = ? AND clock_deg IS ? AND kind IN (?, ?) "
        "AND replaced_by IS NULL ORDER BY id DESC LIMIT 1",
        (sweep_id, station_in, clock_deg, *kinds),
    )
    return found[0] if found else None


def true_clock_rad(clock_deg: float, direction: int) -> float:
    """Clock of the shaft in radians, 0 to 2 pi, for a mark called out while rolling that way."""
    return math.radians((direction * clock_deg) % 360.0)
