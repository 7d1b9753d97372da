"""Rows of a sweep file gathered into stations and checked before anything is computed.

A station needs marks enough to tell runout from an oval section: five unknowns (mean, two of
eccentricity, two of ovality) want five marks.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from statistics import median

from core.jobs.sweep_import.csv_rows import CsvRow, SweepFileError
from core.runout.readings import LEAST_MARKS, MOST_MARKS, StationReadings, SweepReadings

MAX_STATIONS = 200
SAME_MARK_DEG = 0.01


@dataclass(frozen=True)
class FileStation:
    """One station of a sweep file: its marks in the order taken, and the closing mark if any."""

    station_in: float
    marks: tuple[CsvRow, ...]
    closing: CsvRow | None

    @property
    def first_line(self) -> int:
        """Line of the file where the station begins."""
        return self.marks[0].line

    @property
    def taken(self) -> list[CsvRow]:
        """Marks that gave a reading."""
        return [row for row in self.marks if row.reading_in is not None]


def gather(rows: Sequence[CsvRow]) -> list[FileStation]:
    """Rows by station, stations rising, the order within a station kept."""
    by_station: dict[float, list[CsvRow]] = {}
    for row in rows:
        by_station.setdefault(row.station_in, []).append(row)
    return [_station(x, by_station[x]) for x in sorted(by_station)]


def _station(station_in: float, rows: list[CsvRow]) -> FileStation:
    """Tell the closing mark from the rest: last reading, at the first mark that gave one."""
    last = rows[-1]
    first = next((row for row in rows if row.reading_in is not None), last)
    closes = (
        len(rows) > 3
        and first is not last
        and last.reading_in is not None
        and _same_mark(first.clock_deg, last.clock_deg)
    )
    return FileStation(station_in, tuple(rows[:-1] if closes else rows), last if closes else None)


def _same_mark(a_deg: float, b_deg: float) -> bool:
    return abs((a_deg - b_deg + 180.0) % 360.0 - 180.0) < SAME_MARK_DEG


def check_stations(stations: Sequence[FileStation], name: str) -> None:
    """Refuse what no fit can use: one station, all marks blocked, too few marks."""
    if len(stations) < 2:
        raise SweepFileError(
            name,
            stations[0].first_line,
            f"only one station ({stations[0].station_in:g} in); a shape needs two or more",
        )
    if len(stations) > MAX_STATIONS:
        raise SweepFileError(
            name,
            stations[MAX_STATIONS].first_line,
            f"{len(stations)} stations; more than {MAX_STATIONS} is no hand sweep, thin them",
        )
    if not any(station.taken for station in stations):
        raise SweepFileError(
            name, stations[0].first_line, "every mark is blocked; there is no reading to work on"
        )
    for station in stations:
        if len(station.marks) > MOST_MARKS:
            raise SweepFileError(
                name,
                station.marks[MOST_MARKS].line,
                f"{len(station.marks)} readings at station {station.station_in:g} in; thin them to"
                f" {MOST_MARKS} or fewer",
            )
        _check_marks(station, name)


def _check_marks(station: FileStation, name: str) -> None:
    different = len({round(row.clock_deg % 360.0 / SAME_MARK_DEG) for row in station.taken})
    where = f"station {station.station_in:g} in"
    if different == 0:
        raise SweepFileError(
            name,
            station.first_line,
            f"every mark is blocked at {where}; leave that station out of the file",
        )
    if different >= LEAST_MARKS:
        return
    raise SweepFileError(
        name,
        station.first_line,
        f"{where} has readings at {different} mark{'s' if different > 1 else ''},"
        f" fewer than {LEAST_MARKS}; read more marks there",
    )


def check_rollers(
    stations: Sequence[FileStation],
    rollers_in: tuple[float, float],
    name: str,
    length_in: float | None = None,
) -> None:
    """Refuse rollers at one place or off the shaft.

    Without a length the shaft is taken to reach one usual step beyond its first and last station.
    """
    lines = (
        min(station.first_line for station in stations),
        max(station.marks[-1].line for station in stations),
    )
    x_in = [station.station_in for station in stations]
    step_in = median(b - a for a, b in pairwise(x_in))
    low_in, high_in = 0.0, x_in[-1] + step_in
    if length_in is not None:
        high_in = length_in
        if x_in[-1] > length_in + 1e-9:
            raise SweepFileError(
                name,
                stations[-1].first_line,
                f"station {x_in[-1]:g} in is beyond the shaft's length of {length_in:g} in",
            )
    for roller_in in rollers_in:
        if not math.isfinite(roller_in) or not low_in <= roller_in <= high_in:
            raise SweepFileError(
                name,
                lines,
                f"roller at {roller_in:g} in is outside the shaft (0 to {high_in:g} in);"
                " check --rollers",
            )
    if abs(rollers_in[0] - rollers_in[1]) < 1.0:
        raise SweepFileError(
            name,
            lines,
            f"rollers at {rollers_in[0]:g} and {rollers_in[1]:g} in are at one place;"
            " give the stations of the two roller pairs",
        )


def sweep_readings(
    stations: Sequence[FileStation],
    rollers_in: tuple[float, float],
    *,
    resolution_in: float = 0.0005,
    repeatability_in: float | None = None,
    length_in: float | None = None,
) -> SweepReadings:
    """The checked stations as the core takes them."""
    return SweepReadings(
        stations=tuple(_readings(station) for station in stations),
        rollers_in=(min(rollers_in), max(rollers_in)),
        resolution_in=resolution_in,
        repeatability_in=repeatability_in,
        length_in=length_in,
    )


def _readings(station: FileStation) -> StationReadings:
    taken = station.taken
    return StationReadings(
        station_in=station.station_in,
        clock_rad=tuple(math.radians(row.clock_deg % 360.0) for row in taken),
        reading_in=tuple(row.reading_in for row in taken if row.reading_in is not None),
        blocked_rad=tuple(
            math.radians(row.clock_deg % 360.0) for row in station.marks if row.reading_in is None
        ),
        closing_in=None if station.closing is None else station.closing.reading_in,
    )
