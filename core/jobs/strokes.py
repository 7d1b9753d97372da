"""A stroke at the press as the screen leads it: each load and release read, stored, and the next.

The hit is noted with its first load, so that nothing is lost when the power fails half way. Lengths
inches, angles radians.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from core.base.errors import ShaftlogError
from core.base.records import Hit, HitReading, Shaft
from core.book import hits
from core.book.connection import Book
from core.book.errors import Overtaken
from core.jobs import hit_actions
from core.jobs.hit_actions import HitEntry
from core.jobs.press_setup import stroke_of
from core.straightening.led_stroke import LoadTried, NextLoad, next_load
from core.straightening.press import Stroke

LOAD = "load"
LEAST_SET_RAD = 5e-5
"""Less than this is not asked for once more. As fine as a hit is made (see `response`)."""


@dataclass(frozen=True)
class LedStroke:
    """A stroke under way."""

    stroke: Stroke
    """What theory says of it: caution and ceiling, and the reading that is asked for."""
    tried: tuple[LoadTried, ...]
    """Loads so far; the travel is the one that was asked for where nobody read it."""
    next: NextLoad


def stroke_of_entry(shaft: Shaft, entry: HitEntry) -> Stroke:
    """The stroke of a hit with its own blocks and diameter; refused where one is not known."""
    if entry.blocks_in is None:
        raise ShaftlogError("How far apart are the blocks? F8 sets them for this job.")
    if entry.diameter_in is None:
        raise ShaftlogError(
            "On a taper or step the diameter under the ram is needed: the load goes with its cube. "
            "Type it first."
        )
    return stroke_of(shaft, entry.blocks_in, entry.station_in, entry.asked_rad, entry.diameter_in)


def led(stroke: Stroke, readings: Sequence[HitReading]) -> LedStroke:
    """Where a stroke is by the readings so far."""
    tried: list[LoadTried] = []
    for one in readings:
        asked = next_load(stroke, tried).travel_in
        travel = one.travel_in if one.travel_in is not None else asked
        before = tried[-1].travel_in if tried else stroke.yields_at_travel_in
        tried.append(LoadTried(before if travel is None else travel, one.value_in))
    return LedStroke(stroke, tuple(tried), next_load(stroke, tried))


def loads_of(book: Book, made: Hit) -> tuple[HitReading, ...]:
    """The loads of one hit in order."""
    every = hits.readings_of_job(book, made.job_id)
    return tuple(one for one in every if one.kind == LOAD and one.hit_id == made.id)


def read_load(
    book: Book,
    job_id: str,
    entry: HitEntry,
    hit_id: str | None,
    stays_in: float,
    *,
    seen: Sequence[str],
    loads: int | None = None,
    confirmed: bool = False,
) -> Hit:
    """Store what the dial stays at after one load and release; the first one notes the hit.

    Raises `HitsChanged` like `hit_actions.note_hit`, and `Overtaken` when the hit does not have the
    `loads` that were shown: another bench has read this one.
    """
    hit_actions.check_stays(stays_in, entry.blocks_in)
    with book.write():
        if hit_id is None:
            made = hit_actions.note_hit(book, job_id, entry, seen=seen, confirmed=confirmed)
        else:
            hit_actions.check_may_hit(book, job_id)
            made = _counted(book, hit_id)
            if loads is not None and len(loads_of(book, made)) != loads:
                raise Overtaken(
                    "Another bench was at this stroke meanwhile. Yours is not stored: look at the "
                    "loads, then type it again if it is a further one."
                )
        hits.add_reading(
            book, job_id=job_id, hit_id=made.id, kind=LOAD, value_in=stays_in, by=entry.by
        )
    return made


def _counted(book: Book, hit_id: str) -> Hit:
    """The hit, which must not have been taken back or corrected at another bench."""
    made = hits.hit(book, hit_id)
    if made.undone_at is not None:
        raise ShaftlogError("This hit was taken back or corrected meanwhile. Go back.")
    return made


def undo_load(book: Book, made: Hit) -> bool:
    """Take the last load back; with the only one the hit is taken back too. True = it is gone."""
    with book.write():
        loads = loads_of(book, _counted(book, made.id))
        if not loads:
            raise ShaftlogError("Nothing was read at this stroke yet.")
        if len(loads) == 1:
            last = hits.last_entered(book, made.job_id)
            if last is None or last.id != made.id:
                raise ShaftlogError("A hit was noted after this one: take that back first.")
            hits.undo_reading(book, loads[-1])
            hit_actions.undo_hit(book, made.job_id)
            return True
        hits.undo_reading(book, loads[-1])
    return False


def once_more(entry: HitEntry, state: LedStroke) -> HitEntry:
    """One more stroke where the blocks stand, for what the dial still lacks."""
    left_rad = state.stroke.set_rad - state.next.set_rad
    if left_rad < LEAST_SET_RAD:
        raise ShaftlogError("The dial stays where it was asked: nothing is left to take out here.")
    return HitEntry(
        entry.station_in,
        entry.high_side_rad,
        left_rad,
        blocks_in=entry.blocks_in,
        diameter_in=entry.diameter_in,
        by=entry.by,
    )
