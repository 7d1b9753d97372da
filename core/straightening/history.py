"""A job worked out from its raw data: the line after each round, and what each hit took out.

Nothing worked out is ever stored, so the straighten and plot screens, the ticket and the shop's
response record follow the same story from sweeps, hits and quick checks. Lengths inches, angles
radians.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from math import cos, sin

import numpy as np
from numpy.typing import NDArray

from core.base.errors import BadShaft, ShaftlogError
from core.base.units import format_station
from core.runout.checked_line import CheckedLine, worked_into
from core.runout.line import SAME_PLACE_IN, ShaftLine
from core.straightening.after_hits import LineReading, expected_after
from core.straightening.check import agrees, check_against_plan, line_reading
from core.straightening.doubts import doubts
from core.straightening.plan import PlannedHit, shares_asked, with_taken_shares
from core.straightening.response import HitOutcome, Response, as_response, learn_from_job

Array = NDArray[np.float64]

LEAST_SHOWN_SHARE = 0.05
"""A dial that shows less than this share of the asked angle says that all came back: as fine as it
reads."""


@dataclass(frozen=True, eq=False)
class StationsRead:
    """Stations read and fitted: (m,), (m, 2), (m,)."""

    station_in: Array
    ecc_in: Array
    sigma_in: Array


@dataclass(frozen=True)
class RecordedHit:
    """A hit as the book has it; equal to another one of the same figures, as results are remembered
    by the hits they rest on."""

    station_in: float
    high_side_rad: float
    """Clock the ram was put on."""
    asked_rad: float
    """Angle the press was set, or the heat meant, to take out."""
    method: str = "press"
    """'press' or 'heat'; each teaches its own response."""

    @property
    def kappa_rad(self) -> Array:
        """(2,) change of slope it was to take out: against the high side."""
        side = self.high_side_rad
        return np.array([-self.asked_rad * cos(side), -self.asked_rad * sin(side)])

    watched: StationsRead | None = None
    """One station read right after it, before the next hit; None = not read."""
    shown_rad: float | None = None
    """Angle that the dial under the ram showed after release; None = not read. Where it was read
    it counts as asked: a stroke that ended short was meant to."""

    @property
    def meant_rad(self) -> float:
        """What the hit was to take out when it ended."""
        if self.shown_rad is None:
            return self.asked_rad
        return max(self.shown_rad, LEAST_SHOWN_SHARE * self.asked_rad)


@dataclass(frozen=True, eq=False)
class Round:
    """Hits, then what was read after them: a quick check, a full sweep, both, or nothing yet."""

    hits: tuple[RecordedHit, ...]
    check: StationsRead | None = None
    sweep: ShaftLine | None = None


@dataclass(frozen=True, eq=False)
class RoundResult:
    """One round, worked out."""

    made: tuple[RecordedHit, ...]
    hits: tuple[PlannedHit, ...]
    """One for each made, with `taken_share` where readings show it."""
    before: ShaftLine
    after: ShaftLine | None
    """None = the check contradicts the hits: sweep it all again. By the plan alone while nothing
    has been read."""
    checked: bool
    """Something was read after the hits."""
    swept: bool
    """The line after the round comes from a full sweep."""
    doubts: tuple[str, ...]
    """Plain words about hits the readings contradict."""


@dataclass(frozen=True, eq=False)
class RepairHistory:
    """All rounds of a job."""

    rounds: tuple[RoundResult, ...]
    line: ShaftLine | None
    """The line as it is now; None = a full sweep is needed."""
    swept: bool
    responses: Mapping[str, Response]
    """For each method used: the shop's record with this job's own hits added."""

    @property
    def waits_for_check(self) -> bool:
        """Hits have been made since anything was read; the line is by the plan alone."""
        return bool(self.rounds) and not self.rounds[-1].checked

    @property
    def hits(self) -> tuple[PlannedHit, ...]:
        """Every hit of the job in order."""
        return tuple(hit for result in self.rounds for hit in result.hits)

    def records(self, material: str) -> tuple[HitOutcome, ...]:
        """What this job adds to the shop's record."""
        return tuple(
            HitOutcome(material, method, 1.0, share, sigma)
            for method in dict.fromkeys(m.method for c in self.rounds for m in c.made)
            for share, sigma in _shares(self.rounds, method)
        )


