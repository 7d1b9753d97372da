"""`shaftlog import-sweep TAG FILE.csv`: a sweep from a spreadsheet or a gauge logger into a job."""

from __future__ import annotations

import argparse

from core.base.records import FULL_SWEEPS
from core.cli.frame import DONE, read_input, shop_book
from core.jobs.sweep_import.csv_rows import MAX_BYTES, parse_columns


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
    parser.add_argument("--purpose", choices=FULL_SWEEPS, default="as received")
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
    from core.jobs.sweep_import.store_sweep import SweepTerms, read_stations, store_stations

    mapping = parse_columns(args.column)
    data = read_input(args.file, MAX_BYTES)
    terms = SweepTerms(
        rollers_in=None if args.rollers is None else (args.rollers[0], args.rollers[1]),
        purpose=args.purpose,
        measured_by=args.by,
        gauge=args.gauge,
        resolution_in=None if args.resolution is None else args.resolution / 1000,
    )
    with shop_book(args, by=args.by) as book:
        job = jobs.job_by_tag(book, args.tag)
        stations = read_stations(book, data, args.file, mapping, args.sweep)
        number, count = store_stations(book, job, stations, args.file, terms, mapping)
    print(f"sweep {number} of job {job.tag}: {len(stations)} stations, {count} readings stored")
    return DONE
