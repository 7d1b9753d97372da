"""The rounds of straightening of one job: read from the book, evaluated, and the next one planned.

Reading (`read_rounds`) touches the book and is quick; telling and planning are pure and may run on
another thread. Lengths inches, angles radians.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from core.analysis.area_verdicts import between_areas, judged_ends_in, limits_to_hit
from core.base.errors import ShaftlogError
from core.base.records import FULL_SWEEPS, Shaft
from core.book import history, hits, jobs, settings, sweeps
from core.book.connection import Book
from core.book.settings import ShopSettings
from core.jobs.evidence import sweeps_that_count
from core.jobs.limits import areas_for_core
from core.jobs.mixed_sweeps import unused_sweeps
from core.jobs.press_setup import stroke_of
from core.jobs.rounds import RawRound, read_rounds_of, readings_of_sweep, round_for_core
from core.jobs.sweep.sweep_fits import fit_of
from core.runout.checked_line import CheckedLine
from core.runout.line import ShaftLine
from core.runout.readings import SweepReadings
from core.runout.verdict import Area
from core.straightening.history import (
    RepairHistory,
    expected_dial,
    follow,
)
from core.straightening.plan import PlannedHit, check_stations, line_and_hits
from core.straightening.press import (
    Stroke,
    room_for_blocks_in,
    warnings,
)
from core.straightening.response import HitOutcome, Response, response_for

EARLIER_JOBS = 12
"""Newest jobs of the same material that teach the shop's response; older ones say little more."""


@dataclass(frozen=True)
class RawJob:
    """Everything of one job that straightening needs, as read."""

    shaft: Shaft
    shop: ShopSettings
    areas: tuple[Area, ...]
    start: SweepReadings | None
    """The last full sweep before the first hit; None = nothing swept to the end yet."""
    rounds: tuple[RawRound, ...]
    unused: str = ""
    """Why the newest full sweep is not used, in words; '' = it is."""
    blocks_in: float = 24.0
    """Block spacing as set for this job, else the shop's."""
    worker: str = ""
    """Who works at the press on this job; '' = nobody named."""

    @property
    def hit_ids(self) -> tuple[str, ...]:
        """Ids of the hits that counted when this was read."""
        return tuple(made.id for one in self.rounds for made in one.hits)


def read_rounds(book: Book, job_id: str) -> RawJob:
    """Read one job."""
    job = jobs.job(book, job_id)
    shaft = history.shaft_of(book, job)
    shop = settings.as_of(book, job.closed_at)
    found = sweeps_that_count(book, job_id)
    return RawJob(
        shaft,
        shop,
        areas_for_core(book, job, shop),
        readings_of_sweep(book, found.start),
        read_rounds_of(book, found),
        unused_words(book, job_id),
        job.blocks_in or shop.block_span_in,
        job.worker,
    )


def unused_words(book: Book, job_id: str) -> str:
    """The newest full sweep, in words, when a hit fell into it or it was warm; '' when a good one
    came after."""
    unused = unused_sweeps(book, job_id)
    full = [s for s in sweeps.sweeps_of(book, job_id) if s.purpose in FULL_SWEEPS]
    newest = next((s for s in reversed(full) if s.id in unused or s.finished_at), None)
    why = "" if newest is None else unused.get(newest.id, "")
    return f"NOT USED: {why}" if why else ""


def read_earlier(book: Book, job_id: str) -> tuple[RawJob, ...]:
    """Other jobs with hits on shafts of the same material, newest first: the shop's record."""
    uns = history.shaft_of(book, jobs.job(book, job_id)).material
    found = hits.jobs_hit_of_material(book, uns, EARLIER_JOBS + 1)
    return tuple(read_rounds(book, other) for other in found if other != job_id)[:EARLIER_JOBS]


def tell(raw: RawJob, responses: Mapping[str, Response] | None = None) -> RepairHistory | None:
    """Follow the job; None = no full sweep has been finished before the hits."""
    if raw.start is None:
        return None
    rounds = [round_for_core(one, raw.shaft) for one in raw.rounds]
    return follow(fit_of(raw.start).line, rounds, responses)


def shop_record(earlier: Sequence[RawJob]) -> tuple[HitOutcome, ...]:
    """What the shop's own hits of earlier jobs took out of what was asked."""
    found: list[HitOutcome] = []
    for raw in earlier:
        try:
            story = tell(raw)
        except ShaftlogError:
            continue
        if story is not None:
            found += story.records(raw.shaft.material)
    return tuple(found)


@dataclass(frozen=True, eq=False)
class HitToMake:
    """One hit of the next round as the bench reads it."""

    hit: PlannedHit
    dial: tuple[tuple[float, float, float], ...]
    """Nearest stations: (station in, TIR before, TIR after), inches."""
    stroke: Stroke | None
    """At the press; None = not to be worked out, see `trouble`."""
    warnings: tuple[str, ...]
    trouble: str = ""


