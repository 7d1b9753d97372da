"""`shaftlog sweep FILE.csv --rollers A B`: shape, bends, next hits and verdicts out of a file."""

from __future__ import annotations

import argparse
import math
from typing import TYPE_CHECKING

from core.base.errors import ShaftlogError
from core.cli.frame import DONE, read_input
from core.jobs.sweep_import.csv_rows import MAX_BYTES, SweepFileError, parse_columns, read_rows
from core.jobs.sweep_import.csv_stations import (
    check_rollers,
    check_stations,
    gather,
    sweep_readings,
)

if TYPE_CHECKING:
    from core.runout.readings import SweepReadings


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """FILE, rollers, and what the dial can do."""
    parser.add_argument(
        "file", metavar="FILE.csv", help="station_in,clock_deg,reading_thou; - = standard input"
    )
    parser.add_argument(
        "--rollers",
        nargs=2,
        type=float,
        required=True,
        metavar=("A", "B"),
        help="stations of the two roller pairs, inches",
    )
    parser.add_argument(
        "--resolution", type=float, default=0.5, metavar="THOU", help="graduation (default 0.5)"
    )
    parser.add_argument(
        "--repeatability",
        type=float,
        metavar="THOU",
        help="standard deviation of a repeated reading (default: estimated from the sweep)",
    )
    parser.add_argument(
        "--limit", type=float, default=2.0, metavar="THOU", help="TIR limit (default 2)"
    )
    parser.add_argument("--length", type=float, metavar="IN", help="length of the shaft, inches")
    parser.add_argument("--sweep", metavar="NAME", help="which sweep of a file that holds several")
    parser.add_argument(
        "--column",
        action="append",
        default=[],
        metavar="OURS=THEIRS",
        help="which column serves as which, such as reading_mm=Ch1",
    )
    parser.add_argument("--json", action="store_true", help="print JSON and nothing else")


def run(args: argparse.Namespace) -> int:
    """Read, check, work out, print."""
    _check_numbers(args)
    readings = _readings(args)
    from core.analysis.sweep import analyse
    from core.reports.sweep_report import as_json, as_text

    try:
        worked = analyse(readings, default_limit_in=args.limit / 1000)
    except ShaftlogError as error:
        raise SweepFileError(args.file, None, str(error)) from error
    print(as_json(worked) if args.json else as_text(worked, args.file), end="")
    return DONE


def _check_numbers(args: argparse.Namespace) -> None:
    """Options that are numbers must make sense before the file is read."""
    for name, most in (("resolution", 100.0), ("repeatability", 100.0), ("limit", 1000.0)):
        value = getattr(args, name)
        if value is not None and not (math.isfinite(value) and 0.0 < value <= most):
            raise ShaftlogError(f"--{name} {value:g}: give thou, above 0 and at most {most:g}")
    if args.length is not None and not (math.isfinite(args.length) and args.length > 0.0):
        raise ShaftlogError(f"--length {args.length:g}: give inches, above 0")


def _readings(args: argparse.Namespace) -> SweepReadings:
    """The file's readings, checked."""
    data = read_input(args.file, MAX_BYTES)
    stations = gather(read_rows(data, args.file, parse_columns(args.column), args.sweep))
    check_stations(stations, args.file)
    a_in, b_in = args.rollers
    check_rollers(stations, (a_in, b_in), args.file, args.length)
    repeatability = args.repeatability
    return sweep_readings(
        stations,
        (a_in, b_in),
        resolution_in=args.resolution / 1000,
        repeatability_in=None if repeatability is None else repeatability / 1000,
        length_in=args.length,
    )
