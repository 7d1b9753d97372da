"""The returning shaft: is it bent where it was bent before, how much that says, what it means.

One function, `nearness`, says whether two places of a shaft are one; the visits screen, the job
card and the caution against straightening the same place twice all ask it. Two bends lie at the
*same place* when their 95 % intervals explain the distance between them, and one lies *beside* the
other when the intervals tell them apart but the metal is the same: a bend is some diameters long.

Two bends can also fall close by chance. `chance_within` says how often: with the earlier bends
where they were and the present ones anywhere along the length that was read, all places alike,
the share of that length within the distance is the chance of one bend, and at least one of m
falls there with probability 1 - (1 - share)^m (plain probability).

Stations are inches from the zero end of the shaft, angles and clocks radians. Standard library
only.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from core.base.units import format_clock
from core.runout.readings import SweepReadings

SAME_METAL_DIAMETERS = 2.0
"""This near an old bend the metal was bent and straightened before. Common practice, no source."""
HIT_PLACED_IN = 0.5
"""How well the station of a hit is known (95 %). Common practice, no source."""
SAME_SIDE_RAD = math.radians(30)
"""High sides this near are one side; a quarter of a circle more and they are another."""
Near = Literal["same place", "beside it", "elsewhere"]
TURN = 2 * math.pi


@dataclass(frozen=True)
class ShaftPlace:
    """A place on the shaft and how well it is known, inches."""

    station_in: float
    u95_in: float = 0.0
    spread: bool = False
    """Anywhere within the interval (a region or a bow), not a best value with an uncertainty."""


@dataclass(frozen=True)
class PastBend:
    """A bend as one sweep showed it."""

    spot: ShaftPlace
    angle_rad: float
    high_side_rad: float


@dataclass(frozen=True)
class Visit:
    """What one visit of the shaft says about bends."""

    tag: str
    when: str
    """The day in words."""
    came: tuple[PastBend, ...]
    """Bends before the first hit."""
    left: tuple[PastBend, ...] = ()
    """Bends still found after the last hit."""
    left_known: bool = False
    """Whether the shaft was read again after the last hit."""
    hits_in: tuple[float, ...] = ()
    seen_in: tuple[float, float] = (0.0, 0.0)
    """First and last station read."""
    keyways_rad: tuple[float | None, float | None] = (None, None)
    """Clock of the keyway at the zero end and at the far end, where the plunger fell into it."""
    mark_step_rad: float = 0.0
    """How far apart the marks of that sweep were; the keyway is known no better."""
    trouble: str = ""
    """Why its places cannot be compared with those of later visits; empty = they can."""
    other_bar: bool = False
    """The shaft was replaced since: another bar in the same boat."""


@dataclass(frozen=True)
class RepeatBend:
    """A bend of now at a place that was bent at an earlier visit."""

    now: PastBend
    then: PastBend
    visit: Visit
    near: Near
    apart_in: float
    together_in: float
    """Distance that both intervals explain."""
    chance: float
    """Probability that one of the present bends or more fall this near an earlier one by chance."""
    straightened: bool
    """It was hit there at that visit."""
    left_rad: float | None
    """Size of the bend found there when it left; 0 = none, None = not read after the hits."""
    turned_rad: float | None
    """How far the high side has gone round, 0 to pi; None = the clocks cannot be compared."""
    why_no_clock: str = ""


def together_in(a: ShaftPlace, b: ShaftPlace) -> float:
    """Distance between two places that both their intervals explain, inches."""
    if a.spread or b.spread:
        return a.u95_in + b.u95_in
    return math.hypot(a.u95_in, b.u95_in)


def nearness(a: ShaftPlace, b: ShaftPlace, diameter_in: float) -> Near:
    """Whether two places of a shaft are one, are beside each other, or have nothing in common."""
    apart_in = abs(a.station_in - b.station_in)
    if apart_in <= together_in(a, b):
        return "same place"
    return "beside it" if apart_in <= SAME_METAL_DIAMETERS * diameter_in else "elsewhere"


def chance_within(
    apart_in: float, earlier_in: Sequence[float], present: int, seen_in: tuple[float, float]
) -> float:
    """Probability that at least one of `present` bends falls within a distance of an earlier one.

    The earlier ones stay where they were; the present ones may lie anywhere on `seen_in` (the
    length that was read), independently. Inches.
    """
    low, high = seen_in
    if high <= low:
        return 1.0
    covered, reached = 0.0, low
    for x in sorted(earlier_in):
        start, stop = max(x - apart_in, reached), min(x + apart_in, high)
        covered += max(0.0, stop - start)
        reached = max(reached, stop)
    share = min(covered / (high - low), 1.0)
    return float(1.0 - (1.0 - share) ** present)


def same_again(
    present: Visit, earlier: Sequence[Visit], diameter_in: float
) -> tuple[RepeatBend, ...]:
    """Bends of the present visit at or beside a bend of an earlier one, along the shaft.

    Each bend has at most one partner in each earlier visit, the nearest pairs first. Newest visits
    come first at one station.
    """
    usable = [visit for visit in earlier if not visit.trouble]
    all_in = [bend.spot.station_in for visit in usable for bend in visit.came]
    found: list[RepeatBend] = []
    for visit in reversed(usable):
        for now, then in _pairs(present.came, visit.came, diameter_in):
            found.append(_again(present, visit, now, then, all_in, diameter_in))
    order = {id(visit): n for n, visit in enumerate(reversed(usable))}
    found.sort(key=lambda a: (a.now.spot.station_in, order[id(a.visit)]))
    return tuple(found)


def _pairs(
    now: Sequence[PastBend], then: Sequence[PastBend], diameter_in: float
) -> list[tuple[PastBend, PastBend]]:
    near = [
        (abs(a.spot.station_in - b.spot.station_in), i, j)
        for i, a in enumerate(now)
        for j, b in enumerate(then)
        if nearness(a.spot, b.spot, diameter_in) != "elsewhere"
    ]
    pairs: list[tuple[int, int]] = []
    for _, i, j in sorted(near):
        if all(i != a and j != b for a, b in pairs):
            pairs.append((i, j))
    return [(now[i], then[j]) for i, j in pairs]


def _again(
    present: Visit,
    visit: Visit,
    now: PastBend,
    then: PastBend,
    all_in: Sequence[float],
    diameter_in: float,
) -> RepeatBend:
    apart = abs(now.spot.station_in - then.spot.station_in)
    together = together_in(now.spot, then.spot)
    low = max(present.seen_in[0], visit.seen_in[0])
    high = min(present.seen_in[1], visit.seen_in[1])
    # No closer than the intervals can tell: a distance of nothing is no wonder of chance.
    chance = chance_within(max(apart, together), all_in, len(present.came), (low, high))
    why = clock_doubt(present, visit)
    turned = None
    if not why:
        turned = abs((now.high_side_rad - then.high_side_rad + math.pi) % TURN - math.pi)
    return RepeatBend(
        now=now,
        then=then,
        visit=visit,
        near=nearness(now.spot, then.spot, diameter_in),
        apart_in=apart,
        together_in=together,
        chance=chance,
        straightened=was_hit(then.spot, visit.hits_in, diameter_in),
        left_rad=_left_rad(then.spot, visit, diameter_in),
        turned_rad=turned,
        why_no_clock=why,
    )


def was_hit(place: ShaftPlace, hits_in: Sequence[float], diameter_in: float) -> bool:
    """Whether a place was hit: one of the hits (stations, inches) is at it or beside it."""
    return any(
        nearness(place, ShaftPlace(x, HIT_PLACED_IN), diameter_in) != "elsewhere" for x in hits_in
    )


def _left_rad(place: ShaftPlace, visit: Visit, diameter_in: float) -> float | None:
    if not visit.left_known:
        return None
    near = [
        bend.angle_rad
        for bend in visit.left
        if nearness(place, bend.spot, diameter_in) != "elsewhere"
    ]
    return max(near, default=0.0)


# -- clock -----------------------------------------------------------------------------------------


def keyway_clocks(sweep: SweepReadings) -> tuple[float | None, float | None]:
    """Clock of the keyway in the half of the shaft at the zero end and in the far half, radians.

    The middle of the marks where the plunger was blocked; None = no mark was. The clock is that of
    the shaft (`core.runout.readings`), whichever way it was rolled.
    """
    length = sweep.length_in or max((s.station_in for s in sweep.stations), default=0.0)
    halves: tuple[list[float], list[float]] = ([], [])
    for station in sweep.stations:
        halves[station.station_in > length / 2].extend(station.blocked_rad)
    return _middle(halves[0]), _middle(halves[1])


def _middle(clocks_rad: Sequence[float]) -> float | None:
    along = math.fsum(math.cos(c) for c in clocks_rad)
    across = math.fsum(math.sin(c) for c in clocks_rad)
    # Marks blocked all round show no keyway.
    if math.hypot(along, across) < 0.5 * max(len(clocks_rad), 1):
        return None
    return math.atan2(across, along) % TURN


def clock_doubt(now: Visit, then: Visit) -> str:
    """Why the clocks of two visits cannot be compared, in words; empty when they can.

    The keyway is the witness: met at the same clock, both visits began to count at one place.
    """
    met = [
        (a, b)
        for a, b in zip(now.keyways_rad, then.keyways_rad, strict=True)
        if a is not None and b is not None
    ]
    if not met:
        return "no keyway was met in both sweeps, so nothing shows that both counted from one place"
    reach = max(now.mark_step_rad, then.mark_step_rad)
    for a, b in met:
        if abs((a - b + math.pi) % TURN - math.pi) > reach:
            return (
                f"the keyway lay at {format_clock(b)} then and lies at {format_clock(a)} now, so "
                "they did not count from one place"
            )
    return ""
