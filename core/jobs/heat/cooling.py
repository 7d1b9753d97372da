"""Is the bar cold? Readings while a heat spot cools, and the sweeps that were begun too early.

A sweep begun before the bar was read cold shows a warm shaft: it stays in the book and is never
used. Lengths inches, times minutes.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from math import log

from core.base.errors import ShaftlogError
from core.base.records import FULL_SWEEPS, Hit, HitReading, Sweep
from core.base.times import local_text, moment
from core.base.units import format_station
from core.book import history, hits, jobs, settings, sweeps
from core.book.connection import Book
from core.book.readings import reading_times
from core.jobs.heat.plan import heat_figures
from core.straightening.heat_spots import (
    SLOW_BOW_MIN,
    Cooling,
    cooling,
    slowest_decay_min,
    wait_between_min,
)
from core.straightening.response import HEAT

COOLING = "cooling"
EARLIER_WAIT = log(2.0)
"""Wait between the two readings, over the decay of the bow, that was asked of a spot noted before
the book kept the wait."""
UNREAD_HOURS = 2.0
"""A bar that nobody read for so long after the spot, or after the last look at it, is cold. Ours,
no source: six times the slowest decay of a bow that was reckoned with."""


@dataclass(frozen=True)
class SpotCooling:
    """One heat spot and how it cools."""

    hit: Hit
    readings: tuple[HitReading, ...]
    state: Cooling
    later_cold_at: datetime | None = None
    """From when on the bar is cold after the spots made later; then this one is cold too."""

    @property
    def read_again_at(self) -> datetime | None:
        """From when on a reading can call it cold; None = at any time, or it is cold."""
        return self._moment(self.state.read_again_min)

    @property
    def cold_at(self) -> datetime:
        """From when on readings count, as far as it is known now."""
        own = self._moment(self.state.cold_since_min)
        if own is None:
            last = self.readings[-1].at if self.readings else self.hit.at
            own = moment(last) + timedelta(hours=UNREAD_HOURS)
        return own if self.later_cold_at is None else min(own, self.later_cold_at)

    def is_warm(self, now: datetime) -> bool:
        """Whether the bar is not read cold yet after this spot."""
        return now < self.cold_at

    def text_at(self, now: datetime) -> str:
        """Whether it is cold, and what to do."""
        if self.state.is_cold or self.is_warm(now):
            return self.state.text
        return f"Cold: nobody read it for {UNREAD_HOURS:.0f} hours. Sweep or read now."

    def _moment(self, minutes: float | None) -> datetime | None:
        """A time of the cooling, minutes after the spot was made."""
        return None if minutes is None else moment(self.hit.at) + timedelta(minutes=minutes)


def spots_of(book: Book, job_id: str) -> tuple[SpotCooling, ...]:
    """Every heat spot in force, oldest first."""
    heated = [hit for hit in hits.hits_of(book, job_id) if hit.method == HEAT]
    if not heated:
        return ()
    every = [r for r in hits.readings_of_job(book, job_id) if r.kind == COOLING]
    newest_first: list[SpotCooling] = []
    for hit in reversed(heated):
        ids = _entries_of(book, hit)
        own = tuple(r for r in every if r.hit_id in ids)
        later = newest_first[-1].cold_at if newest_first else None
        newest_first.append(SpotCooling(hit, own, _state_of(book, hit, own), later))
    return tuple(reversed(newest_first))


def cold_rule(book: Book, job_id: str, method: str) -> dict[str, float | None]:
    """What a hit noted now is asked before the bar counts as cold; nothing after the press.

    It is kept with the spot, so that no later dial, shaft figure or rule of the program changes
    which sweeps were warm.
    """
    wait_min = dial_in = None
    if method == HEAT:
        dial_in = _dial_of(book, job_id)
        wait_min = wait_between_min(_decay_of(book, job_id), dial_in)
    return {"cold_wait_min": wait_min, "cold_dial_in": dial_in}


def _state_of(book: Book, hit: Hit, readings: Sequence[HitReading]) -> Cooling:
    """Whether a bar is cold by its readings; once it was, it stays so."""
    dial_in = hit.cold_dial_in or _dial_of(book, hit.job_id)
    apart_min = hit.cold_wait_min or EARLIER_WAIT * _decay_of(book, hit.job_id)
    start = moment(hit.at)
    minutes = [(moment(r.at) - start).total_seconds() / 60 for r in readings]
    values = [r.value_in for r in readings]
    state = cooling([], [], dial_in, apart_min)
    for count in range(1, len(readings) + 1):
        state = cooling(minutes[:count], values[:count], dial_in, apart_min)
        if state.is_cold:
            break
    return state


def _entries_of(book: Book, hit: Hit) -> set[str]:
    """Ids of a hit and of the entries that it corrects: readings stay with the spot."""
    ids = {hit.id}
    while hit.corrects is not None:
        hit = hits.hit(book, hit.corrects)
        ids.add(hit.id)
    return ids


def _decay_of(book: Book, job_id: str) -> float:
    shaft = history.shaft_of(book, jobs.job(book, job_id))
    try:
        return slowest_decay_min(shaft.diameter_in, heat_figures(shaft).diffusivity_in2_s)
    except ShaftlogError:
        return SLOW_BOW_MIN


def _dial_of(book: Book, job_id: str) -> float:
    full = sweeps.last_sweep(book, job_id, *FULL_SWEEPS)
    return (full or settings.load(book)).resolution_in


def warm_sweeps(book: Book, job_id: str) -> dict[str, str]:
    """Id of each sweep whose reading began while a spot was warm, with a sentence on it."""
    spots = spots_of(book, job_id)
    read = reading_times(book, job_id) if spots else {}
    found: dict[str, str] = {}
    for sweep in sweeps.sweeps_of(book, job_id) if spots else ():
        if sweep.id not in read:
            continue  # set up only: it can still be read on a cold bar
        begun = moment(read[sweep.id][0])
        for spot in spots:
            if moment(spot.hit.at) <= begun and spot.is_warm(begun):
                found[sweep.id] = _warm_words(sweep, spot.hit)
    return found


def _warm_words(sweep: Sweep, hit: Hit) -> str:
    when = local_text(sweep.started_at, "%d %b %H:%M")
    return (
        f"the sweep '{sweep.purpose}' of {when} was begun before the heat spot at "
        f"{format_station(hit.station_in)} was read cold: a warm shaft bows. Sweep again."
    )


def check_cold(book: Book, job_id: str, now: datetime) -> None:
    """Raise in words while a spot is not read cold: no sweep is begun."""
    for spot in spots_of(book, job_id):
        if spot.is_warm(now):
            raise ShaftlogError(
                f"The heat spot at {format_station(spot.hit.station_in)} is not read cold yet: a "
                "warm shaft bows. F7, 3 on the straighten screen opens its cooling clock."
            )
