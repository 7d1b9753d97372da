"""What the plot shows: a sweep worked out, perhaps beside another, seen from two supports."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from core.base.errors import BadReadings
from core.base.records import Hit, Job, RidingArea, Shaft, Sweep
from core.base.times import local_text
from core.base.units import Unit
from core.book import history, hits, jobs, sweeps
from core.book.connection import Book
from core.book.readings import readings_of
from core.book.settings import ShopSettings, as_of
from core.jobs.mixed_sweeps import unused_sweeps
from core.jobs.sweep.sweep_entry import dial_unit
from tui.screens.sweep import sweep_known
from tui.screens.sweep.sweep_known import SweepRequest

if TYPE_CHECKING:
    from core.analysis.supports import SupportView
    from core.analysis.sweep import SweepAnalysis


@dataclass(frozen=True)
class Choice:
    """What the person wants to see; empty ids mean: choose for me, none."""

    sweep_id: str = ""
    other_id: str = ""
    """A sweep laid over the first one."""
    supports_in: tuple[float, float] | None = None
    """Two stations to see it from; None = the rollers of the sweep."""


@dataclass(frozen=True)
class PlotRequest:
    """Everything read from the book for one picture; computed on another thread."""

    job: Job
    shaft: Shaft
    areas: tuple[RidingArea, ...]
    shop: ShopSettings
    hits: tuple[Hit, ...]
    question: SweepRequest
    other: SweepRequest | None
    other_tag: str
    """Tag of the other sweep's job when it is another visit, else empty."""
    choice: Choice
    unused: str = ""
    """What is wrong with the sweep when a hit fell into it."""

    @property
    def unit(self) -> Unit:
        """Unit in which this shop reads the dial."""
        return dial_unit(self.shop)


@dataclass(frozen=True)
class PlotData:
    """One picture, ready to be drawn."""

    asked: PlotRequest
    seen: SupportView
    other: SupportView | None
    notes: tuple[str, ...]

    @property
    def unit(self) -> Unit:
        """Unit of the figures."""
        return self.asked.unit


def sweep_title(sweep: Sweep, tag: str = "") -> str:
    """A sweep in a few words: what for, when."""
    when = local_text(sweep.started_at, "%d %b %y %H:%M")
    state = "" if sweep.finished_at else " (open)"
    return f"{tag + ' ' if tag else ''}{sweep.purpose} {when}{state}"


def sweeps_to_choose(book: Book, job_id: str) -> list[tuple[Sweep, str]]:
    """Sweeps of this job, then of earlier visits of the shaft, newest first, with titles."""
    job = jobs.job(book, job_id)
    found = []
    for visit in sorted(
        jobs.jobs_of_shaft(book, job.shaft_id), key=lambda j: (j.id != job.id, j.opened_at)
    ):
        tag = "" if visit.id == job.id else visit.tag
        found += [
            (sweep, sweep_title(sweep, tag))
            for sweep in reversed(sweeps.sweeps_of(book, visit.id))
            if readings_of(book, sweep.id)
        ]
    return found


def read(book: Book, job_id: str, choice: Choice) -> PlotRequest:
    """Read everything for one picture; raises `BadReadings` when nothing was read yet."""
    job = jobs.job(book, job_id)
    shaft = history.shaft_of(book, job)
    shop = as_of(book, job.closed_at)
    sweep = _first_sweep(book, job_id, choice)
    unused = unused_sweeps(book, sweep.job_id).get(sweep.id, "")
    other = sweeps.sweep(book, choice.other_id) if choice.other_id else None
    return PlotRequest(
        job=job,
        shaft=shaft,
        areas=history.areas_of(book, job),
        shop=shop,
        hits=hits.hits_of(book, job_id),
        question=sweep_known.question(book, sweep, shop),
        other=None if other is None else sweep_known.question(book, other, shop),
        other_tag="" if other is None else _tag_of(book, other, job_id),
        choice=choice,
        unused=f"MIND: {unused}" if unused else "",
    )


def _tag_of(book: Book, sweep: Sweep, job_id: str) -> str:
    return "" if sweep.job_id == job_id else jobs.job(book, sweep.job_id).tag


def _first_sweep(book: Book, job_id: str, choice: Choice) -> Sweep:
    """The sweep chosen, else the newest of the job that has readings."""
    if choice.sweep_id:
        return sweeps.sweep(book, choice.sweep_id)
    own = [s for s in sweeps.sweeps_of(book, job_id) if readings_of(book, s.id)]
    if not own:
        raise BadReadings("Nothing has been read on this job yet. F6 goes to the sweep.")
    full = [s for s in own if s.purpose != "quick check"]
    return (full or own)[-1]


def work_out(asked: PlotRequest) -> PlotData:
    """Compute the picture (on any thread); raises the core's errors in plain words."""
    worked = sweep_known.analysis(asked.question)
    seen = _view(worked, asked.question, asked.choice.supports_in)
    other = None
    if asked.other is not None:
        # The other sweep is seen from the supports of the first one, whatever its rollers were.
        other = _view(sweep_known.analysis(asked.other), asked.other, seen.supports_in)
    mind = (asked.unused,) if asked.unused else ()
    return PlotData(asked, seen, other, mind + worked.notes)


def _view(
    worked: SweepAnalysis, question: SweepRequest, supports_in: tuple[float, float] | None
) -> SupportView:
    from core.analysis.supports import see

    return see(
        worked,
        areas=question.areas,
        default_limit_in=question.shop.limit_between_in,
        rule=question.shop.rule,
        supports_in=supports_in,
    )
