"""The penetrant check of one job: which areas, how far each is, which must be done again."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from functools import lru_cache
from typing import TYPE_CHECKING

from core.base.errors import ShaftlogError
from core.base.penetrant_records import PenetrantCheck
from core.base.shop_records import Job
from core.base.times import moment
from core.book import history, hits, jobs, penetrant_checks
from core.book.connection import Book
from core.jobs.facts import BoardLine
from core.jobs.job_facts import JobFacts
from core.jobs.steps import say_next
from core.penetrant.areas import CheckArea, areas_to_check
from core.penetrant.clock import Bell, Clock, Conditions, Stamps, Standard, bells, clock, standard

if TYPE_CHECKING:
    from core.runout.readings import SweepReadings

SWEEPS_KEPT = 64
"""Sweeps whose bends are kept: a card asks for them each time it is shown."""


@dataclass(frozen=True)
class AreaCheck:
    """One area and how far its check is."""

    area: CheckArea
    check: PenetrantCheck | None
    clock: Clock | None
    """None = no check opened yet."""
    hit_since: bool = False
    """It was hit after the penetrant of this check went on."""

    @property
    def stage(self) -> str:
        """Stage of the clock."""
        return self.clock.stage if self.clock is not None else "not started"

    @property
    def again_because(self) -> str:
        """Why this area has to be done again from the start; '' = it has not."""
        check, clock = self.check, self.clock
        if check is None or clock is None or check.result == "crack":
            return ""
        if check.result == "unclear":
            return check.notes or "could not be seen clearly"
        if self.hit_since:
            return "it was hit after this check"
        if clock.stage == "too late":
            return clock.say
        return clock.warnings[-1] if clock.warnings else ""

    @property
    def again(self) -> bool:
        """Whether this area has to be done again from the start."""
        return bool(self.again_because)

    @property
    def due(self) -> bool:
        """Whether the next stage may be stamped now: begun again, or its wait is over."""
        return not self.crack and (self.again or self.stage in ("not started", "wipe", "dry"))

    @property
    def wet(self) -> bool:
        """Penetrant was put on and nobody has finished the check: solvent and fumes are there."""
        return self.check is not None and bool(self.check.penetrant_at) and not self.check.result

    @property
    def crack(self) -> bool:
        """Whether a crack was found here that nobody has overruled."""
        check = self.check
        return check is not None and check.result == "crack" and not check.overrule_by

    @property
    def good(self) -> bool:
        """Whether it was found clear, or its crack overruled, and still counts."""
        check = self.check
        if check is None or self.again:
            return False
        return check.result == "clear" or (check.result == "crack" and bool(check.overrule_by))

    @property
    def settled(self) -> bool:
        """Whether nothing more is to be done here."""
        check = self.check
        return check is not None and bool(check.result) and not self.again


def stamps_of(check: PenetrantCheck) -> Stamps:
    """The moments of a check as the stage clock takes them."""
    texts = (check.penetrant_at, check.wiped_at, check.developer_at, check.inspected_at)
    return Stamps(*(moment(text) if text else None for text in texts))


def standard_of(check: PenetrantCheck) -> Standard:
    """The standard of a check; the first one when another program wrote a name not known here."""
    try:
        return standard(check.standard)
    except ShaftlogError:
        return standard("")


def clock_of(check: PenetrantCheck, now: datetime) -> Clock:
    """How far one area is now."""
    return clock(standard_of(check), stamps_of(check), now, _conditions(check))


def bells_of(check: PenetrantCheck, after: datetime) -> tuple[Bell, ...]:
    """The bells of the stage that runs which ring after a moment, in order."""
    every = bells(standard_of(check), stamps_of(check), _conditions(check))
    return tuple(bell for bell in every if bell.at > after)


def _conditions(check: PenetrantCheck) -> Conditions:
    return Conditions(cold=check.cold, short_dwell=check.short_dwell)


def planned_areas(book: Book, job_id: str, bends_in: Sequence[float] = ()) -> tuple[CheckArea, ...]:
    """Ends, keyways, taper, thread, each straightened spot, and what is looked at before pressing:
    bends as received and the spots of earlier visits. Stations in inches.

    A place that was hit on this job before anybody looked is dropped: its spot takes over.
    """
    job = jobs.job(book, job_id)
    shaft = history.shaft_of(book, job)
    hits_in = [hit.station_in for hit in hits.hits_of(book, job_id)]
    found = areas_to_check(
        shaft.length_in,
        shaft.diameter_in,
        history.areas_of(book, job),
        hits_in,
        bends_in=bends_in,
        earlier_hits_in=earlier_hits_in(book, job),
        zero_at_coupling=shaft.zero_end == "coupling",
    )
    opened = [c for c in penetrant_checks.newest_checks(book, job_id) if c.penetrant_at or c.result]
    begun = {check.area for check in opened}
    return tuple(
        area
        for area in found
        if not area.before_hits
        or area.name in begun
        or not any(area.from_in <= hit_in <= area.to_in for hit_in in hits_in)
    )


def earlier_hits_in(book: Book, job: Job) -> tuple[float, ...]:
    """Stations hit on the same bar at earlier visits, inches."""
    found: list[float] = []
    for other in jobs.jobs_of_shaft(book, job.shaft_id):
        if (other.opened_at, other.id) >= (job.opened_at, job.id):
            continue
        if other.state == "replaced":
            break
        found += [hit.station_in for hit in hits.hits_of(book, other.id)]
    return tuple(sorted(set(found)))


def wet_areas(checks: Sequence[AreaCheck]) -> tuple[str, ...]:
    """Names of the areas with penetrant on that nobody has finished."""
    return tuple(one.area.shown for one in checks if one.wet)


def hit_cautions(book: Book, job_id: str, now: datetime) -> tuple[str, ...]:
    """What the penetrant check says against pressing or heating now, worst first."""
    try:
        checks = spots(book, job_id, now)
    except ShaftlogError:
        return ("NO PENETRANT CHECK: the shaft has no length or diameter yet.",)
    wet = wet_areas(checks)
    if wet:
        where = wet[0] if len(wet) == 1 else f"{len(wet)} areas, first {wet[0]}"
        return (f"PENETRANT IS WET at {where}. Finish and clean before any hit; no flame near it.",)
    good = [one for one in checks if one.good]
    if not good:
        return (
            "NO AREA IS CHECKED FOR CRACKS: penetrant first (F7), a crack grows under the ram.",
        )
    left = [one.area.shown for one in checks if one.area.before_hits and not one.good]
    if left:
        more = f" and {len(left) - 1} more" if len(left) > 1 else ""
        return (f"NOT LOOKED AT WITH PENETRANT BEFORE PRESSING: {left[0]}{more}.",)
    return ()


def heat_refusal(book: Book, job_id: str, now: datetime) -> str:
    """Why no heat may be used now; '' = nothing against it here."""
    try:
        wet = wet_areas(spots(book, job_id, now))
    except ShaftlogError:
        return ""
    if not wet:
        return ""
    return (
        f"Penetrant is wet at {', '.join(wet[:2])}: it burns. Finish the check and clean first, or "
        "name below who overrules this and why."
    )


def readings_as_received(book: Book, job_id: str) -> SweepReadings | None:
    """The readings that show the shaft before the first hit; None = none, or nothing is to be
    straightened on this job."""
    if "straighten" not in jobs.job(book, job_id).work:
        return None
    from core.jobs.evidence import sweeps_that_count
    from core.jobs.sweep.sweep_readings import readings_for_core

    start = sweeps_that_count(book, job_id).start
    return readings_for_core(book, start.id) if start is not None else None


@lru_cache(maxsize=SWEEPS_KEPT)
def bends_in_readings(readings: SweepReadings | None) -> tuple[float, ...]:
    """Stations of the bends of a sweep, inches; each sweep is computed once. Loads the numerics;
    safe on any thread."""
    if readings is None:
        return ()
    from core.bends.find import find_bends
    from core.jobs.sweep.sweep_fits import fit_of

    try:
        return tuple(round(bend.station_in, 1) for bend in find_bends(fit_of(readings).line).bends)
    except ShaftlogError:
        return ()


def not_looked_at(book: Book, job_id: str) -> tuple[CheckArea, ...]:
    """Planned areas that no check was ever opened for."""
    seen = {check.area for check in penetrant_checks.newest_checks(book, job_id)}
    bends_in = bends_in_readings(readings_as_received(book, job_id))
    return tuple(area for area in planned_areas(book, job_id, bends_in) if area.name not in seen)


def spots(
    book: Book, job_id: str, now: datetime, bends_in: Sequence[float] = ()
) -> tuple[AreaCheck, ...]:
    """Areas from the shaft's geometry, its hits and bends, then those checked under other names."""
    planned = planned_areas(book, job_id, bends_in)
    newest = {check.area: check for check in penetrant_checks.newest_checks(book, job_id)}
    names = {area.name for area in planned}
    extra = tuple(
        CheckArea(check.area, check.from_in, check.to_in, "checked before")
        for check in newest.values()
        if check.area not in names
    )
    made = [(hit.station_in, hit.at) for hit in hits.hits_of(book, job_id)]
    return tuple(_spot(area, newest.get(area.name), made, now) for area in planned + extra)


