"""`shaftlog export TAG --csv|--json`: a job's data for a spreadsheet or another program."""

from __future__ import annotations

import argparse
import csv
import sys
from collections.abc import Callable, Iterable, Iterator
from pathlib import Path
from typing import TextIO

from core.base.errors import ShaftlogError
from core.base.shop_records import Job
from core.base.text import sheet_cell
from core.book.connection import Book
from core.cli.frame import DONE, book_path

Progress = Callable[[int, int], None]
"""How many jobs are written, of how many."""


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """TAG or --all, and the form."""
    which = parser.add_mutually_exclusive_group(required=True)
    which.add_argument("tag", metavar="TAG", nargs="?", help="the job's tag")
    which.add_argument("--all", action="store_true", help="every job in the book")
    form = parser.add_mutually_exclusive_group(required=True)
    form.add_argument("--csv", action="store_true", help="the readings, one a line")
    form.add_argument("--json", action="store_true", help="everything on record")
    parser.add_argument(
        "--folder",
        metavar="FOLDER",
        help="with --all: every table as a file in a new folder, described in datapackage.json",
    )
    parser.add_argument("--sweep", type=int, metavar="N", help="with --csv: only the N-th sweep")
    parser.add_argument(
        "--with-phone",
        action="store_true",
        help="with --json or --folder: the customer's phone, mail, address and notes too",
    )


def run(args: argparse.Namespace) -> int:
    """Write the export to standard output."""
    from core.book import jobs
    from core.book.opening import open_book

    if args.json and args.sweep is not None:
        raise ShaftlogError("--sweep goes with --csv: --json always gives the whole job")
    if args.folder and (not args.all or args.sweep is not None):
        raise ShaftlogError("--folder goes with --all: it gets every table of the book")
    if args.csv and args.with_phone and not args.folder:
        raise ShaftlogError("--with-phone goes with --json: --csv holds no phone numbers")
    with open_book(book_path(args), create=False, read_only=True) as book:
        if args.folder:
            from core.reports.data_export.tables import write_tables

            form = "csv" if args.csv else "json"
            count = write_tables(book, Path(args.folder), form, contact=args.with_phone)
            print(f"{count} files written to {args.folder}")
            return DONE
        chosen = all_jobs(book) if args.all else (jobs.job_by_tag(book, args.tag),)
        if args.csv:
            write_csv(book, chosen, sys.stdout, sweep_no=args.sweep)
        else:
            write_json(book, chosen, sys.stdout, whole=args.all, contact=args.with_phone)
    return DONE


def all_jobs(book: Book) -> Iterator[Job]:
    """Every job, customer by customer, shaft by shaft; read as they are asked for."""
    from core.book import customers, jobs, shafts

    for customer in customers.customers(book):
        for vessel in customers.vessels_of(book, customer.id):
            for shaft in shafts.shafts_of(book, vessel.id):
                yield from jobs.jobs_of_shaft(book, shaft.id)


def counted(book: Book, chosen: Iterable[Job], progress: Progress | None) -> Iterator[Job]:
    """The same jobs; before each of them the progress is called, which may raise to stop."""
    from core.book.upkeep.stoppable import last_row

    every = last_row(book.con, "job")
    for number, job in enumerate(chosen):
        if progress is not None:
            progress(min(number, every), every)
        yield job


def write_csv(
    book: Book,
    chosen: Iterable[Job],
    out: TextIO,
    *,
    sweep_no: int | None = None,
    progress: Progress | None = None,
) -> None:
    """The readings of the jobs, one a line."""
    from core.book import sweeps
    from core.reports.job_export import CSV_COLUMNS, csv_rows

    if sweep_no is not None:
        chosen = tuple(chosen)
        for job in chosen:
            count = len(sweeps.sweeps_of(book, job.id))
            if not 1 <= sweep_no <= count:
                raise ShaftlogError(f"job {job.tag} has {count} sweeps; there is no {sweep_no}")
    rows = csv.writer(out, lineterminator="\n")
    rows.writerow(CSV_COLUMNS)
    for job in counted(book, chosen, progress):
        for row in csv_rows(book, job, sweep_no):
            rows.writerow([sheet_cell(cell) for cell in row])


def write_json(
    book: Book,
    chosen: Iterable[Job],
    out: TextIO,
    *,
    whole: bool,
    contact: bool,
    progress: Progress | None = None,
) -> None:
    """Everything on record: one job, or (`whole`) a list of them."""
    from core.book import settings
    from core.reports.job_export import job_record, json_text

    contact = contact or settings.load(book).phone_in_exports
    if not whole:
        out.write(json_text(job_record(book, next(iter(chosen)), contact=contact)) + "\n")
        return
    out.write("[")
    for index, job in enumerate(counted(book, chosen, progress)):
        out.write(",\n" if index else "\n")
        out.write(json_text(job_record(book, job, contact=contact)))
    out.write("\n]\n")
