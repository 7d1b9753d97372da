"""`shaftlog import-sweep TAG FILE.csv`: a sweep from a spreadsheet or a gauge logger into a job."""

from __future__ import annotations

import argparse
from collections.abc import Mapping, Sequence
from pathlib import Path

from core.book.file import Book
from core.book.records import Job
from core.commands.frame import DONE, book_path
from core.errors import ShaftlogError
from core.files.csvfile import CsvRow, SweepFileError, parse_columns, read_rows
from core.files.csvstations import (
    FileStation,
    check_rollers,
    check_stations,
    gather,
)

REMEMBERED = "import columns"
PURPOSES = ("as received", "working", "hold check", "final")


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """TAG FILE and what the file does not say."""
    parser.add_argument("tag", metavar="TAG", help="the job's tag")
    parser.add_argument("file", metavar="FILE", help="CSV with station, clock and reading")
    parser.add_argument(
        "--rollers",
        nargs=2,
        type=float,
        metavar=("A", "B"),
        help="stations of the rollers, inches (default: those of the job)",
    )
    parser.add_argument("--purpose", choices=PURPOSES, default="as received")
    parser.add_argument("--by", default="", metavar="NAME", help="who measured")
    parser.add_argument("--gauge", default="", help="what it was measured with")
    parser.add_argument(
        "--resolution", type=float, metavar="THOU", help="graduation of the dial, thou"
    )
    parser.add_argument(
        "--column",
        action="append",
        default=[],
        metavar="OURS=THEIRS",
        help="which column serves as station_in or _mm, clock_deg, reading_thou, _in or _mm;"
        " remembered for the next file",
    )
    parser.add_argument("--sweep", metavar="NAME", help="which sweep of a file that holds several")


def run(args: argparse.Namespace) -> int:
    """Read and check the file first, then store everything in one transaction, or nothing."""
    from core.book import jobs
    from core.book.file import open_book

    mapping = parse_columns(args.column)
    data = Path(args.file).read_bytes()
    with open_book(book_path(args), create=False, by=args.by) as book:
        job = jobs.job_by_tag(book, args.tag)
        rows = _rows(book, data, args.file, mapping, args.sweep)
        stations = gather(rows)
        check_stations(stations, args.file)
        rollers_in = _rollers(book, job, stations, args)
        _refuse_twice(book, job, stations)
        number, count = _store(book, job, stations, rollers_in, args)
        if mapping:
            from core.book import settings

            settings.remember(book, REMEMBERED, dict(mapping))
    print(f"sweep {number} of job {job.tag}: {len(stations)} stations, {count} readings stored")
    return DONE


def _rows(
    book: Book, data: bytes, name: str, mapping: Mapping[str, str], sweep: str | None
) -> list[CsvRow]:
    """Rows by the mapping given; without one by our own names, then by the mapping remembered."""
    from core.book import settings

    remembered = settings.recall(book, REMEMBERED) or {}
    try:
        return read_rows(data, name, mapping, sweep)
    except SweepFileError as error:
        if mapping or not remembered or error.line != 1:
            raise
    return read_rows(data, name, remembered, sweep)


def _rollers(
    book: Book, job: Job, stations: Sequence[FileStation], args: argparse.Namespace
) -> tuple[float, float]:
    from core.book import shafts

    if args.rollers is not None:
        a_in, b_in = args.rollers
    elif job.roller_a_in is not None and job.roller_b_in is not None:
        a_in, b_in = job.roller_a_in, job.roller_b_in
    else:
        raise ShaftlogError(
            f"job {job.tag} does not say where the rollers stood: add --rollers A B"
        )
    check_rollers(stations, (a_in, b_in), args.file, shafts.shaft(book, job.shaft_id).length_in)
    return a_in, b_in


def _refuse_twice(book: Book, job: Job, stations: Sequence[FileStation]) -> None:
    """The same readings are already in the job: surely the same file again."""
    from core.book import sweeps

    wanted = {
        (station.station_in, row.clock_deg % 360.0, row.reading_in)
        for station in stations
        for row in station.marks
    }
    for number, sweep in enumerate(sweeps.sweeps_of(book, job.id), start=1):
        held = {
            (r.station_in, (r.clock_deg or 0.0) % 360.0, r.value_in)
            for r in sweeps.readings_of(book, sweep.id)
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
    args: argparse.Namespace,
) -> tuple[int, int]:
    """Write sweep and readings; number of the sweep in the job, and how many readings."""
    from core.book import settings, sweeps

    shop = settings.load(book)
    resolution_in = shop.resolution_in if args.resolution is None else args.resolution / 1000
    marks = dict.fromkeys(row.clock_deg % 360.0 for s in stations for row in s.marks)
    with book.write():
        sweep = sweeps.start_sweep(
            book,
            job_id=job.id,
            purpose=args.purpose,
            roller_a_in=rollers_in[0],
            roller_b_in=rollers_in[1],
            stations_in=[station.station_in for station in stations],
            marks_deg=list(marks),
            resolution_in=resolution_in,
            repeatability_in=shop.repeatability_in,
            dial_turn_in=shop.dial_turn_in,
            gauge=args.gauge or shop.gauge,
            measured_by=args.by,
            closing=any(station.closing for station in stations),
        )
        count = sweeps.take_readings(
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
