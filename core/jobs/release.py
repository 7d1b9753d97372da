"""What is in the way of a release, each thing with its reason, and what is done."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from core.base.times import moment
from core.base.units import format_dial, format_station
from core.book import jobs, settings
from core.book.connection import Book
from core.book.settings import ShopSettings
from core.jobs.blocks import release_blocks
from core.jobs.evaluate import evaluate
from core.jobs.evidence import JobSweeps, sweeps_that_count, that_can_be_shown
from core.jobs.facts import facts_of
from core.jobs.fitting_reports import MeasuredPart, coupling_faults, measured_parts
from core.jobs.job_facts import JobFacts
from core.jobs.limits import areas_for_core
from core.jobs.penetrant import clear_but_not_good, counted, not_looked_at
from core.jobs.rounds import WorkBefore, work_before
from core.jobs.steps import steps_of
from core.jobs.sweep.sweep_readings import readings_for_core
from core.runout.readings import SweepReadings
from core.runout.verdict import Area, Verdict

MOST_AREAS = 4
"""Areas that are named in one line."""


@dataclass(frozen=True)
class RawFacts:
    """All that is read from the book for the facts of a job."""

    facts: JobFacts
    sweeps: JobSweeps
    readings: Mapping[str, SweepReadings]
    """By the id of the sweep."""
    work: Mapping[str, WorkBefore]
    """What was done before each sweep since the last hit, by its id."""
    areas: tuple[Area, ...]
    shop: ShopSettings
    measured: tuple[MeasuredPart, ...]


def read_facts(book: Book, job_id: str) -> RawFacts:
    """Read them; quick."""
    now, job = moment(book.now()), jobs.job(book, job_id)
    shop = settings.as_of(book, job.closed_at)
    facts = counted(book, facts_of(book, job_id), now)
    if facts.penetrant_areas:
        unseen = tuple(area.shown for area in not_looked_at(book, job_id))
        again = clear_but_not_good(book, job_id, now)
        facts = replace(facts, penetrant_unseen=unseen, penetrant_again=again)
    found = sweeps_that_count(book, job_id)
    return RawFacts(
        facts,
        found,
        {sweep.id: readings_for_core(book, sweep.id) for sweep in found.full},
        {sweep.id: work_before(book, sweep) for sweep in found.since_hit},
        areas_for_core(book, job, shop),
        shop,
        measured_parts(book, job_id),
    )


def evaluate_facts(raw: RawFacts) -> JobFacts:
    """The facts with all that has to be computed; on any thread.

    They rest only on sweeps that can be evaluated; the verdict is that of the sweep the shaft
    leaves with. Job card, release and ticket use these.
    """
    shown = that_can_be_shown(raw.sweeps, raw.readings)
    sweeps = shown.sweeps
    verdicts: tuple[Verdict, ...] = ()
    if sweeps.leaving is not None:
        leaving = sweeps.leaving.id
        worked = evaluate(raw.readings[leaving], raw.areas, raw.shop, raw.work[leaving])
        verdicts = worked.verdicts
    return replace(
        raw.facts,
        verdict=_worst(verdicts),
        verdict_areas=_area_words(verdicts),
        swept_since_hit=sweeps.leaving is not None,
        hold_checked=sweeps.hold_check is not None,
        final_swept=sweeps.has("final"),
        sweep_troubles=shown.troubles,
        faults=coupling_faults(raw.measured),
    )


def full_facts(book: Book, job_id: str) -> JobFacts:
    """Read and evaluate."""
    return evaluate_facts(read_facts(book, job_id))


def missing_for_release(book: Book, job_id: str) -> tuple[str, ...]:
    """What is in the way of the release, one line each."""
    return tuple(block.text for block in release_blocks(full_facts(book, job_id)))


def done_for_release(book: Book, job_id: str) -> tuple[str, ...]:
    """The steps that are done, in the order of the bench."""
    steps = steps_of(full_facts(book, job_id))
    done = [step for step in steps if step.state == "done" and step.name != "release"]
    return tuple(f"{step.title} ({step.say})" if step.say else step.title for step in done)


def _worst(verdicts: Sequence[Verdict]) -> str:
    words = {verdict.word for verdict in verdicts}
    if not words:
        return ""
    if "not true" in words:
        return "not true"
    return "too close to call" if words - {"true"} else "true"


def _area_words(verdicts: Sequence[Verdict]) -> str:
    """'propeller taper 3.1 thou, limit 2.0; ...', the worst word first."""
    bad = sorted((v for v in verdicts if v.word != "true"), key=lambda v: v.word != "not true")
    named = [_one_area(verdict, _worst(bad)) for verdict in bad[:MOST_AREAS]]
    more = [f"{len(bad) - MOST_AREAS} more"] if len(bad) > MOST_AREAS else []
    return "; ".join([*named, *more])


def _one_area(verdict: Verdict, worst: str) -> str:
    if verdict.area.kind == "between":
        first, last = verdict.area.from_in, verdict.area.to_in
        name = f"shaft between {format_station(first, unit=False)} and {format_station(last)}:"
    else:
        name = verdict.area.name
    if verdict.tir_in is None:
        return f"{name} {verdict.word}"
    limit = format_dial(verdict.limit_in, unit=False)
    word = "" if verdict.word == worst else f" ({verdict.word})"
    part = ""
    if verdict.note and verdict.bend_tir_in is not None:
        part = f", bend part {format_dial(verdict.bend_tir_in, unit=False)}"
    return f"{name} {format_dial(verdict.tir_in)}{part}, limit {limit}{word}"
