"""A small job in a small book, made by the book's own functions."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path
from random import Random

from core.base.records import Customer, Event, Job, Reading, Shaft, Sweep, Vessel
from core.book import customers, jobs, rows, shafts, sweeps
from core.book.connection import Book
from core.book.ids import IdMaker
from core.book.opening import open_book
from core.book.readings import take_reading

MARKS_DEG = (0.0, 90.0, 180.0, 270.0)
STATIONS_IN = (6.0, 12.0, 18.0)


class Ticker:
    """A clock that goes on by a fixed step each time it is read."""

    def __init__(self, step_s: float = 1.0) -> None:
        self.moment = datetime(2026, 3, 2, 8, 0, tzinfo=UTC)
        self.step = timedelta(seconds=step_s)

    def __call__(self) -> datetime:
        self.moment += self.step
        return self.moment


@dataclass(frozen=True)
class SmallJob:
    """Everything of one job."""

    customer: Customer
    vessel: Vessel
    shaft: Shaft
    job: Job
    sweep: Sweep


def open_fixed(path: Path, seed: int = 7, **more: object) -> Book:
    """A book with a ticking clock and ids from a seed, so that it comes out the same each time."""
    now = Ticker()
    return open_book(path, by="Ada", now=now, new_id=IdMaker(now, Random(seed).randbytes), **more)  # type: ignore[arg-type]


def add_job(
    book: Book,
    *,
    name: str = "Haldorsen, Ines",
    phone: str = "206 555-0142",
    boat: str = "Grey Petrel",
    complaint: str = "hit a log",
    notes: str = "",
) -> SmallJob:
    """A customer with a vessel, a shaft, a job and a sweep without readings."""
    customer = customers.add_customer(book, name=name, phone=phone)
    vessel = customers.add_vessel(book, customer_id=customer.id, name=boat, kind="sloop")
    shaft = shafts.add_shaft(
        book,
        vessel_id=vessel.id,
        position="port",
        material="S31600",
        diameter_in=1.25,
        length_in=72.0,
    )
    shafts.add_area(book, shaft_id=shaft.id, kind="taper", from_in=66.0, to_in=72.0)
    job = jobs.start_job(
        book,
        shaft_id=shaft.id,
        roller_a_in=10.0,
        roller_b_in=60.0,
        complaint=complaint,
        notes=notes,
    )
    return SmallJob(customer, vessel, shaft, job, add_sweep(book, job.id))


def add_sweep(book: Book, job_id: str, purpose: str = "as received", **more: object) -> Sweep:
    """A sweep of three stations with four marks."""
    wanted: dict[str, object] = {
        "roller_a_in": 10.0,
        "roller_b_in": 60.0,
        "stations_in": STATIONS_IN,
        "marks_deg": MARKS_DEG,
    } | more
    return sweeps.start_sweep(book, job_id=job_id, purpose=purpose, **wanted)  # type: ignore[arg-type]


def read_all(
    book: Book, sweep: Sweep, value: Callable[[float, float], float] | None = None
) -> None:
    """Take every reading of a sweep."""
    for station_in in sweep.stations_in:
        for clock_deg in sweep.marks_deg:
            value_in = value(station_in, clock_deg) if value else station_in * clock_deg * 1e-6
            take_reading(
                book,
                sweep.id,
                station_in=station_in,
                clock_deg=clock_deg,
                value_in=value_in,
                raw=f"{value_in * 1000:.3f}",
            )


def newest_events(book: Book, count: int = 100) -> tuple[Event, ...]:
    """The last events of the whole book, newest first."""
    return rows.select(book, Event, "1 ORDER BY at DESC, id DESC LIMIT ?", (count,))


def written_over(path: Path, old: bytes, new: bytes) -> None:
    """Change the first place where these bytes lie in the file."""
    data = path.read_bytes()
    assert old in data
    path.write_bytes(data.replace(old, new, 1))


def reading_at(
    book: Book, sweep_id: str, station_in: float, clock_deg: float | None, kind: str = "mark"
) -> Reading | None:
    """The reading in force at a station and mark (blocked marks too), or None."""
    kinds = ("mark", "blocked") if kind == "mark" else (kind, kind)
    found = rows.select(
        book,
        Reading,
        "sweep_id = ? AND station_in = ? AND clock_deg IS ? AND kind IN (?, ?) "
        "AND replaced_by IS NULL ORDER BY id DESC LIMIT 1",
        (sweep_id, station_in, clock_deg, *kinds),
    )
    return found[0] if found else None
