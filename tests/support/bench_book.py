"""A small job book with one bent shaft, for the tests of the sweep and plot screens."""

from __future__ import annotations

import math
from collections.abc import Callable
from pathlib import Path

from textual.pilot import Pilot

from core.base.records import Job, Sweep
from core.base.times import Clock
from core.book import customers, jobs, shafts, sweeps
from core.book.connection import Book
from core.book.opening import open_book
from core.book.readings import take_readings

LENGTH_IN = 120.0
ROLLERS_IN = (24.0, 96.0)
BEND_IN, BEND_TIR_IN, BEND_DEG = 60.0, 0.012, 90.0


def bent(station_in: float, clock_deg: float) -> float:
    """What the dial shows, inches: one sharp bend in the middle, seen from the rollers."""
    a, b = ROLLERS_IN
    half = (b - a) / 2
    off_in = BEND_TIR_IN / 2 * (1 - abs(station_in - BEND_IN) / half)
    return off_in * math.cos(math.radians(clock_deg - BEND_DEG))


def new_job(path: Path, now: Clock | None = None) -> tuple[Book, Job]:
    """A book with one customer, one vessel and one shaft on the rollers."""
    book = open_book(path, by="bench 1", now=now)
    customer = customers.add_customer(book, name="Harbour Tug [H7]", phone="555-0101")
    vessel = customers.add_vessel(book, customer_id=customer.id, name="Grey Petrel")
    shaft = shafts.add_shaft(
        book,
        vessel_id=vessel.id,
        position="port",
        material="UNS S31600",
        diameter_in=2.0,
        length_in=LENGTH_IN,
    )
    for kind, start, end in (
        ("coupling", 0.0, 5.0),
        ("shaft log", 20.0, 32.0),
        ("bearing", 80.0, 90.0),
        ("taper", 110.0, 120.0),
    ):
        shafts.add_area(book, shaft_id=shaft.id, kind=kind, from_in=start, to_in=end)
    job = jobs.start_job(
        book, shaft_id=shaft.id, roller_a_in=ROLLERS_IN[0], roller_b_in=ROLLERS_IN[1]
    )
    return book, job


def new_sweep(
    book: Book,
    job: Job,
    *,
    read: int = 0,
    closing: bool = False,
    purpose: str = "as received",
    shape: Callable[[float, float], float] = bent,
    stations_in: tuple[float, ...] = tuple(range(6, 120, 6)),
    marks_deg: tuple[float, ...] = tuple(range(0, 360, 45)),
    direction: int = 1,
) -> Sweep:
    """A sweep with the first `read` stations read, to whole half thousandths."""
    sweep = sweeps.start_sweep(
        book,
        job_id=job.id,
        purpose=purpose,
        roller_a_in=ROLLERS_IN[0],
        roller_b_in=ROLLERS_IN[1],
        stations_in=stations_in,
        marks_deg=marks_deg,
        closing=closing,
        direction=direction,
        gauge="bench dial",
        measured_by="R. Holt",
    )
    many = []
    for station_in in stations_in[:read]:
        for clock_deg in marks_deg:
            value_in = round(shape(station_in, direction * clock_deg) / 0.0005) * 0.0005
            many.append(
                {
                    "station_in": station_in,
                    "clock_deg": clock_deg,
                    "value_in": value_in,
                    "raw": f"{value_in * 1000:g}",
                }
            )
    take_readings(book, sweep.id, many)
    return sweep


async def workers_done(pilot: Pilot[None]) -> None:
    """Wait for the core's answers; a worker overtaken by a newer one is no error."""
    for _ in range(500):
        if not any(not worker.is_finished for worker in pilot.app.workers):
            break
        await pilot.pause(0.01)
    await pilot.pause()
