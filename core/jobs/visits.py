"""The visits of one shaft: read from the book, each in figures, and compared with one another.

Reading (`read_visits`) touches the book and is quick; telling works the sweeps out (some hundredths
of a second each, kept for as long as the readings stay as they are) and may run on another thread.
Lengths inches, angles radians.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

from core.base.errors import ShaftlogError
from core.base.records import Job, Shaft, Sweep
from core.base.times import local_text
from core.base.units import format_shop_size
from core.bends.find import find_bends
from core.bends.returning import PastBend, RepeatBend, ShaftPlace, Visit, keyway_clocks, same_again
from core.book import audit as events
from core.book import history, hits, jobs, settings
from core.book.connection import Book
from core.jobs.evidence import sweeps_that_count
from core.jobs.limits import areas_for_core
from core.jobs.sweep.sweep_fits import fit_of
from core.jobs.sweep.sweep_readings import readings_for_core
from core.runout.readings import SweepReadings
from core.runout.verdict import Area

DAY = "%d %b %Y"


@dataclass(frozen=True)
class RawVisit:
    """One visit as the book has it."""

    job: Job
    came: Sweep | None
    """The newest full sweep before the first hit; None = not swept to the end."""
    came_readings: SweepReadings | None
    left: Sweep | None
    """The newest full sweep after the last hit; None = not hit, or not swept since."""
    left_readings: SweepReadings | None
    hits_in: tuple[float, ...]
    zero_end: str
    """The end its stations were counted from."""
    size_then: str = ""
    """The size it had and what was done to it since; '' = as now."""


@dataclass(frozen=True)
class RawVisits:
    """All visits of a shaft up to one of them, as read."""

    shaft: Shaft
    areas: tuple[Area, ...]
    visits: tuple[RawVisit, ...]
    """Oldest first; the last one is the one asked about."""


@dataclass(frozen=True)
class VisitSummary:
    """One visit worked out."""

    raw: RawVisit
    visit: Visit
    came_tir_in: float | None
    """Worst TIR along the shaft as it came; None = not swept."""
    left_tir_in: float | None
    """Worst TIR after the last hit; None = not hit, or not swept since."""


@dataclass(frozen=True)
class Returned:
    """A shaft with its earlier visits."""

    raw: RawVisits
    summaries: tuple[VisitSummary, ...]
    """Oldest first."""
    again: tuple[RepeatBend, ...]
    """Bends of the last visit at places that were bent before."""

    @property
    def earlier(self) -> tuple[Visit, ...]:
        """The visits before the last."""
        return tuple(one.visit for one in self.summaries[:-1])

    @property
    def then(self) -> VisitSummary | None:
        """The newest earlier visit that was swept; of those with a bend at an old place, if any."""
        swept = [one for one in self.summaries[:-1] if one.raw.came is not None]
        match = {again.visit.tag for again in self.again}
        return next(reversed([t for t in swept if t.visit.tag in match] or swept), None)


def read_visits(book: Book, job_id: str) -> RawVisits:
    """Read the visits of a job's shaft that began before it, and itself."""
    job = jobs.job(book, job_id)
    shaft = history.shaft_of(book, job)
    every = reversed(jobs.jobs_of_shaft(book, shaft.id))
    upto = [one for one in every if (one.opened_at, one.id) <= (job.opened_at, job.id)]
    areas = areas_for_core(book, job, settings.as_of(book, job.closed_at))
    return RawVisits(shaft, areas, tuple(_read_visit(book, one, shaft) for one in upto))


def _read_visit(book: Book, job: Job, shaft: Shaft) -> RawVisit:
    found = sweeps_that_count(book, job.id)
    came = found.start
    left = found.leaving if found.hits else None
    return RawVisit(
        job=job,
        came=came,
        came_readings=None if came is None else readings_for_core(book, came.id),
        left=left,
        left_readings=None if left is None else readings_for_core(book, left.id),
        hits_in=tuple(hit.station_in for hit in found.hits),
        zero_end=shaft.zero_end if came is None else _zero_end_at(book, shaft, came.started_at),
        size_then=_size_then(book, job, shaft),
    )


def _size_then(book: Book, job: Job, now: Shaft) -> str:
    """The size of the shaft at this visit and what was done to it since, in words; '' = as now."""
    then = history.shaft_of(book, job)
    if (then.diameter_in, then.length_in) == (now.diameter_in, now.length_in):
        return ""
    past = (one for one in history.past_of(book, now.id) if one.until_at > job.opened_at)
    done = ", ".join(dict.fromkeys(one.why for one in past if one.why)) or "another size"
    size = f"{format_shop_size(then.diameter_in)} x {format_shop_size(then.length_in)}"
    return f"{size} then; since: {done}."


