"""Plays bench work into a job book: sweeps read from a simulated shaft, hits, checks, measurements.

Everything comes from the seed and the invented calendar, so that the same book comes out each time.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta

import numpy as np

from core.base.records import Job, Shaft, Sweep
from core.book import hits, shafts, sweeps
from core.book.connection import Book
from core.book.readings import take_reading
from core.demo.simulate import Blocked, TrueBend, TrueShaft, read_sweep
from core.runout.readings import StationReadings
from core.runout.stations import station_list

Slip = Callable[[float], float]
"""What a slip of hand or eye makes of a reading, inches."""
MARKS_DEG = tuple(45.0 * n for n in range(8))
GAUGE = "bench dial 2, 0.0005"
SECONDS_A_READING = 4


class Calendar:
    """The invented shop's clock: does not move until it is set."""

    def __init__(self) -> None:
        self.moment = datetime(2022, 1, 3, 8, 0, tzinfo=UTC)

    def __call__(self) -> datetime:
        return self.moment

    def at(self, day: str, hour: int = 9, minute: int = 0) -> None:
        """Go to a day, such as '2025-06-03', at a time of day."""
        self.moment = datetime.fromisoformat(day).replace(hour=hour, minute=minute, tzinfo=UTC)

    def later(self, *, seconds: float = 0, minutes: float = 0, hours: float = 0) -> None:
        """Let time pass."""
        self.moment += timedelta(seconds=seconds, minutes=minutes, hours=hours)


@dataclass
class DemoBench:
    """One job under way: the book, the calendar, the chance, and the shaft as it truly is."""

    book: Book
    calendar: Calendar
    rng: np.random.Generator
    job: Job
    shaft: Shaft
    true: TrueShaft
    hand: str
    rollers_in: tuple[float, float]
    method: str = "press"
    response: float = 0.9
    rounds: int = field(default=0)

    def stations_in(self, step_in: float = 6.0) -> tuple[float, ...]:
        """The list the shop would read: even spacing, rollers, riding areas."""
        areas = shafts.areas_of(self.book, self.shaft.id)
        return station_list(
            length_in=self.shaft.length_in,
            spacing_in=step_in,
            rollers_in=self.rollers_in,
            areas_in=[(area.from_in, area.to_in) for area in areas],
        )

    def last_stations_in(self) -> tuple[float, ...]:
        """The usual list, and a station at each larger hit: there the verdict asks for one."""
        stations = self.stations_in()
        for hit in hits.hits_of(self.book, self.job.id):
            far = min(abs(hit.station_in - x) for x in stations) > 1.0
            if hit.angle_rad > 0.0015 and far:
                stations = tuple(sorted((*stations, hit.station_in)))
        return stations

    def sweep(
        self,
        purpose: str,
        *,
        stations_in: Sequence[float] = (),
        marks_deg: Sequence[float] = MARKS_DEG,
        slips: Mapping[tuple[float, float], Slip] | None = None,
        stop_after: int | None = None,
        closing: bool = True,
        direction: int = 1,
        gauge: str = GAUGE,
    ) -> Sweep:
        """Read a sweep off the true shaft.

        `slips` holds slips of hand or eye by station and mark. `stop_after` leaves the sweep after
        so many readings.
        """
        usual = self.last_stations_in() if purpose == "final" else self.stations_in()
        places = tuple(stations_in) or usual
        entered = sweeps.start_sweep(
            self.book,
            job_id=self.job.id,
            purpose=purpose,
            roller_a_in=self.rollers_in[0],
            roller_b_in=self.rollers_in[1],
            stations_in=places,
            marks_deg=marks_deg,
            direction=direction,
            gauge=gauge,
            measured_by=self.hand,
            closing=closing,
        )
        read = read_sweep(
            self.true,
            self.rollers_in,
            places,
            [math.radians(mark) for mark in marks_deg],
            rng=self.rng,
            direction=direction,
            closing=closing,
        )
        left = stop_after if stop_after is not None else 10**9
        for station in read.stations:
            left = self._station(entered.id, station, marks_deg, slips or {}, left)
        if stop_after is None:
            sweeps.finish_sweep(self.book, entered.id)
        self.calendar.later(minutes=2)
        return entered

    def quick_sweep(self, purpose: str) -> Sweep:
        """Read every station the quick way: swing of the dial, clock of the high spot."""
        places = self.stations_in(12.0)
        entered = sweeps.start_sweep(
            self.book,
            job_id=self.job.id,
            purpose=purpose,
            roller_a_in=self.rollers_in[0],
            roller_b_in=self.rollers_in[1],
            stations_in=places,
            marks_deg=(),
            gauge=GAUGE,
            measured_by=self.hand,
        )
        for place in places:
            along, across = self.true.centre_in(place, self.rollers_in)[0]
            thou = round(2000 * math.hypot(along, across) * 2) / 2
            clock = round(math.degrees(math.atan2(across, along)) / 15) * 15 % 360
            self._take(entered.id, place, None, thou / 1000, f"{thou:g}", "tir")
            self._take(entered.id, place, float(clock), None, f"{clock:g}", "high spot")
        return sweeps.finish_sweep(self.book, entered.id)

    def _station(
        self,
        sweep_id: str,
        station: StationReadings,
        marks_deg: Sequence[float],
        slips: Mapping[tuple[float, float], Slip],
        left: int,
    ) -> int:
        """Enter one station; how many readings are still to be taken."""
        shown = dict(
            zip(
                (round(math.degrees(c), 6) for c in station.clock_rad),
                station.reading_in,
                strict=True,
            )
        )
        for mark in marks_deg:
            if left <= 0:
                return 0
            value_in = shown.get(round(mark, 6))
            slip = slips.get((station.station_in, mark))
            if value_in is None:
                self._take(sweep_id, station.station_in, mark, None, "*", "blocked")
            else:
                value_in = slip(value_in) if slip else value_in
                self._take(sweep_id, station.station_in, mark, value_in, "", "mark")
            left -= 1
        if station.closing_in is not None and left > 0:
            first = next(mark for mark in marks_deg if round(mark, 6) in shown)
            self._take(sweep_id, station.station_in, first, station.closing_in, "", "closing")
            left -= 1
        self.calendar.later(seconds=30)
        return left

    def _take(
        self,
        sweep_id: str,
        station_in: float,
        mark: float | None,
        value_in: float | None,
        raw: str,
        kind: str,
    ) -> None:
        thou = None if value_in is None else round(value_in * 1000, 1)
        take_reading(
            self.book,
            sweep_id,
            station_in=station_in,
            clock_deg=mark,
            value_in=None if thou is None else thou / 1000,
            raw=raw or f"{thou:g}",
            kind=kind,
        )
        self.calendar.later(seconds=SECONDS_A_READING)


def lost_turn(value_in: float, turn_in: float = 0.100) -> float:
    """One turn of the pointer not counted."""
    return value_in - turn_in


def other_sign(value_in: float) -> float:
    """Typed without its sign, or with one too many."""
    return -value_in


def bend(station_in: float, angle_mrad: float, high_side_deg: float) -> TrueBend:
    """A bend by its high side, as the bench says it; the line turns the other way."""
    clock = math.radians(high_side_deg)
    size = angle_mrad / 1000
    return TrueBend(station_in, (-size * math.cos(clock), -size * math.sin(clock)))


def keyways(length_in: float, taper_in: float) -> tuple[Blocked, ...]:
    """Where the plunger falls into a keyway: under the coupling and along the taper."""
    return (
        Blocked(0.0, 3.5, 0.0, 0.2),
        Blocked(length_in - taper_in, length_in - 1.0, 0.0, 0.2),
    )
