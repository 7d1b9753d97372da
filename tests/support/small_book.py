"""A small invented job book for the benches of the screens and for their tests."""

from __future__ import annotations

from pathlib import Path

from core.book import customers, jobs, shafts, sweeps
from core.book.connection import Book
from core.book.opening import open_book

_VESSELS = ("Gannet", "Dunlin", "Fulmar", "Whimbrel", "Plover", "Sanderling", "Avocet")
_OWNERS = ("T. Marlow", "Brackwater Tours", "J. Ferrante", "Oakum Towing", "R. Selby")


def make_book(path: Path, *, count: int = 12) -> Path:
    """A new book with `count` open jobs, riding areas, and a sweep begun on the first."""
    with open_book(path, by="bench 1") as book:
        for number in range(count):
            job_id = _add_job(book, number)
            if number == 0:
                _start_sweep(book, job_id)
    return path


def _add_job(book: Book, number: int) -> str:
    owner = customers.add_customer(
        book, name=_OWNERS[number % len(_OWNERS)], phone=f"555-01{number % 100:02d}"
    )
    vessel = customers.add_vessel(
        book, customer_id=owner.id, name=_VESSELS[number % len(_VESSELS)], kind="workboat"
    )
    shaft = shafts.add_shaft(
        book,
        vessel_id=vessel.id,
        position="port" if number % 2 else "starboard",
        material="S31600",
        diameter_in=1.75,
        length_in=96.0,
    )
    for kind, start, end in (("taper", 0, 4), ("bearing", 40, 47), ("taper", 90, 96)):
        shafts.add_area(book, shaft_id=shaft.id, kind=kind, from_in=start, to_in=end)
    job = jobs.start_job(
        book, shaft_id=shaft.id, roller_a_in=12.0, roller_b_in=84.0, complaint="vibrates at speed"
    )
    return job.id


def _start_sweep(book: Book, job_id: str) -> None:
    sweeps.start_sweep(
        book,
        job_id=job_id,
        purpose="as received",
        roller_a_in=12.0,
        roller_b_in=84.0,
        stations_in=tuple(range(0, 97, 6)),
        marks_deg=tuple(range(0, 360, 45)),
    )
