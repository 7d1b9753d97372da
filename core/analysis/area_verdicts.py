"""Verdicts for the areas of a shaft, from its line.

An area is judged at every station in it (or within a quarter inch of it), at its two ends, and
between the stations. It is not true as soon as one station is not, or one end by the line drawn to
it. It is true only when all of it surely is, by what all stations and the hits made so far say
together (`core.analysis.between`). An area without a station in it, or with any part of it farther
from every station than `REACH_IN`, is *not measured*, unless what was measured is already not true.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass, replace
from statistics import NormalDist

import numpy as np

from core.analysis.between import KnownLine, LikelyRunout, TurnedPlace
from core.base.limits import DEFAULT_LIMIT_IN
from core.base.units import format_clock, format_dial, format_length
from core.runout.line import Array, ShaftLine
from core.runout.line_runout import line_runouts, round_runouts
from core.runout.station_result import StationFit
from core.runout.swing import LIKELY
from core.runout.verdict import (
    Area,
    Rule,
    Runout,
    Verdict,
    Word,
    accept_under_in,
    judge_bend,
    judge_runout,
    readings_to_settle,
)

NEAR_IN = 0.25
"""A station this close to an area counts as in it."""
REACH_IN = 6.5
"""Farther from every station nothing is known. Half of twelve inches and a little for a mark
chalked beside its place: every six inches is the trade's spacing, every twelve is common and must
still give verdicts. Common practice, no source."""
MORE_MARKS = 16
"""Marks round a station that tell its roundness well; more are not worth asking for."""
MARKS_SURE = 0.85
"""More marks are asked for where, the swing staying as it is, they would show it to be under the
limit with this probability: the lift by the rollers stays unknown and takes its share."""
LEAST_BASE_IN = 3.0
"""The line is drawn on past the ends over stations at least this far apart."""


@dataclass(frozen=True)
class _Place:
    station_in: float
    runout: Runout
    word: Word
    drawn: bool = False
    """Nobody read it: it lies on the line drawn from two stations."""
    marks: int = 0
    """Readings round the station; 0 = drawn, or read the quick way."""
    out_of_round_in: float = 0.0


@dataclass(frozen=True, eq=False)
class _Stations:
    """A line with what was read at each of its stations."""

    line: ShaftLine
    """As measured."""
    runouts: tuple[Runout, ...]
    known: KnownLine


def judge_areas(
    areas: Iterable[Area],
    line: ShaftLine,
    *,
    known: ShaftLine | None = None,
    fits: Sequence[StationFit] = (),
    turned: Sequence[TurnedPlace] = (),
    default_limit_in: float = DEFAULT_LIMIT_IN,
    rule: Rule = "guarded",
    odd: Collection[tuple[float, float]] = (),
) -> tuple[Verdict, ...]:
    """One verdict for each area, in their order.

    Parameters
    ----------
    line : the shaft line, referred to the supports that matter.
    known : the same line with the hits and checks before the sweep worked in, where they agree
        (`core.straightening.history`): more is known of it than one sweep tells. None = the sweep.
    fits : of its stations; without them the sections are taken as round.
    turned : the hits made so far and the bends there are: what they leave between the stations is
        reckoned with.
    default_limit_in : for areas without a limit of their own.
    odd : (station in, clock rad) of readings that stand apart and were left out; an area with one
        is not called true before it is looked at again.
    """
    stations = _Stations(line, line_runouts(line, fits), KnownLine(known or line, fits, turned))
    return tuple(_judge(area, stations, default_limit_in, rule, odd) for area in areas)


def between_areas(areas: Iterable[Area], from_in: float, to_in: float) -> tuple[Area, ...]:
    """The shaft between the given areas, from `from_in` to `to_in`, as areas of kind 'between'."""
    gaps: list[Area] = []
    at = from_in
    for area in sorted(areas, key=lambda a: min(a.from_in, a.to_in)):
        start, stop = sorted((area.from_in, area.to_in))
        end = min(start, to_in)
        if end - at > 2 * NEAR_IN:
            gaps.append(_gap(at, end))
        at = max(at, stop)
    if to_in - at > 2 * NEAR_IN:
        gaps.append(_gap(at, to_in))
    return tuple(gaps)


def judged_ends_in(length_in: float | None, station_in: Sequence[float]) -> tuple[float, float]:
    """From where to where a shaft is judged, inches: all of it when its length is known.

    A last few inches that nobody can read (a thread, a coupling face) are no gap.
    """
    first, last = float(station_in[0]), float(station_in[-1])
    if length_in is None:
        return first, last
    return (0.0 if first > REACH_IN else first), (
        length_in if length_in - last > REACH_IN else last
    )


def limits_at(station_in: Array, areas: Iterable[Area], default_limit_in: float) -> Array:
    """The strictest limit by which each station (n,) is judged, inches: areas and between them."""
    limits = np.full(station_in.shape, np.inf)
    for area in areas:
        start, stop = sorted((area.from_in, area.to_in))
        inside = (station_in >= start - NEAR_IN) & (station_in <= stop + NEAR_IN)
        limit = default_limit_in if area.limit_in is None else area.limit_in
        limits[inside] = np.minimum(limits[inside], limit)
    return np.where(np.isinf(limits), default_limit_in, limits)


def limits_to_hit(
    line: ShaftLine, areas: Sequence[Area], default_limit_in: float, rule: Rule = "guarded"
) -> Array:
    """As `limits_at`, and so much tighter beside an end of an area that is not true by the line
    drawn to it that the end comes within its limit when that station does."""
    limits = limits_at(line.station_in, areas, default_limit_in)
    for area in areas:
        limit = default_limit_in if area.limit_in is None else area.limit_in
        for x in (area.from_in, area.to_in) if area.kind != "between" else ():
            place = _at_end(line, x, limit, rule)
            if place is None or place.word != "not true":
                continue
            beside = _drawn_from(line, x)
            worse = max(beside, key=lambda i: line.bend_tir_in[i])
            share = float(line.bend_tir_in[worse]) / place.runout.bend_tir_in
            limits[worse] = min(limits[worse], limit * share)
    return limits


def _gap(from_in: float, to_in: float) -> Area:
    name = f"between {format_length(from_in, 1, unit=False)} and {format_length(to_in, 1)}"
    return Area(name, "between", from_in, to_in)


def _judge(
    area: Area,
    stations: _Stations,
    default_limit_in: float,
    rule: Rule,
    odd: Collection[tuple[float, float]],
) -> Verdict:
    line = stations.line
    limit = default_limit_in if area.limit_in is None else area.limit_in
    start, stop = sorted((area.from_in, area.to_in))
    inside = (line.station_in >= start - NEAR_IN) & (line.station_in <= stop + NEAR_IN)
    blank = Verdict(area, "not measured", limit, rule)
    if not inside.any():
        middle = (start + stop) / 2
        words = f"No station was read there. Read one at {format_length(middle, 1)}."
        return replace(blank, settle=words, read_in=middle)
    places = [_at_station(stations, int(i), limit, rule) for i in np.flatnonzero(inside)]
    if area.kind != "between":
        places += [p for x in (start, stop) if (p := _at_end(line, x, limit, rule)) is not None]
    worst = max(places, key=_badness)
    verdict = replace(
        blank,
        word=worst.word,
        runout=worst.runout,
        station_in=worst.station_in,
        note=_roundness(places, limit, rule),
        read_in=worst.station_in if worst.drawn and worst.word != "true" else None,
    )
    if worst.word == "not true":
        # Out of round, or surely bent: that is settled. Else the bend part is still open.
        if verdict.note or judge_bend(worst.runout, limit, rule) == "not true":
            return verdict
        return replace(verdict, settle=_settle(worst, limit, rule))
    bare = _bare_place(line, start, stop)
    if bare is not None:
        between, words = _bare_words(line, bare, start, stop)
        return replace(verdict, word="not measured", settle=words, read_in=between)
    doubted = [(x, t) for x, t in odd if start - NEAR_IN <= x <= stop + NEAR_IN]
    if doubted:
        return replace(verdict, word="too close to call", settle=_look_again(doubted))
    ends = (start, stop) if area.kind != "between" else _read_between(line, start, stop)
    likely = stations.known.within(*ends, limit)
    if likely.is_true(rule, limit) and all(p.runout.tir_in < limit for p in places):
        return replace(verdict, word="true", settle="")
    if worst.word == "too close to call":
        return replace(verdict, settle=_settle(worst, limit, rule))
    read_in, words = _settle_between(stations, likely, limit, rule)
    return replace(verdict, word="too close to call", settle=words, read_in=read_in)


def _read_between(line: ShaftLine, from_in: float, to_in: float) -> tuple[float, float]:
    """The part of a length between riding areas that lies between stations: nobody can read the
    very ends of a shaft."""
    first, last = float(line.station_in[0]), float(line.station_in[-1])
    return min(max(from_in, first), last), max(min(to_in, last), first)


def _settle_between(
    stations: _Stations, likely: LikelyRunout, limit_in: float, rule: Rule
) -> tuple[float | None, str]:
    """Which station to read, and in words what would settle an area that is true at its stations
    and not surely between them."""
    at = stations.line.station_in
    nearest = int(np.abs(at - likely.worst_in).argmin())
    if abs(float(at[nearest]) - likely.worst_in) < NEAR_IN:
        place = _at_station(stations, nearest, limit_in, rule)
        if likely.is_straight or judge_bend(place.runout, limit_in, rule) != "true":
            return None, _settle(place, limit_in, rule)
        where, limit = format_length(place.station_in, 1), format_dial(limit_in)
        return None, f"Read station {where} again: all readings together put it close to {limit}."
    where = format_length(likely.worst_in, 1)
    hits = [t.station_in for t in stations.known.turned]
    beside = min(hits, key=lambda x: abs(x - likely.worst_in), default=math.inf)
    off_in = abs(beside - likely.worst_in)
    why = f", beside the hit at {format_length(beside, 1)}" if off_in < REACH_IN else ""
    why = ", where it was hit" if off_in < NEAR_IN else why
    words = f"Not known closely enough between the stations: read one at {where}{why}."
    return likely.worst_in, words


def _badness(place: _Place) -> tuple[int, float]:
    """Worst word first, then the greatest TIR."""
    order = {"true": 0, "not measured": 0, "too close to call": 1, "not true": 2}
    return order[place.word], place.runout.tir_in


def _at_station(stations: _Stations, i: int, limit_in: float, rule: Rule) -> _Place:
    runout = stations.runouts[i]
    fit = stations.known.fits[i] if stations.known.fits else None
    return _Place(
        float(stations.line.station_in[i]),
        runout,
        judge_runout(runout, limit_in, rule),
        marks=0 if fit is None else int(fit.residual_in.size),
        out_of_round_in=0.0 if fit is None else fit.out_of_round_in,
    )


def _at_end(line: ShaftLine, x_in: float, limit_in: float, rule: Rule) -> _Place | None:
    """The line at the end of an area, drawn straight between stations or on past the last ones.

    None beside a station (that is judged by itself) and where nothing is known.
    """
    if np.min(np.abs(line.station_in - x_in)) < NEAR_IN:
        return None
    if line.station_in[0] <= x_in <= line.station_in[-1]:
        ecc, cov = line.point_at(x_in)
    elif (past := _drawn_on(line, x_in)) is not None:
        ecc, cov = past
    else:
        return None
    runout = round_runouts(ecc[None], cov[None])[0]
    return _Place(x_in, runout, judge_bend(runout, limit_in, rule), drawn=True)


def _drawn_on(line: ShaftLine, x_in: float) -> tuple[Array, Array] | None:
    """Eccentricity (2,) and covariance (2, 2) a little past the first or last station."""
    last, before = _drawn_from(line, x_in)
    base_in = abs(line.station_in[last] - line.station_in[before])
    if base_in < LEAST_BASE_IN or abs(x_in - line.station_in[last]) > REACH_IN:
        return None
    share = (x_in - line.station_in[last]) / (line.station_in[last] - line.station_in[before])
    ecc = (1 + share) * line.ecc_in[last] - share * line.ecc_in[before]
    cov = (1 + share) ** 2 * line.covariance_in2[last] + share**2 * line.covariance_in2[before]
    return ecc, cov


def _drawn_from(line: ShaftLine, x_in: float) -> tuple[int, int]:
    """The two stations from which the line is drawn to a place that was not read: those
    beside it; past the ends the last one and the next that is `LEAST_BASE_IN` off, if any.
    """
    at = line.station_in
    if at[0] <= x_in <= at[-1]:
        after = int(np.clip(np.searchsorted(at, x_in), 1, at.size - 1))
        return after - 1, after
    order = np.argsort(np.abs(at - x_in))
    base = np.abs(at[order] - at[order[0]])
    far = base >= LEAST_BASE_IN
    return int(order[0]), int(order[np.argmax(far)] if far.any() else order[0])


def _bare_words(
    line: ShaftLine, bare_in: float, start_in: float, stop_in: float
) -> tuple[float, str]:
    """Which station to read next, and what was not measured.

    Towards an end of the area it is half way there: the very end of a shaft cannot be read.
    """
    if bare_in not in (start_in, stop_in):
        where = format_length(bare_in, 1)
        return bare_in, f"Not measured along all of it. Read a station at {where}."
    read_in = (bare_in + float(line.station_in[np.argmin(np.abs(line.station_in - bare_in))])) / 2
    end, where = format_length(bare_in, 1), format_length(read_in, 1)
    return read_in, f"Not measured up to its end, {end}. Read a station at {where}."


def _bare_place(line: ShaftLine, start_in: float, stop_in: float) -> float | None:
    """Where to read next so that no part of a stretch lies far from every station; None = done."""
    known = line.station_in[
        (line.station_in > start_in - REACH_IN) & (line.station_in < stop_in + REACH_IN)
    ]
    if not known.size:
        return (start_in + stop_in) / 2
    places = [start_in, *((known[:-1] + known[1:]) / 2).tolist(), stop_in]
    away = [known[0] - start_in, *(np.diff(known) / 2).tolist(), stop_in - known[-1]]
    farthest = int(np.argmax(away))
    return float(places[farthest]) if away[farthest] > REACH_IN else None


def _settle(place: _Place, limit_in: float, rule: Rule) -> str:
    where = format_length(place.station_in, 1)
    if place.drawn:
        return f"Nobody read {where}: read a station there."
    runout = place.runout
    if judge_bend(runout, limit_in, rule) == "true":
        return _settle_roundness(place, where, limit_in)
    low, high = runout.bend_low_in, runout.bend_high_in
    safe = accept_under_in(limit_in, (high - low) / 2)
    times = readings_to_settle(runout.bend_tir_in, low, high, limit_in)
    again = f"Read station {where} {times} times in all" if times else f"Read {where} more finely"
    if safe <= 0:
        return f"{again}: this dial and these marks cannot prove {format_dial(limit_in)}."
    return f"{again}, or straighten until it shows under {format_dial(safe)}."


def _settle_roundness(place: _Place, where: str, limit_in: float) -> str:
    """Straight, but ovality brings the dial's swing near the limit: would more marks tell?"""
    room = limit_in - place.runout.tir_in
    sigma_in = (place.runout.likely_in - place.runout.tir_in) / NormalDist().inv_cdf(LIKELY)
    doubt = NormalDist().inv_cdf(MARKS_SURE) * sigma_in
    if 0 < place.marks < MORE_MARKS and doubt * math.sqrt(place.marks / MORE_MARKS) < room:
        return f"Read station {where} at {MORE_MARKS} marks: that may settle it."
    return f"Straight at {where}; how round it is there decides. Pressing will not cure that."


def _look_again(doubted: list[tuple[float, float]]) -> str:
    x, clock = doubted[0]
    more = f" ({len(doubted)} readings in all)" if len(doubted) > 1 else ""
    return f"Read station {format_length(x, 1)} at {format_clock(clock)} again: it is off{more}."


def _roundness(places: Sequence[_Place], limit_in: float, rule: Rule) -> str:
    """A word on roundness where the bend part is inside the limit and the dial's swing is not."""
    over = [
        p
        for p in places
        if p.runout.tir_in >= limit_in and judge_bend(p.runout, limit_in, rule) == "true"
    ]
    if not over or any(judge_bend(p.runout, limit_in, rule) != "true" for p in places):
        return ""
    worst = max(over, key=lambda p: p.runout.tir_in)
    return (
        f"Straight, but out of round by {format_dial(worst.out_of_round_in)} at"
        f" {format_length(worst.station_in, 1)}: pressing will not cure it."
    )
