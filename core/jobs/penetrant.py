"""The penetrant check of one job: which areas, where each stands, which want doing again."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime

from core.base.errors import ShaftlogError
from core.base.records import PenetrantCheck
from core.base.times import moment
from core.book import hits, jobs, penetrant_checks, shafts
from core.book.connection import Book
from core.jobs.facts import BoardLine
from core.jobs.job_facts import JobFacts
from core.jobs.steps import say_next
from core.penetrant.areas import CheckArea, areas_to_check
from core.penetrant.clock import Bell, Clock, Conditions, Stamps, Standard, bells, clock, standard


@dataclass(frozen=True)
class AreaCheck:
    """One area and where its check stands."""

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
            return check.notes or "it could not be told"
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
    def crack(self) -> bool:
        """Whether a crack stands here that nobody has overruled."""
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
    """The moments of a check as the stage clock wants them."""
    texts = (check.penetrant_at, check.wiped_at, check.developer_at, check.inspected_at)
    return Stamps(*(moment(text) if text else None for text in texts))


def standard_of(check: PenetrantCheck) -> Standard:
    """The standard of a check; the first one when another program wrote a name not known here."""
    try:
        return standard(check.standard)
    except ShaftlogError:
        return standard("")


def clock_of(check: PenetrantCheck, now: datetime) -> Clock:
    """Where one area stands now."""
    return clock(standard_of(check), stamps_of(check), now, _conditions(check))


def bells_of(check: PenetrantCheck, after: datetime) -> tuple[Bell, ...]:
    """The bells of the stage that runs which ring after a moment, in order."""
    every = bells(standard_of(check), stamps_of(check), _conditions(check))
    return tuple(bell for bell in every if bell.at > after)


def _conditions(check: PenetrantCheck) -> Conditions:
    return Conditions(cold=check.cold, short_dwell=check.short_dwell)


def planned_areas(book: Book, job_id: str) -> tuple[CheckArea, ...]:
    """Both ends, keyways, taper, thread, and each straightened spot; stations in inches."""
    shaft = shafts.shaft(book, jobs.job(book, job_id).shaft_id)
    return areas_to_check(
        shaft.length_in,
        shaft.diameter_in,
        shafts.areas_of(book, shaft.id),
        [hit.station_in for hit in hits.hits_of(book, job_id)],
        zero_at_coupling=shaft.zero_end == "coupling",
    )


def not_looked_at(book: Book, job_id: str) -> tuple[CheckArea, ...]:
    """Planned areas that no check was ever opened for."""
    seen = {check.area for check in penetrant_checks.newest_checks(book, job_id)}
    return tuple(area for area in planned_areas(book, job_id) if area.name not in seen)


def spots(book: Book, job_id: str, now: datetime) -> tuple[AreaCheck, ...]:
    """Areas from the shaft's geometry and its hits, then any that were checked under old names."""
    planned = planned_areas(book, job_id)
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
        (spot.area.name, spot.again_because)
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
