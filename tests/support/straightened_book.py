"""A small job book with numbers that can be worked out by hand, for the shop's figures.

One shaft with one sharp bend, straightened in two hits of which each takes out 0.8 of what it asks
for, with moments set by hand; one job replaced, one given back, one waiting for its owner.
"""

from __future__ import annotations

import math
from datetime import UTC, datetime, timedelta
from pathlib import Path

from core.base.records import QuoteLine
from core.book import customers, hits, jobs, quotes, shafts, sweeps
from core.book.connection import Book
from core.book.opening import open_book
from core.book.readings import take_reading
from core.straightening.repair_or_replace import STRAIGHTENING

ROLLERS_IN = (24.0, 96.0)
BEND_IN, BEND_DEG, OFF_IN = 60.0, 90.0, 0.012
"""The section centre stands OFF_IN off the line of the rollers."""
ANGLE_RAD = OFF_IN * (1 / 36 + 1 / 36)
"""Change of slope of a line that stands OFF_IN off half way between rollers 72 in apart."""
TAKES_OUT = 0.8
MARKS_DEG = tuple(45.0 * n for n in range(8))
SECONDS_A_READING = 6
FORECAST_HOURS = 2.0


class Clock:
    """Stands still until it is moved."""

    def __init__(self) -> None:
        self.moment = datetime(2025, 6, 2, 8, 0, tzinfo=UTC)

    def __call__(self) -> datetime:
        return self.moment

    def later(self, *, minutes: float = 0, seconds: float = 0) -> None:
        """Let time pass."""
        self.moment += timedelta(minutes=minutes, seconds=seconds)


def make(path: Path) -> Path:
    """The book at `path`."""
    clock = Clock()
    with open_book(path, by="bench 1", now=clock) as book:
        straightened(book, clock, "Grey Petrel")
        for state, vessel in (("replaced", "Dunlin"), ("returned", "Avocet")):
            jobs.set_state(book, start(book, vessel), state)
        waiting = start(book, "=1+1")
        jobs.set_state(book, waiting, "waiting", waiting_for="the owner's answer")
    return path


def start(book: Book, vessel: str, material: str = "S31600") -> str:
    """A job on a shaft of a new customer; its id."""
    owner = customers.add_customer(book, name="J. Ferrante", phone="555-0107")
    boat = customers.add_vessel(book, customer_id=owner.id, name=vessel)
    shaft = shafts.add_shaft(
        book, vessel_id=boat.id, position="", material=material, diameter_in=2.0, length_in=120.0
    )
    return jobs.start_job(
        book, shaft_id=shaft.id, roller_a_in=ROLLERS_IN[0], roller_b_in=ROLLERS_IN[1]
    ).id


def straightened(book: Book, clock: Clock, vessel: str) -> str:
    """Sweep, quote, two hits with a full sweep after each, a night before the second, release."""
    job_id = start(book, vessel)
    sweep(book, clock, job_id, "as received", 1.0)
    clock.later(minutes=4)
    line = QuoteLine(f"repair: {STRAIGHTENING}", FORECAST_HOURS, 100.0, 200.0)
    quotes.save_quote(book, job_id=job_id, kind="both", text="as forecast", lines=[line])
    left = 1.0
    for round_no, pause_min in ((1, 10), (2, 15 * 60)):
        clock.later(minutes=pause_min)
        hits.add_hit(
            book,
            job_id=job_id,
            round_no=round_no,
            method="press",
            station_in=BEND_IN,
            clock_deg=BEND_DEG,
            angle_rad=ANGLE_RAD * left,
        )
        left *= 1 - TAKES_OUT
        clock.later(minutes=5)
        sweep(book, clock, job_id, "working", left)
    jobs.set_state(book, job_id, "released")
    return job_id


def sweep(book: Book, clock: Clock, job_id: str, purpose: str, left: float) -> None:
    """Eleven stations of eight marks, a reading every six seconds."""
    places = tuple(12.0 * n for n in range(11))
    entered = sweeps.start_sweep(
        book,
        job_id=job_id,
        purpose=purpose,
        roller_a_in=ROLLERS_IN[0],
        roller_b_in=ROLLERS_IN[1],
        stations_in=places,
        marks_deg=MARKS_DEG,
    )
    half = (ROLLERS_IN[1] - ROLLERS_IN[0]) / 2
    with book.write():
        for place in places:
            off_in = left * OFF_IN * (1 - abs(place - BEND_IN) / half)
            for mark in MARKS_DEG:
                value_in = round(off_in * math.cos(math.radians(mark - BEND_DEG)), 4)
                take_reading(
                    book, entered.id, station_in=place, clock_deg=mark, value_in=value_in,
                    raw=f"{value_in:g}",
                )  # fmt: skip
                clock.later(seconds=SECONDS_A_READING)
    sweeps.finish_sweep(book, entered.id)
