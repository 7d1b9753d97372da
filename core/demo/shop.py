"""The invented shop while its book is being written."""

from __future__ import annotations

import numpy as np

from core.base.shop_records import Shaft
from core.book import customers, jobs, shafts
from core.book.connection import Book
from core.demo.bench import Calendar, DemoBench, keyways
from core.demo.cast import BENCH_HANDS, CUSTOMERS, DemoShaft
from core.demo.simulate import Ovality, TrueBend, TrueBow, TrueShaft


class Shop:
    """The invented shop while its book is being written."""

    def __init__(self, book: Book, calendar: Calendar, seed: int) -> None:
        self.book = book
        self.seed = seed
        self.calendar = calendar
        self.shafts: dict[str, Shaft] = {}
        self._count = 0

    def open_job(
        self,
        key: str,
        tag: str,
        day: str,
        *,
        bends: tuple[TrueBend, ...] = (),
        bows: tuple[TrueBow, ...] = (),
        ovality: tuple[Ovality, ...] = (),
        complaint: str = "",
        due: str = "",
        hand: str = BENCH_HANDS[0],
        hour: int = 9,
    ) -> DemoBench:
        """Take a shaft in: the job in the book, and the shaft as it truly is."""
        shaft = self.shafts[key]
        self.calendar.at(day, hour)
        self.book.by = hand
        areas = shafts.areas_of(self.book, shaft.id)
        bearing = next(a for a in areas if a.kind == "bearing")
        rollers_in = (12.0, float(round((bearing.from_in + bearing.to_in) / 2)))
        job = jobs.start_job(
            self.book,
            shaft_id=shaft.id,
            roller_a_in=rollers_in[0],
            roller_b_in=rollers_in[1],
            complaint=complaint,
            due=due,
            tag=tag,
        )
        taper = next(a for a in areas if a.kind == "taper")
        true = TrueShaft(
            length_in=shaft.length_in,
            diameter_in=shaft.diameter_in,
            bends=bends,
            bows=bows,
            ovality=ovality or (Ovality(0.0, shaft.length_in, 0.00015, 0.7),),
            keyways=keyways(shaft.length_in, shaft.length_in - taper.from_in),
        )
        self._count += 1
        self.calendar.later(minutes=20)
        rng = np.random.default_rng([self.seed, self._count])
        return DemoBench(self.book, self.calendar, rng, job, shaft, true, hand, rollers_in)

    def take_on_customers(self) -> None:
        """Enter everybody with vessels, shafts and riding areas."""
        for person in CUSTOMERS:
            owner = customers.add_customer(
                self.book,
                name=person.name,
                phone=person.phone,
                email=person.email,
                address=person.address,
                notes=person.notes,
            )
            for boat in person.vessels:
                vessel = customers.add_vessel(
                    self.book,
                    customer_id=owner.id,
                    name=boat.name,
                    kind=boat.kind,
                    engine_hp=boat.engine_hp,
                    shaft_rpm=boat.shaft_rpm,
                )
                for one in boat.shafts:
                    self.shafts[one.key] = self._shaft(vessel.id, one)
                self.calendar.later(minutes=5)

    def _shaft(self, vessel_id: str, one: DemoShaft) -> Shaft:
        entered = shafts.add_shaft(
            self.book,
            vessel_id=vessel_id,
            position=one.position,
            material=one.material,
            condition=one.condition,
            diameter_in=one.diameter_in,
            length_in=one.length_in,
            notes=one.notes,
        )
        for area in one.areas:
            shafts.add_area(
                self.book,
                shaft_id=entered.id,
                kind=area.kind,
                name=area.name,
                from_in=area.from_in,
                to_in=area.to_in,
                limit_in=area.limit_in,
            )
        return entered