def as_planned(made: RecordedHit, response: Response) -> PlannedHit:
    """What a hit that asked for an angle may be expected to take out."""
    if not made.asked_rad > 0:
        raise ShaftlogError(
            f"The hit at {format_station(made.station_in)} asks for no angle. Correct it in the "
            "list of hits."
        )
    wanted = made.meant_rad / response.aim_for
    kappa = np.array([-wanted * cos(made.high_side_rad), -wanted * sin(made.high_side_rad)])
    return PlannedHit(
        made.station_in,
        kappa,
        aim_for=response.aim_for,
        share_sigma=response.share_sigma_of(wanted),
    )


def follow(
    start: ShaftLine,
    rounds: Sequence[Round],
    responses: Mapping[str, Response] | None = None,
) -> RepairHistory:
    """Follow a job from its first sweep through its rounds.

    `responses` : the shop's record by method, before this job; a method without one starts at 1.
    """
    shop = dict(responses or {})
    line: ShaftLine | None = start
    known, swept = start, True
    results: list[RoundResult] = []
    for entry in rounds:
        learnt = _learnt(shop, results, entry.hits)
        hits = tuple(as_planned(made, learnt[made.method]) for made in entry.hits)
        result = _result(known, line is not None, hits, entry)
        results.append(result)
        line, swept = result.after, result.swept
        known = line if line is not None else known
    every = [made for result in results for made in result.made]
    return RepairHistory(tuple(results), line, swept, _learnt(shop, results, every))


def _learnt(
    shop: Mapping[str, Response], results: Sequence[RoundResult], made: Sequence[RecordedHit]
) -> dict[str, Response]:
    """Response of each method among some hits: the shop's, and what the job has shown so far."""
    return {
        method: learn_from_job(as_response(shop.get(method)), _shares(results, method))
        for method in dict.fromkeys(hit.method for hit in made)
    }


def _shares(results: Sequence[RoundResult], method: str) -> list[tuple[float, float]]:
    """Taken out over asked, and its sigma, of every hit of one method that a check has measured."""
    return shares_asked(
        [
            hit
            for result in results
            for made, hit in zip(result.made, result.hits, strict=True)
            if made.method == method
        ]
    )


def _result(
    before: ShaftLine, known: bool, hits: tuple[PlannedHit, ...], entry: Round
) -> RoundResult:
    """One round; with the line before it unknown, only a full sweep helps."""
    sweep = _common(before, len(hits), entry.sweep) if entry.sweep is not None else None
    check = _check_reading(before, hits, entry)
    after: ShaftLine | None = None
    doubted: tuple[str, ...] = ()
    if known:
        watched = _watched(before, entry.hits)
        doubted = _watched_doubts(before, hits, watched)
        last = sweep or check
        if last is not None:
            read = before.station_in[list(last.index)], last.ecc_in, last.sigma_in
            doubted += doubts(before, hits, *read)
        after = expected_after(before, hits)
        reads = [read for read in (check, sweep) if read is not None]
        # A full sweep may agree with the hits where the quick check before it was misread.
        for tried in [reads, reads[1:]][: max(1, len(reads))]:
            if not (watched or tried):
                break
            result = check_against_plan(before, hits, [*watched, *tried])
            after = result.line if agrees(result) else None
            if after is not None:
                hits = with_taken_shares(hits, result.line)
                break
    swept = entry.sweep is not None
    every_hit_read = bool(entry.hits) and all(made.watched is not None for made in entry.hits)
    return RoundResult(
        made=entry.hits,
        hits=hits,
        before=before,
        after=after if entry.sweep is None else _swept_line(after, sweep, entry.sweep),
        checked=swept or entry.check is not None or every_hit_read,
        swept=swept,
        doubts=tuple(dict.fromkeys(doubted)),
    )


