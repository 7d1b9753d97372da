"""The practice shaft: a book of its own, a dial and a press that answer as the true shaft would.

The book is made in a temporary folder and thrown away with it: nothing of it can get into the
shop's records. One reading is wrong on purpose (`wrong_on_purpose`). The steel is a little stronger
than the table says, so that the press takes out less than was asked at first. Lengths inches.
"""

from __future__ import annotations

import math
from dataclasses import replace
from pathlib import Path

import numpy as np

from core.base.records import Hit, Sweep
from core.book import customers, hits, jobs, settings, shafts
from core.book.connection import Book
from core.book.opening import open_book
from core.book.settings import ShopSettings
from core.demo.bench import bend, lost_turn
from core.demo.simulate import Ovality, TrueBend, TrueShaft, read_sweep
from core.jobs.hit_actions import HitEntry, entry_of
from core.jobs.shop.first_values import in_other_unit
from core.jobs.strokes import loads_of, stroke_of_entry
from core.straightening.led_stroke import set_of_stays
from core.straightening.press import stroke_for_set

LENGTH_IN, DIAMETER_IN, ROLLERS_IN = 60.0, 1.5, (10.0, 50.0)
MATERIAL = "S31600"
SPACING_IN = 10.0
TRUE = TrueShaft(
    length_in=LENGTH_IN,
    diameter_in=DIAMETER_IN,
    bends=(bend(27.0, 1.8, 130.0),),
    ovality=(Ovality(0.0, LENGTH_IN, 0.0002, 0.6),),
)
STRONGER = 1.08
"""Yield of the bar over that of the table."""
UNREAD_SHARE = 0.9
"""What a hit takes out of its plan when nobody reads what stays."""
PRACTICE_SEED = 515
WRONG_AT = (20.0, 180.0)
"""Station and mark of the reading that is wrong on purpose."""


def make_practice(place: Path, shop: ShopSettings) -> None:
    """Write the practice book: one job, its rollers known, nothing read; dial as in the shop."""
    with open_book(place, by="practice") as book, book.write():
        begins = in_other_unit(ShopSettings(), shop.unit) | {
            "shop_name": "Practice: nothing of this is kept",
            "unit": shop.unit,
            "resolution_in": shop.resolution_in,
            "dial_turn_in": shop.dial_turn_in,
            "spacing_in": SPACING_IN,
        }
        settings.save(book, **begins)
        owner = customers.add_customer(book, name="nobody")
        vessel = customers.add_vessel(book, customer_id=owner.id, name="Practice shaft")
        shaft = shafts.add_shaft(
            book,
            vessel_id=vessel.id,
            material=MATERIAL,
            diameter_in=DIAMETER_IN,
            length_in=LENGTH_IN,
        )
        jobs.start_job(
            book,
            shaft_id=shaft.id,
            roller_a_in=ROLLERS_IN[0],
            roller_b_in=ROLLERS_IN[1],
            complaint="shakes at speed",
            work=("straighten",),
        )


def dial_in(book: Book, sweep: Sweep, station_in: float, clock_deg: float) -> float:
    """What the dial shows at a mark, zeroed at the first one; the same each time it is asked."""
    made = hits.hits_of(book, sweep.job_id)
    true = replace(TRUE, bends=(*TRUE.bends, *(_taken_out(book, one) for one in made)))
    marks_deg = tuple(dict.fromkeys((*sweep.marks_deg, clock_deg)))
    read = read_sweep(
        true,
        (sweep.roller_a_in, sweep.roller_b_in),
        [station_in],
        [math.radians(mark) for mark in marks_deg],
        resolution_in=sweep.resolution_in,
        rng=np.random.default_rng([PRACTICE_SEED, round(station_in * 100), len(made)]),
    ).stations[0]
    shown_in = dict(zip(marks_deg, read.reading_in, strict=True))
    off_in = shown_in[clock_deg] - shown_in[marks_deg[0]]
    return round(off_in / sweep.resolution_in) * sweep.resolution_in


def wrong_on_purpose(sweep: Sweep, station_in: float, clock_deg: float, value_in: float) -> float:
    """The reading as it would be taken down: wrong by a turn of the pointer at one mark."""
    wrong = sweep.purpose == "as received" and (station_in, clock_deg) == WRONG_AT
    return lost_turn(value_in, sweep.dial_turn_in) if wrong else value_in


def stays_in(book: Book, job_id: str, entry: HitEntry, travel_in: float) -> float:
    """What the dial under the ram stays at after a load that took it to `travel_in`."""
    shaft = shafts.shaft(book, jobs.job(book, job_id).shaft_id)
    stroke = stroke_of_entry(shaft, entry)
    bar = stroke.diameter_in, stroke.span_in, stroke.e_psi, STRONGER * stroke.yield_psi
    low, high = 0.0, 0.2
    if stroke_for_set(*bar, low).travel_in >= travel_in:
        return 0.0
    for _ in range(40):
        middle = (low + high) / 2
        low, high = (
            (middle, high) if stroke_for_set(*bar, middle).travel_in < travel_in else (low, middle)
        )
    step = settings.load(book).resolution_in
    return round(stroke_for_set(*bar, low).stays_in / step) * step


def _taken_out(book: Book, made: Hit) -> TrueBend:
    """What a hit has done to the true shaft."""
    share, entry = UNREAD_SHARE, entry_of(made)
    if loads := loads_of(book, made):
        shaft = shafts.shaft(book, jobs.job(book, made.job_id).shaft_id)
        stroke = stroke_of_entry(shaft, entry)
        share = set_of_stays(stroke, loads[-1].value_in) / stroke.set_rad
    angle_rad, clock_rad = share * entry.asked_rad, entry.high_side_rad
    out = (angle_rad * math.cos(clock_rad), angle_rad * math.sin(clock_rad))
    return TrueBend(made.station_in, out)
