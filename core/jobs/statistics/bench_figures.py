"""What the hits of many jobs say: response, hours per hit, forecast against what it took."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from core.jobs.statistics.bench_time import Straightening
from core.jobs.statistics.spread import Spread, spread_of
from core.straightening.response import SHARE_LIMITS, Group, HitOutcome, Response, learn

TOLD_WELL = 0.25
"""A hit is drawn by itself when its share is measured to better than this (one sigma)."""


@dataclass(frozen=True)
class JobBench:
    """One job with hits, worked out."""

    tag: str
    material: str
    methods: tuple[str, ...]
    """'press', 'heat', in the order of use."""
    hits: int
    time: Straightening
    forecast_hours: float | None = None
    """Bench hours of the last quote kept before the first hit; None = none."""
    records: tuple[HitOutcome, ...] = ()
    """Hits with a check that shows what they took out."""


@dataclass(frozen=True)
class ResponseFigure:
    """Taken out over asked for, of one material and method."""

    material: str
    method: str
    response: Response
    """As the planner uses it: drawn towards 1 until the hits outweigh that."""
    jobs: int
    shares: tuple[float, ...]
    """Of the hits that were measured well, least first."""
    spread: Spread | None
    """Of `shares`."""


@dataclass(frozen=True)
class HoursFigure:
    """Bench hours per hit, one case a job."""

    method: str
    """'press', 'heat' or 'press and heat'."""
    hits: int
    spread: Spread


@dataclass(frozen=True)
class ForecastCase:
    """One job: hours forecast before the first hit, and what it took."""

    tag: str
    forecast_hours: float
    took_hours: float

    @property
    def ratio(self) -> float:
        """Took over forecast; 1 = as forecast."""
        return self.took_hours / self.forecast_hours


@dataclass(frozen=True)
class BenchFigures:
    """All of it, with the number of jobs it rests on."""

    jobs: int
    """Jobs looked at."""
    jobs_in_book: int
    """Jobs with hits in the whole book."""
    responses: tuple[ResponseFigure, ...]
    hours: tuple[HoursFigure, ...]
    forecasts: tuple[ForecastCase, ...]
    """Newest first."""
    ratio: Spread | None
    """Of the forecasts: took over forecast."""
    left_out: tuple[tuple[str, int], ...]
    """(why the time is not known, jobs)."""


def bench_figures(jobs: Sequence[JobBench], jobs_in_book: int) -> BenchFigures:
    """The figures of the jobs, newest first.

    Parameters
    ----------
    jobs_in_book : jobs with hits in the whole book, of which `jobs` are the newest.
    """
    cases = tuple(
        ForecastCase(job.tag, job.forecast_hours, job.time.hours)
        for job in jobs
        if job.forecast_hours and job.time.hours is not None
    )
    return BenchFigures(
        len(jobs),
        jobs_in_book,
        _responses(jobs),
        _hours(jobs),
        cases,
        spread_of(case.ratio for case in cases),
        _left_out(jobs),
    )


def _responses(jobs: Sequence[JobBench]) -> tuple[ResponseFigure, ...]:
    """Material by material, as the planner learns it (`core.jobs.straightening`)."""
    by_material: dict[str, list[JobBench]] = defaultdict(list)
    for job in jobs:
        by_material[job.material].append(job)
    found = []
    for material in sorted(by_material):
        own = by_material[material]
        records = [record for job in own for record in job.records]
        found += [
            _response(own, records, group, response)
            for group, response in sorted(learn(records).items())
        ]
    return tuple(found)


def _response(
    jobs: Iterable[JobBench], records: Iterable[HitOutcome], group: Group, response: Response
) -> ResponseFigure:
    low, high = SHARE_LIMITS
    shares = tuple(
        sorted(
            min(max(r.taken_rad / r.asked_rad, low), high)
            for r in records
            if (r.material, r.method) == group and r.sigma_rad <= TOLD_WELL * r.asked_rad
        )
    )
    count = sum(any((r.material, r.method) == group for r in job.records) for job in jobs)
    return ResponseFigure(*group, response, count, shares, spread_of(shares))


def _hours(jobs: Iterable[JobBench]) -> tuple[HoursFigure, ...]:
    by_method: dict[str, list[tuple[float, int]]] = defaultdict(list)
    for job in jobs:
        if job.time.hours is not None and job.hits:
            by_method[" and ".join(job.methods)].append((job.time.hours, job.hits))
    found = []
    for method in sorted(by_method, key=lambda m: (-len(by_method[m]), m)):
        own = by_method[method]
        spread = spread_of(hours / hits for hours, hits in own)
        if spread is not None:
            found.append(HoursFigure(method, sum(hits for _, hits in own), spread))
    return tuple(found)


def _left_out(jobs: Iterable[JobBench]) -> tuple[tuple[str, int], ...]:
    counts: dict[str, int] = defaultdict(int)
    for job in jobs:
        if job.time.hours is None:
            counts[job.time.why] += 1
    return tuple(sorted(counts.items()))