def _swept_line(after: ShaftLine | None, read: LineReading | None, sweep: ShaftLine) -> ShaftLine:
    """The line after a full sweep: the hits, the checks and the sweep together.

    The sweep by itself where it does not agree with the hits, or has not all stations of before.
    """
    if read is None or not isinstance(after, CheckedLine):
        return sweep
    return worked_into(sweep, after) if len(read.index) == after.station_in.size else sweep


def _check_reading(
    before: ShaftLine, hits: Sequence[PlannedHit], entry: Round
) -> LineReading | None:
    """The quick check of a round. None where a full sweep followed and the check has a station that
    the line before has not: the sweep before was mended since."""
    read = entry.check
    if read is None or not read.station_in.size:
        return None
    try:
        return line_reading(before, len(hits), read.station_in, read.ecc_in, read.sigma_in)
    except BadShaft:
        if entry.sweep is None:
            raise
        return None


def _watched(before: ShaftLine, made: Sequence[RecordedHit]) -> list[LineReading]:
    """What was read right after single hits."""
    return [
        line_reading(before, k, hit.watched.station_in, hit.watched.ecc_in, hit.watched.sigma_in)
        for k, hit in enumerate(made, start=1)
        if hit.watched is not None
    ]


def _watched_doubts(
    before: ShaftLine, hits: Sequence[PlannedHit], reads: Sequence[LineReading]
) -> tuple[str, ...]:
    """Doubts about hits by the readings right after them, one hit after the other."""
    said: tuple[str, ...] = ()
    line, done = before, 0
    for read in reads:
        line = expected_after(line, hits[done : read.hits_made - 1])
        hit = hits[read.hits_made - 1]
        places = line.station_in[list(read.index)]
        said += doubts(line, [hit], places, read.ecc_in, read.sigma_in)
        line = check_against_plan(line, [hit], [replace(read, hits_made=1)]).line
        done = read.hits_made
    return said


def _common(before: ShaftLine, hits_made: int, sweep: ShaftLine) -> LineReading | None:
    """The stations of a new sweep that the line before has too (same supports only)."""
    if not np.allclose(before.rollers_in, sweep.rollers_in, atol=0.01):
        return None
    near = np.abs(before.station_in[:, None] - sweep.station_in[None, :]) < SAME_PLACE_IN
    index = np.flatnonzero(near.any(axis=0))
    if not index.size:
        return None
    read = line_reading(
        before, hits_made, sweep.station_in[index], sweep.ecc_in[index], sweep.sigma_in[index]
    )
    return replace(read, cov_in2=sweep.covariance_in2[index])


def expected_dial(
    before: ShaftLine, hits: Sequence[PlannedHit], count: int = 2
) -> tuple[tuple[tuple[float, float, float], ...], ...]:
    """For each hit of a round, made in order: the stations nearest to it with the TIR a round
    shaft shows there before and after that hit, (station in, before in, after in)."""
    outcomes = []
    ecc = before.ecc_in
    for hit in hits:
        if hit.ecc_after_in is None:
            raise ShaftlogError("Ask the planner for the round first; this hit has no forecast.")
        near = np.sort(np.argsort(np.abs(before.station_in - hit.station_in))[:count])
        tir = 2 * np.hypot(ecc[:, 0], ecc[:, 1])
        next_tir = 2 * np.hypot(hit.ecc_after_in[:, 0], hit.ecc_after_in[:, 1])
        outcomes.append(
            tuple((float(before.station_in[i]), float(tir[i]), float(next_tir[i])) for i in near)
        )
        ecc = hit.ecc_after_in
    return tuple(outcomes)
