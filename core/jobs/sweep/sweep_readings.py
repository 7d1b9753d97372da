"""From stored readings to what the core computes with."""

from __future__ import annotations

from dataclasses import replace

from core.base.reading_log import confirmed
from core.base.records import Reading, Sweep
from core.book import history, jobs, readings, settings, sweeps
from core.book.connection import Book
from core.jobs.sweep.extra_readings import FIRST_AGAIN, HALF_TURN, extra_done
from core.jobs.sweep.sweep_session import true_clock_rad
from core.runout.readings import QuickReading, StationReadings, SweepReadings


def readings_for_core(book: Book, sweep_id: str) -> SweepReadings:
    """Readings in force of a sweep, by station along the shaft, clock mirrored if rolled back, with
    what was read once more for it."""
    sweep = sweeps.sweep(book, sweep_id)
    found = _own_readings(book, sweep)
    if (again := extra_done(book, sweep, FIRST_AGAIN)) is not None:
        found = replace(found, repeat=_own_readings(book, again).stations[0])
    if (turned := extra_done(book, sweep, HALF_TURN)) is not None:
        from core.analysis.half_turn import wheels_of  # loads numpy

        found = replace(found, wheels=wheels_of(found, _own_readings(book, turned)))
    return found


def _own_readings(book: Book, sweep: Sweep) -> SweepReadings:
    by_station: dict[float, list[Reading]] = {}
    every = readings.readings_of(book, sweep.id, all_rows=True)
    right = confirmed(every)
    for reading in every:
        if reading.replaced_by is not None:
            continue
        by_station.setdefault(reading.station_in, []).append(reading)
    shop = settings.load(book)
    length_in = history.shaft_of(book, jobs.job(book, sweep.job_id)).length_in
    return SweepReadings(
        stations=tuple(
            _station(sweep, station_in, by_station[station_in], right)
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


def _station(
    sweep: Sweep, station_in: float, taken: list[Reading], right: frozenset[str]
) -> StationReadings:
    """The readings of one station in the order of the roll: a mark read again keeps its place.

    The closing reading is compared with the first mark that was read, so only one taken at that
    mark counts.
    """
    order = {mark: number for number, mark in enumerate(sweep.marks_deg)}

    def of(kind: str) -> list[Reading]:
        found = [row for row in taken if row.kind == kind]
        return sorted(found, key=lambda row: order.get(row.clock_deg or 0.0, len(order)))

    def clocks(rows: list[Reading]) -> tuple[float, ...]:
        return tuple(true_clock_rad(row.clock_deg or 0.0, sweep.direction) for row in rows)

    marks, tirs, spots = of("mark"), of("tir"), of("high spot")
    first_deg = marks[0].clock_deg if marks else None
    closings = [row.value_in for row in of("closing") if row.clock_deg == first_deg]
    quick = None
    if tirs and spots and not marks:
        quick = QuickReading(tirs[-1].value_in or 0.0, clocks(spots)[-1])
    return StationReadings(
        station_in=station_in,
        clock_rad=clocks(marks),
        reading_in=tuple(row.value_in or 0.0 for row in marks),
        blocked_rad=clocks(of("blocked")),
        closing_in=closings[-1] if closings else None,
        quick=quick,
        right=tuple(n for n, row in enumerate(marks) if row.id in right),
    )
