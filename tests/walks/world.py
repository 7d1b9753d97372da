"""The shop of a walk: a small job book, and the shaft as it truly is."""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from pathlib import Path

import numpy as np

from core.base.times import utc_now
from core.book import customers, jobs, settings, shafts, sweeps
from core.book.connection import Book
from core.book.opening import open_book
from core.book.upkeep.clock import BenchClock
from core.demo.simulate import Blocked, TrueBend, TrueShaft, apply_hit, read_sweep
from core.jobs.sweep import sweep_entry
from core.runout.stations import station_list

LENGTH_IN, ROLLERS_IN = 60.0, (12.0, 48.0)
MARKS_DEG = tuple(60.0 * n for n in range(6))
LEFT = 4
"""Marks still to be read in a sweep that was read ahead."""
AREAS = (("coupling", 0.0, 4.0), ("bearing", 28.0, 34.0), ("taper", 54.0, 60.0))


@dataclass
class Shop:
    """The true shaft, a dial, and a press with scatter."""

    path: Path
    rng: np.random.Generator
    shaft: TrueShaft
    job_id: str = ""
    tag: str = ""
    hits: list[tuple[float, float, float]] = field(default_factory=list)
    """Hits really made: station in, clock deg, angle rad."""
    later: timedelta = timedelta()
    """How far the clock of the shop is ahead of that of the computer."""

    def now(self) -> datetime:
        """The shop's clock."""
        return utc_now() + self.later

    def open(self, by: str) -> Book:
        """The book, opened at a bench whose clock is that of the shop."""
        return open_book(self.path, by=by, now=BenchClock(self.now))

    def dial_thou(self, station_in: float, clock_deg: float) -> float | None:
        """What the dial shows at a mark; None where the plunger is blocked."""
        read = read_sweep(
            self.shaft, ROLLERS_IN, [station_in], [math.radians(clock_deg)], rng=self.rng
        ).stations[0]
        # The simulator sets the dial anew for each roll; here it stands at one setting.
        ecc = self.shaft.centre_in([station_in], ROLLERS_IN)[0]
        if not read.reading_in:
            return None
        clock = math.radians(clock_deg)
        true_in = float(ecc[0] * math.cos(clock) + ecc[1] * math.sin(clock))
        return round((true_in + self.rng.normal(0, 0.0002)) * 2000) / 2

    def press(self, station_in: float, clock_deg: float, angle_rad: float) -> None:
        """A hit takes out about what is asked."""
        side = math.radians(clock_deg)
        kappa = (-angle_rad * math.cos(side), -angle_rad * math.sin(side))
        self.shaft = apply_hit(self.shaft, station_in, kappa, rng=self.rng, response=0.9)
        self.hits.append((station_in, clock_deg, angle_rad))


def open_shop(folder: Path, seed: int) -> Shop:
    """A new book with one shaft on the rollers."""
    rng = np.random.default_rng(seed)
    bends = []
    for low, high in ((8.0, 26.0), (34.0, 52.0)):
        size, side = rng.uniform(0.4e-3, 1.2e-3), rng.uniform(0, 2 * math.pi)
        at = float(rng.uniform(low, high))
        bends.append(TrueBend(at, (-size * math.cos(side), -size * math.sin(side))))
    true = TrueShaft(LENGTH_IN, 2.0, tuple(bends), keyways=(Blocked(54.0, 60.0, 0.0, 0.2),))
    shop = Shop(folder / "shop.db", rng, true)
    with open_book(shop.path, by="bench 1") as book:
        settings.save(book, marks=6, spacing_in=15.0, closing_mark=True)
        owner = customers.add_customer(book, name="Gull Towing", phone="555-0101")
        boat = customers.add_vessel(book, customer_id=owner.id, name="Wrybill Moth")
        shaft = shafts.add_shaft(
            book,
            vessel_id=boat.id,
            position="port",
            material="S31600",
            diameter_in=2.0,
            length_in=LENGTH_IN,
        )
        for kind, start, end in AREAS:
            shafts.add_area(book, shaft_id=shaft.id, kind=kind, from_in=start, to_in=end)
        job = jobs.start_job(
            book, shaft_id=shaft.id, roller_a_in=ROLLERS_IN[0], roller_b_in=ROLLERS_IN[1]
        )
        shop.job_id, shop.tag = job.id, job.tag
        if seed % 3:
            _read_ahead(book, shop, finish=seed % 3 == 2)
    return shop


def _read_ahead(book: Book, shop: Shop, *, finish: bool) -> None:
    """A sweep read but for its last marks; with `finish` it was read to the end and finished."""
    stations = station_list(
        length_in=LENGTH_IN,
        spacing_in=15.0,
        rollers_in=ROLLERS_IN,
        areas_in=[(start, end) for _, start, end in AREAS],
    )
    sweep = sweeps.start_sweep(
        book,
        job_id=shop.job_id,
        purpose="as received",
        roller_a_in=ROLLERS_IN[0],
        roller_b_in=ROLLERS_IN[1],
        stations_in=stations,
        marks_deg=MARKS_DEG,
        closing=True,
    )
    session = sweep_entry.open_session(book, sweep.id)
    while session.counts[1] - session.counts[0] > (0 if finish else LEFT):
        assert session.station_in is not None
        assert session.slot is not None
        shown = shop.dial_thou(session.station_in, session.slot.clock_deg or 0.0)
        if shown is None:
            session, _ = sweep_entry.block(book, session)
        else:
            session, _ = sweep_entry.take(book, session, f"{shown:g}")
    if finish:
        sweep_entry.finish(book, session)
