"""The shop's figures as rows for a spreadsheet, one figure a row, with the cases it rests on."""

from __future__ import annotations

from collections.abc import Sequence

from core.base.counting import many
from core.jobs.statistics.bench_figures import BenchFigures
from core.jobs.statistics.outcome import OutcomeFigure
from core.jobs.statistics.spread import Spread
from core.jobs.statistics.waiting import WaitingJob
from core.straightening.response import STARTS

COLUMNS = ("figure", "of", "value", "unit", "low", "high", "cases", "says")
"""`low` and `high`: what `says` tells of them; empty where there are too few cases."""
Row = tuple[str, ...]


def rows(
    waiting: Sequence[WaitingJob], outcomes: Sequence[OutcomeFigure], bench: BenchFigures
) -> list[Row]:
    """All rows, without the column titles."""
    return [*_response(bench), *_hours(bench), *_left(outcomes), *_waiting(waiting)]


def _response(bench: BenchFigures) -> list[Row]:
    found: list[Row] = []
    for one in bench.responses:
        response, of = one.response, f"{one.material} {one.method}"
        start = STARTS[one.method]
        unit = f"of {start.of}"
        ends = (response.mean - response.mean_sigma, response.mean + response.mean_sigma)
        cases = many(response.n_hits, "hit")
        found.append(
            ("share taken out", of, _n(response.mean), unit, *map(_n, ends), cases,
             f"drawn towards {start.mean:g}; low and high one sigma")
        )  # fmt: skip
        found.append(
            ("scatter of one hit", of, _n(response.scatter), unit, "", "", cases, "one sigma")
        )
        found.append(_spread("share of single hits", of, one.spread, unit, "hit"))
    return found


def _hours(bench: BenchFigures) -> list[Row]:
    found = [
        _spread("bench hours per hit", one.method, one.spread, "h", "job") for one in bench.hours
    ]
    for case in bench.forecasts:
        found.append(("forecast", case.tag, _n(case.forecast_hours), "h", "", "", "1 job", ""))
        found.append(("took", case.tag, _n(case.took_hours), "h", "", "", "1 job", ""))
    found.append(_spread("took over forecast", "all", bench.ratio, "", "job"))
    return found


def _left(outcomes: Sequence[OutcomeFigure]) -> list[Row]:
    found: list[Row] = []
    for one in outcomes:
        counts = (
            ("straightened", one.straightened),
            ("released without hits", one.no_hits),
            ("new shaft", one.replaced),
            ("given back", one.returned),
            ("given up after hits", one.given_up),
        )
        cases = many(one.jobs, "job")
        found += [
            ("left the shop", f"{one.year} {name}", str(count), "jobs", "", "", cases, "")
            for name, count in counts
        ]
        part = one.replaced_part
        ends = ("", "") if part.few else tuple(map(_n, part.interval))
        share = "" if part.few else _n(part.share)
        says = "too few for a share" if part.few else "low and high nine in ten sure"
        found.append(
            ("new shaft, of straightened and new", one.year, share, "share", *ends,
             f"{part.cases} of {many(part.of, 'job')}", says)
        )  # fmt: skip
    return found


def _waiting(waiting: Sequence[WaitingJob]) -> list[Row]:
    return [
        ("waiting", f"{job.tag} {job.where}", f"{job.idle_days:.1f}", "days idle", "", "", "1 job",
         f"for {job.waits_for}; next step {job.step}; due {job.due or 'not said'}")
        for job in waiting
    ]  # fmt: skip


def _spread(figure: str, of: str, spread: Spread | None, unit: str, noun: str) -> Row:
    if spread is None:
        return (figure, of, "", unit, "", "", many(0, noun), "no cases")
    cases = many(spread.cases, noun)
    if spread.few:
        return (figure, of, _n(spread.median), unit, "", "", cases, "middle; few cases")
    ends = (_n(spread.low), _n(spread.high))
    return (figure, of, _n(spread.median), unit, *ends, cases, "middle; half within low and high")


def _n(value: float) -> str:
    return f"{value:.3f}"
