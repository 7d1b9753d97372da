"""The press for one job: the blocks, who works, the stroke by theory. Lengths in inches."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from core.base.errors import ShaftlogError
from core.base.records import Hit, Shaft
from core.book import history, jobs, settings
from core.book.connection import Book
from core.book.settings import ShopSettings
from core.straightening.led_stroke import set_of_stays
from core.straightening.press import Stroke, check_blocks_on_shaft, stroke_for_set
from core.tables.materials import E, material


@dataclass(frozen=True)
class PressSetup:
    """What every stroke of a job is worked out with."""

    shaft: Shaft
    shop: ShopSettings
    blocks_in: float
    """Block spacing set for this job, else the shop's."""
    worker: str
    """Who works at the press and with penetrant on this job; '' = nobody named."""


def press_setup(book: Book, job_id: str) -> PressSetup:
    """The set-up that holds for a job now."""
    job = jobs.job(book, job_id)
    shop = settings.load(book)
    blocks_in = job.blocks_in or shop.block_span_in
    return PressSetup(history.shaft_of(book, job), shop, blocks_in, job.worker)


def save_press_setup(book: Book, job_id: str, **changes: Any) -> None:
    """Store `blocks_in` (None = the shop's setting) or `worker` with the job."""
    jobs.change_job(book, job_id, **changes)


def stroke_of(
    shaft: Shaft,
    span_in: float,
    station_in: float,
    set_rad: float,
    diameter_in: float | None = None,
) -> Stroke:
    """The press stroke for an angle at a station, by the table of materials.

    `diameter_in`: the diameter at that place; None = that of the shaft.
    """
    found = material(shaft.material)
    modulus, strength = found.figure(E, shaft.condition), found.yield_figure(shaft.condition)
    if modulus is None or strength is None:
        raise ShaftlogError(
            f"Modulus or yield of {shaft.material} is not in the table: type them on the press "
            "screen."
        )
    check_blocks_on_shaft(station_in, span_in, shaft.length_in)
    thick = shaft.diameter_in if diameter_in is None else diameter_in
    return stroke_for_set(thick, span_in, modulus.value, strength.value, set_rad)


def shown_set_rad(shaft: Shaft, made: Hit) -> float | None:
    """Angle that the dial under the ram showed after release; None = it was not read, or the
    stroke cannot be worked out."""
    if made.method != "press" or made.stays_in is None or made.blocks_in is None:
        return None
    bar = made.blocks_in, made.station_in, made.angle_rad, made.diameter_in
    try:
        return set_of_stays(stroke_of(shaft, *bar), made.stays_in)
    except ShaftlogError:
        return None