def _zero_end_at(book: Book, shaft: Shaft, at: str) -> str:
    """The end that stations were counted from at a moment: what the first later change replaced."""
    for event in events.events_of(book, "shaft", shaft.id):
        if event.what == "zero_end" and event.at > at:
            return event.old
    return shaft.zero_end


def visits_of_bar(book: Book, job_id: str) -> tuple[Job, ...]:
    """The visits of the bar a job's shaft is made of, oldest first, up to the job itself.

    A visit that ended with a new shaft in place of the old one was the last of another bar.
    """
    job = jobs.job(book, job_id)
    every = reversed(jobs.jobs_of_shaft(book, job.shaft_id))
    upto = [one for one in every if (one.opened_at, one.id) <= (job.opened_at, job.id)]
    return tuple(one for n, one in enumerate(upto) if not _replaced(upto[n:-1]))


def hits_before_in(book: Book, job_id: str) -> tuple[float, ...]:
    """Stations that earlier visits hit on the bar the shaft is made of now, inches."""
    return tuple(
        hit.station_in
        for visit in visits_of_bar(book, job_id)[:-1]
        for hit in hits.hits_of(book, visit.id)
    )


def tell_visits(raw: RawVisits) -> Returned:
    """Work every visit out and look for bends at old places."""
    summaries = tuple(_tell(raw, n) for n in range(len(raw.visits)))
    earlier = [one.visit for one in summaries[:-1]]
    again = same_again(summaries[-1].visit, earlier, raw.shaft.diameter_in)
    return Returned(raw, summaries, again)


def _tell(raw: RawVisits, number: int) -> VisitSummary:
    one, now = raw.visits[number], raw.visits[-1]
    came = None if one.came_readings is None else shape_of(one.came_readings)
    left = None if one.left_readings is None else shape_of(one.left_readings)
    step = 0.0
    if one.came is not None and one.came.marks_deg:
        step = 2 * math.pi / len(one.came.marks_deg)
    visit = Visit(
        tag=one.job.tag,
        when=local_text(one.job.opened_at, DAY),
        came=() if came is None else came.bends,
        left=() if left is None else left.bends,
        left_known=left is not None and left.worst_tir_in is not None,
        hits_in=one.hits_in,
        seen_in=(0.0, 0.0) if came is None else came.seen_in,
        keyways_rad=(None, None) if came is None else came.keyways_rad,
        mark_step_rad=step,
        trouble=_trouble(one, now, came),
        other_bar=_replaced([other.job for other in raw.visits[number:-1]]),
    )
    return VisitSummary(
        one,
        visit,
        None if came is None else came.worst_tir_in,
        None if left is None else left.worst_tir_in,
    )


def _trouble(one: RawVisit, now: RawVisit, came: Shape | None) -> str:
    if came is None:
        return "not swept to the end before anything was done, so its bends are not known"
    if came.trouble:
        return f"its sweep cannot be worked out ({came.trouble})"
    if one.zero_end != now.zero_end:
        return f"its stations were counted from the {one.zero_end} end, those of now are not"
    return ""


def _replaced(visits: Sequence[Job]) -> bool:
    """Whether one of these visits ended with a new shaft in the place of the old one."""
    return any(job.state == "replaced" for job in visits)


@dataclass(frozen=True)
class Shape:
    """What one full sweep says of the shape of the shaft."""

    worst_tir_in: float | None
    bends: tuple[PastBend, ...] = ()
    seen_in: tuple[float, float] = (0.0, 0.0)
    keyways_rad: tuple[float | None, float | None] = (None, None)
    trouble: str = ""


@lru_cache(maxsize=256)
def shape_of(readings: SweepReadings) -> Shape:
    """Worst TIR and bends of a sweep; the words of the trouble when it cannot be worked out."""
    try:
        fit = fit_of(readings)
    except ShaftlogError as error:
        return Shape(None, trouble=str(error))
    bends = tuple(
        PastBend(
            ShaftPlace(bend.station_in, bend.station_u95_in, bend.kind != "sharp"),
            bend.angle_rad,
            bend.high_side_rad,
        )
        for bend in find_bends(fit.line).bends
    )
    seen_in = (float(fit.line.station_in[0]), float(fit.line.station_in[-1]))
    worst_in = max(one.tir_in for one in fit.fits)
    return Shape(worst_in, bends, seen_in, keyway_clocks(readings))


def tell_each(raw: RawVisits) -> dict[str, Returned]:
    """Every visit compared with those before it, by the id of its job."""
    upto = (replace(raw, visits=raw.visits[: n + 1]) for n in range(len(raw.visits)))
    return {one.visits[-1].job.id: tell_visits(one) for one in upto}
