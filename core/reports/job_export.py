"""A job as plain dictionaries and rows, for export; contact data only when it is asked for."""

from __future__ import annotations

import json
from collections.abc import Iterator
from dataclasses import asdict
from typing import Any

from core.base.records import Job, Sweep
from core.book import (
    audit as events,
)
from core.book import (
    choices,
    customers,
    history,
    hits,
    jobs,
    measurements,
    penetrant_checks,
    quotes,
    releases,
    sweeps,
)
from core.book.connection import Book
from core.book.readings import readings_of

FORMAT = "shaftlog job"
VERSION = 1
CONTACT = ("phone", "email", "address", "notes")
"""Fields of a customer that leave the shop only when asked for."""
CSV_COLUMNS = (
    "station_in",
    "clock_deg",
    "reading_thou",
    "sweep",
    "purpose",
    "kind",
    "typed",
    "taken_at",
    "tag",
    "customer",
    "vessel",
    "position",
)


def job_record(book: Book, job: Job, *, contact: bool) -> dict[str, Any]:
    """Everything on record about one job, raw data only (nothing computed but a frozen ticket)."""
    shaft = history.shaft_of(book, job)
    vessel = history.vessel_of(book, job)
    customer = asdict(customers.customer(book, vessel.customer_id))
    if not contact:
        customer = {name: value for name, value in customer.items() if name not in CONTACT}
    return {
        "format": FORMAT,
        "version": VERSION,
        "job": asdict(job),
        "customer": customer,
        "vessel": asdict(vessel),
        "shaft": asdict(shaft),
        "riding_areas": [asdict(area) for area in history.areas_of(book, job)],
        "sweeps": [_sweep(book, sweep) for sweep in sweeps.sweeps_of(book, job.id)],
        "quick_checks": [asdict(one) for one in sweeps.quick_checks_of(book, job.id)],
        "hits": [asdict(hit) for hit in hits.hits_of(book, job.id)],
        "penetrant_checks": [asdict(check) for check in penetrant_checks.checks_of(book, job.id)],
        "measurements": [
            asdict(one) for one in measurements.measurements_of(book, job.id, all_rows=True)
        ],
        "choices": [asdict(one) for one in choices.all_choices(book, job.id)],
        "quotes": [asdict(quote) for quote in quotes.quotes_of(book, job.id)],
        "releases": [asdict(release) for release in releases.releases_of(book, job.id)],
        "notes": [asdict(note) for note in jobs.notes_of(book, job.id)],
        "events": [asdict(event) for event in events.events_of_job(book, job.id)],
    }


def _sweep(book: Book, sweep: Sweep) -> dict[str, Any]:
    every = readings_of(book, sweep.id, all_rows=True)
    return {**asdict(sweep), "readings": [asdict(reading) for reading in every]}


def json_text(record: Any) -> str:
    """JSON that reads back exactly; only ASCII, so that no terminal code survives in it."""
    return json.dumps(record, ensure_ascii=True, indent=1, allow_nan=False)


def csv_rows(book: Book, job: Job, sweep_no: int | None = None) -> Iterator[list[str]]:
    """The readings that stand, one a row; clocks are those of the shaft, whichever way it rolled.

    `sweep_no` counts the sweeps of the job from 1; None = all of them.
    """
    shaft = history.shaft_of(book, job)
    vessel = history.vessel_of(book, job)
    customer = customers.customer(book, vessel.customer_id)
    for number, sweep in enumerate(sweeps.sweeps_of(book, job.id), start=1):
        if sweep_no is not None and number != sweep_no:
            continue
        for reading in readings_of(book, sweep.id):
            clock_deg = reading.clock_deg
            if clock_deg is not None:
                clock_deg = sweep.direction * clock_deg % 360.0
            yield [
                f"{reading.station_in:g}",
                "" if clock_deg is None else f"{clock_deg:g}",
                _thou(reading.value_in),
                str(number),
                sweep.purpose,
                reading.kind,
                reading.raw,
                reading.taken_at,
                job.tag,
                customer.name,
                vessel.name,
                shaft.position,
            ]


def _thou(value_in: float | None) -> str:
    """A number, or empty: `kind` says why there is none."""
    return "" if value_in is None else f"{round(value_in * 1000, 6):g}"
