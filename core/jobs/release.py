"""What stands in the way of a release, each thing with its reason, and what is done."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from core.base.times import moment
from core.base.units import format_thou
from core.book import jobs, settings
from core.book.connection import Book
from core.jobs.evidence import TicketSweeps, analyse_sweep, shown_sweeps
from core.jobs.facts import facts_of
from core.jobs.fitting_reports import coupling_blocks
from core.jobs.penetrant import clear_but_not_good, not_looked_at
from core.jobs.steps import JobFacts, release_blocks, steps_of
from core.runout.verdict import Verdict

MOST_AREAS = 4
"""Areas that are named in one line."""


def missing_for_release(book: Book, job_id: str) -> tuple[str, ...]:
    """What blocks the release, in words; the verdict is that of the sweep it leaves with."""
    job = jobs.job(book, job_id)
    shown = shown_sweeps(book, job)
    verdicts = _verdicts(book, job.shaft_id, shown)
    facts = _checked_facts(book, job_id, shown, verdicts)
    missing = list(shown.troubles)
    for block in release_blocks(facts):
        areas = _area_words(verdicts) if block.what == "Verdict" else ""
        missing.append(f"{block.what}: {block.why}{areas}")
    unseen = [area.name for area in not_looked_at(book, job_id)]
    if unseen and facts.penetrant_areas:
        missing.append(f"Penetrant check: not looked at yet: {', '.join(unseen)}")
    for name, why in clear_but_not_good(book, job_id, moment(book.now())):
        missing.append(f"Penetrant check: {name} wants doing again: {why.rstrip('.')}")
    return (*missing, *coupling_blocks(book, job_id))


def done_for_release(book: Book, job_id: str) -> tuple[str, ...]:
    """The steps that are done, in words and in the order of the bench."""
    job = jobs.job(book, job_id)
    shown = shown_sweeps(book, job)
    facts = _checked_facts(book, job_id, shown, _verdicts(book, job.shaft_id, shown))
    done = [step for step in steps_of(facts) if step.state == "done" and step.name != "release"]
    return tuple(f"{step.title} ({step.say})" if step.say else step.title for step in done)


def _verdicts(book: Book, shaft_id: str, shown: TicketSweeps) -> tuple[Verdict, ...]:
    if shown.leaving is None:
        return ()
    return analyse_sweep(book, shown.leaving, shaft_id, settings.load(book)).verdicts


def _worst(verdicts: Sequence[Verdict]) -> str:
    words = {verdict.word for verdict in verdicts}
    if not words:
        return ""
    if "not true" in words:
        return "not true"
    return "too close to call" if words - {"true"} else "true"


def _checked_facts(
    book: Book, job_id: str, shown: TicketSweeps, verdicts: Sequence[Verdict]
) -> JobFacts:
    """The facts, resting only on sweeps that can be worked out."""
    return replace(
        facts_of(book, job_id),
        verdict=_worst(verdicts),
        swept_since_hit=shown.leaving is not None,
        hold_checked=shown.has("hold check"),
        final_swept=shown.has("final"),
    )


def _area_words(verdicts: Sequence[Verdict]) -> str:
    """': propeller taper 3.1 thou, limit 2.0; ...', the worst word first."""
    bad = sorted((v for v in verdicts if v.word != "true"), key=lambda v: v.word != "not true")
    named = [_one_area(verdict, _worst(bad)) for verdict in bad[:MOST_AREAS]]
    more = [f"{len(bad) - MOST_AREAS} more"] if len(bad) > MOST_AREAS else []
    return f": {'; '.join([*named, *more])}"


def _one_area(verdict: Verdict, worst: str) -> str:
    if verdict.area.kind == "between":
        name = f"shaft between {verdict.area.from_in:g} and {verdict.area.to_in:g} in"
    else:
        name = verdict.area.name
    if verdict.tir_in is None:
        return f"{name} {verdict.word}"
    limit = format_thou(verdict.limit_in, unit=False)
    return f"{name} {format_thou(verdict.tir_in)}, limit {limit}" + (
        "" if verdict.word == worst else f" ({verdict.word})"
    )