@dataclass(frozen=True, eq=False)
class StraighteningState:
    """All that can be said about straightening a job now."""

    raw: RawJob
    story: RepairHistory | None
    """Its line is the one that the hits are planned on."""
    responses: Mapping[str, Response]
    """Shop's record of this material by method, with this job's hits added."""
    record: tuple[HitOutcome, ...]
    plan: tuple[HitToMake, ...]
    worst_now_in: float
    """Worst TIR at a station of the line as it is now."""
    trouble: str = ""
    """Why nothing can be planned, in words."""

    @property
    def by_sweep_and_hits(self) -> bool:
        """The line is that of the newest full sweep with the hits and checks before it worked in:
        its figures differ a little from the sweep's own."""
        line = None if self.story is None else self.story.line
        return isinstance(line, CheckedLine) and line.swept is not None


def work_out(raw: RawJob, earlier: Sequence[RawJob] = ()) -> StraighteningState:
    """The story so far and the next round."""
    record = shop_record(earlier)
    uns = raw.shaft.material
    shop = {method: response_for(record, uns, method) for method in ("press", "heat")}
    if raw.start is None:
        words = "No full sweep is finished yet: sweep the shaft first, then the hits can be chosen."
        return StraighteningState(raw, None, shop, record, (), 0.0, words)
    story = tell(raw, shop)
    assert story is not None
    responses = {**shop, **story.responses}
    if story.line is None:
        words = "The check does not agree with the hits: sweep the whole shaft again."
        return StraighteningState(raw, story, responses, record, (), 0.0, words)
    line, planned = line_and_hits(
        story.line,
        limit_in=limits_at(raw, story.line),
        response=shop["press"],
        hits_so_far=_pressed(story),
    )
    story = replace(story, line=line)
    worst = float(2 * np.hypot(line.ecc_in[:, 0], line.ecc_in[:, 1]).max())
    dial = expected_dial(line, planned) if planned else ()
    plan = tuple(planned_hit(raw, hit, near) for hit, near in zip(planned, dial, strict=True))
    return StraighteningState(raw, story, responses, record, plan, worst)


def check_stations_in(story: RepairHistory) -> tuple[float, ...]:
    """Stations worth a quick check after the hits made since anything was read, inches."""
    result = story.rounds[-1]
    return check_stations(result.before, result.hits)


def expected_tir_in(
    bench: StraighteningState, number: int
) -> tuple[tuple[float, ...], tuple[float, ...]]:
    """Bend part of the TIR at each station before and after hit `number` (from 1) of the plan, with
    the hits before it made, inches."""
    if bench.story is None or bench.story.line is None or not 1 <= number <= len(bench.plan):
        raise ShaftlogError("That hit is not planned: there is no line to expect.")
    lines = [bench.story.line.ecc_in, *(planned.hit.ecc_after_in for planned in bench.plan)]
    before, after = (
        tuple(float(v) for v in 2 * np.hypot(ecc[:, 0], ecc[:, 1]))
        for ecc in lines[number - 1 : number + 1]
        if ecc is not None
    )
    return before, after


def _pressed(story: RepairHistory) -> tuple[PlannedHit, ...]:
    """Hits at the press: only they teach what the press takes out."""
    return tuple(
        hit
        for result in story.rounds
        for made, hit in zip(result.made, result.hits, strict=True)
        if made.method == "press"
    )


def limits_at(raw: RawJob, line: ShaftLine) -> NDArray[np.float64]:
    """TIR limit to which each station is straightened, inches (n,): that of the verdicts."""
    ends_in = judged_ends_in(raw.shaft.length_in, line.station_in.tolist())
    judged = (*raw.areas, *between_areas(raw.areas, *ends_in))
    return limits_to_hit(line, judged, raw.shop.limit_between_in, raw.shop.rule)


def on_taper(station_in: float, raw: RawJob) -> bool:
    """Whether the diameter at a place is not that of the shaft."""
    return any(a.kind == "taper" and a.from_in <= station_in <= a.to_in for a in raw.areas)


def planned_hit(
    raw: RawJob, hit: PlannedHit, near: tuple[tuple[float, float, float], ...] = ()
) -> HitToMake:
    """A hit with the press stroke that makes it, or why there is none."""
    if on_taper(hit.station_in, raw):
        return HitToMake(hit, near, None, (), "On the taper: Enter asks for the diameter there.")
    try:
        stroke = stroke_of(raw.shaft, raw.blocks_in, hit.station_in, hit.ask_for_rad)
    except ShaftlogError as error:
        return HitToMake(hit, near, None, (), str(error))
    room_in = room_for_blocks_in(hit.station_in, raw.shaft.length_in)
    said = warnings(stroke, capacity_lbf=raw.shop.press_capacity_lbf, room_in=room_in)
    return HitToMake(hit, near, stroke, said)