def _spot(
    area: CheckArea, check: PenetrantCheck | None, made: list[tuple[float, str]], now: datetime
) -> AreaCheck:
    if check is None:
        return AreaCheck(area, None, None)
    since = area.straightened and any(
        area.from_in <= station_in <= area.to_in and at > (check.penetrant_at or at)
        for station_in, at in made
    )
    return AreaCheck(area, check, clock_of(check, now), since)


def clear_but_not_good(book: Book, job_id: str, now: datetime) -> tuple[tuple[str, str], ...]:
    """(area, why) of areas noted clear which want doing again: times not kept, or hit since."""
    return tuple(
        (spot.area.shown, spot.again_because)
        for spot in spots(book, job_id, now)
        if spot.check is not None and spot.check.result == "clear" and spot.again
    )


def counted(book: Book, facts: JobFacts, now: datetime) -> JobFacts:
    """Facts whose areas are those planned now, straightened spots too, once a check was opened.

    An area counts as clear only while nothing asks for it to be done again.
    """
    if not facts.penetrant_areas:
        return facts
    try:
        found = spots(book, facts.job_id, now)
    except ShaftlogError:
        return facts
    left = [spot for spot in found if not spot.good]
    return replace(
        facts,
        penetrant_areas=len(found),
        penetrant_clear=len(found) - len(left),
        penetrant_spots_left=sum(spot.area.straightened for spot in left),
    )


def board_counted(book: Book, lines: Sequence[BoardLine], now: datetime) -> tuple[BoardLine, ...]:
    """Lines of the board with their areas counted so, and the next step that follows."""
    found = [replace(line, facts=counted(book, line.facts, now)) for line in lines]
    return tuple(replace(line, next=say_next(line.facts)) for line in found)
