"""A sweep from a CSV file into a job: columns by name, checked first, stored whole or not."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from core.base.errors import ShaftlogError
from core.base.records import FULL_SWEEPS, Job
from core.book import history, settings, sweeps
from core.book.connection import Book
from core.book.readings import readings_of, take_readings
from core.jobs.sweep_import.csv_rows import SweepFileError, read_rows
from core.jobs.sweep_import.csv_stations import FileStation, check_rollers, check_stations, gather

IMPORT_COLUMNS = "import columns"
"""What the program remembers the column mapping under."""


@dataclass(frozen=True)
class SweepTerms:
    """What the file does not say. Inches; None = as the job or the shop has it."""

    rollers_in: tuple[float, float] | None = None
    purpose: str = FULL_SWEEPS[0]
    measured_by: str = ""
    gauge: str = ""
    resolution_in: float | None = None


def remembered_columns(book: Book) -> dict[str, str]:
    """The mapping used last: our column names to those of the file."""
    return dict(settings.recall(book, IMPORT_COLUMNS) or {})


def read_stations(
    book: Book, data: bytes, name: str, mapping: Mapping[str, str], sweep: str | None = None
) -> list[FileStation]:
    """Stations of one sweep of a file, checked.

    By the mapping given; without one by our own names, then by the mapping remembered. Raises
    `SweepFileError`: file, line, what is wrong.
    """
    remembered = remembered_columns(book)
    try:
        rows = read_rows(data, name, mapping, sweep)
    except SweepFileError as error:
        if mapping or not remembered or error.line != 1:
            raise
        rows = read_rows(data, name, remembered, sweep)
    stations = gather(rows)
    check_stations(stations, name)
    return stations


def store_stations(
    book: Book,
    job: Job,
    stations: Sequence[FileStation],
    name: str,
    terms: SweepTerms,
    mapping: Mapping[str, str] | None = None,
) -> tuple[int, int]:
    """Store a finished sweep in one transaction; its number in the job, and how many readings.

    A mapping is remembered for the next file. Raises `ShaftlogError` for rollers off the shaft
    and for readings that the job holds already.
    """
    rollers_in = _rollers(book, job, stations, name, terms.rollers_in)
    with book.write():
        _refuse_twice(book, job, stations)
        stored = _store(book, job, stations, rollers_in, terms)
        if mapping:
            settings.remember(book, IMPORT_COLUMNS, dict(mapping))
    return stored


def _rollers(
    book: Book,
    job: Job,
    stations: Sequence[FileStation],
    name: str,
    given_in: tuple[float, float] | None,
) -> tuple[float, float]:
    if given_in is not None:
        a_in, b_in = given_in
    elif job.roller_a_in is not None and job.roller_b_in is not None:
        a_in, b_in = job.roller_a_in, job.roller_b_in
    else:
        raise ShaftlogError(
            f"job {job.tag} does not say where the rollers stood: add --rollers A B"
        )
    check_rollers(stations, (a_in, b_in), name, history.shaft_of(book, job).length_in)
    return a_in, b_in


def _refuse_twice(book: Book, job: Job, stations: Sequence[FileStation]) -> None:
    """The same readings are already in the job: surely the same file again."""
    wanted = {
        (station.station_in, row.clock_deg % 360.0, row.reading_in)
        for station in stations
        for row in station.marks
    }
    for number, sweep in enumerate(sweeps.sweeps_of(book, job.id), start=1):
        held = {
            (r.station_in, (r.clock_deg or 0.0) % 360.0, r.value_in)
            for r in readings_of(book, sweep.id)
            if r.kind in ("mark", "blocked")
        }
        if held == wanted:
            raise ShaftlogError(
                f"job {job.tag} holds these very readings as sweep {number} already; nothing stored"
            )


def _store(
    book: Book,
    job: Job,
    stations: Sequence[FileStation],
    rollers_in: tuple[float, float],
    terms: SweepTerms,
) -> tuple[int, int]:
    shop = settings.load(book)
    marks = dict.fromkeys(row.clock_deg % 360.0 for s in stations for row in s.marks)
    sweep = sweeps.start_sweep(
        book,
        job_id=job.id,
        purpose=terms.purpose,
        roller_a_in=rollers_in[0],
        roller_b_in=rollers_in[1],
        stations_in=[station.station_in for station in stations],
        marks_deg=list(marks),
        resolution_in=shop.resolution_in if terms.resolution_in is None else terms.resolution_in,
        repeatability_in=shop.repeatability_in,
        dial_turn_in=shop.dial_turn_in,
        gauge=terms.gauge or shop.gauge,
        measured_by=terms.measured_by,
        closing=any(station.closing for station in stations),
    )
    count = take_readings(
        book, sweep.id, [entry for station in stations for entry in _entries(station)]
    )
    sweeps.finish_sweep(book, sweep.id)
    return len(sweeps.sweeps_of(book, job.id)), count


def _entries(station: FileStation) -> list[dict[str, object]]:
    """Readings of one station as the book takes them."""
    taken = [(row, "mark" if row.reading_in is not None else "blocked") for row in station.marks]
    if station.closing is not None:
        taken.append((station.closing, "closing"))
    return [
        {
            "station_in": station.station_in,
            "clock_deg": row.clock_deg % 360.0,
            "value_in": row.reading_in,
            "raw": row.raw,
            "kind": kind,
        }
        for row, kind in taken
    ]
