"""A shaft line that has been hit: what is expected, how well it is known, what a check adds.

All eccentricity components of a line are one normal vector, order (station 0 toward 0, station 0
toward 90, station 1 toward 0, ...), with a full covariance. A hit moves the vector by a known
shape and spreads it in four directions: how much the hit took out, which way it went, where the
ram really stood, and over what length the bar gave. A quick check at a few stations is the usual
linear update of such a vector; because the shapes are known, three stations tell about all the
others.

Source: linear Gaussian update (Kalman), textbook; the spreads are shop figures.
Lengths inches, angles radians.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from core.bends.shapes import lift
from core.runout.checked_line import CheckedLine, joint_covariance_in2
from core.runout.line import ShaftLine

Array = NDArray[np.float64]

CLOCK_SIGMA_RAD = float(np.radians(8.0))
"""How far off its clock a hit goes, one standard deviation. Common practice, no source."""
PLACE_SIGMA_IN = 0.5
"""How far off its station the ram stands, one standard deviation. Common practice, no source."""
HIT_LENGTH_IN = 3.5
"""A hit bends the shaft evenly over this length. A bar gives over (1 - My/M) of the span, most
under the ram (elastic-plastic beam, textbook): 7 in of a 24 in span at M = 1.4 My, which lifts the
stations like 4.7 in of even bend; less for a small hit."""
HIT_LENGTH_SIGMA_IN = 2.0
"""Standard deviation of that length: from a sharp hit to 7 in."""
WAYS = 4
"""Directions in which a hit spreads a line."""

PASSES = 4


class AimedHit(Protocol):
    """What this module needs of a hit (see `core.straightening.plan.Hit`)."""

    @property
    def station_in(self) -> float:
        """Where the ram goes."""

    @property
    def kappa_rad(self) -> Array:
        """Change of slope to take out (2,)."""

    @property
    def share_sigma(self) -> float:
        """Standard deviation of what it takes out over what it is to take out."""


def expected_after(line: ShaftLine, hits: Sequence[AimedHit]) -> CheckedLine:
    """The line after the hits by the plan alone, with the spread the hits bring."""
    moved, spread = _effects(line, hits)
    mean = line.ecc_in.ravel() + moved.sum(axis=1)
    cov = joint_covariance_in2(line) + spread @ spread.T
    return _as_line(line, mean, cov, _shares(line) + tuple((1.0, h.share_sigma) for h in hits))


@dataclass(frozen=True, eq=False)
class LineReading:
    """Stations read when some of the hits had been made: a quick check, or one roll at a dial."""

    hits_made: int
    """How many of the hits came before it."""
    index: tuple[int, ...]
    """(m,) which stations of the line were read."""
    ecc_in: Array
    """(m, 2)"""
    sigma_in: Array
    """(m,) standard deviation of each component."""
    cov_in2: Array | None = None
    """(m, 2, 2) covariance of each vector; None = the same in each direction."""

    @property
    def noise_in2(self) -> Array:
        """(2 m, 2 m) covariance of all components."""
        own = self.cov_in2
        if own is None:
            own = np.asarray(self.sigma_in)[:, None, None] ** 2 * np.eye(2)
        m = len(self.index)
        noise = np.zeros((m, 2, m, 2))
        noise[np.arange(m), :, np.arange(m), :] = own
        return noise.reshape(2 * m, 2 * m)


@dataclass(frozen=True, eq=False)
class Check:
    """Readings after hits, compared with what was expected."""

    line: CheckedLine
    """The line after all hits, with the readings worked in."""
    chi2: float
    """Squared distance of the readings from the expected lines."""
    n_values: int
    """Components read: chi2 should be about this."""


def work_in(line: ShaftLine, hits: Sequence[AimedHit], reads: Sequence[LineReading]) -> Check:
    """The line after the hits, and what each took out, by readings made between and after them.

    The line and what every hit took out, its clock and its place are one normal vector; each
    reading sees the line with the hits made until then.
    """
    moved, spread = _effects(line, hits)
    start, joint = line.ecc_in.ravel(), joint_covariance_in2(line)
    hit_of_way = np.tile(np.arange(len(hits)), WAYS)
    rows = np.concatenate(
        [[2 * i + plane for i in read.index for plane in (0, 1)] for read in reads]
    ).astype(int)
    made = np.repeat([read.hits_made for read in reads], [2 * len(read.index) for read in reads])
    seen = spread[rows] * (hit_of_way[None, :] < made[:, None])
    expected = start[rows] + (moved[rows] * (np.arange(len(hits))[None, :] < made[:, None])).sum(
        axis=1
    )
    found = np.concatenate([np.asarray(read.ecc_in, dtype=float).ravel() for read in reads])
    surprise = found - expected
    inner = joint[np.ix_(rows, rows)] + seen @ seen.T
    first = 0
    for read in reads:
        own = slice(first, first + 2 * len(read.index))
        inner[own, own] += read.noise_in2
        first = own.stop
    with_line = joint[rows] + seen @ spread.T
    with_share = seen[:, : len(hits)]
    settled = np.linalg.solve(inner, np.column_stack([surprise, with_line, with_share]))
    n = start.size
    gained = with_line.T @ settled[:, : 1 + n]
    mean = start + moved.sum(axis=1) + gained[:, 0]
    cov = joint + spread @ spread.T - gained[:, 1:]
    told = with_share.T @ settled
    shares = []
    for k, hit in enumerate(hits):
        left = 1.0 - float(told[k, 1 + n + k])
        share = 1.0 + hit.share_sigma * float(told[k, 0])
        shares.append((share, hit.share_sigma * max(left, 0.0) ** 0.5))
    after = _as_line(line, mean, (cov + cov.T) / 2, _shares(line) + tuple(shares))
    return Check(after, float(surprise @ settled[:, 0]), rows.size)


def best_check_stations(
    line: ShaftLine, hits: Sequence[AimedHit], count: int, noise_in: float
) -> tuple[int, ...]:
    """Stations of the line whose readings would tell most about the hits to come, by index.

    Chosen one after the other, then each in turn lifted out and set where it leaves the least
    variance over the whole line.
    """
    ways = _effects(line, hits)[1]
    told = ways.reshape(line.station_in.size, 2, -1) / noise_in
    told = np.matmul(told.transpose(0, 2, 1), told)
    spread = ways.T @ ways
    chosen: list[int] = []
    for _ in range(min(count, line.station_in.size)):
        chosen.append(_tells_most(told, spread, chosen))
    for _ in range(PASSES):
        before = list(chosen)
        for place in range(len(chosen)):
            rest = chosen[:place] + chosen[place + 1 :]
            chosen[place] = _tells_most(told, spread, rest)
        if chosen == before:
            break
    return tuple(sorted(chosen))


def _tells_most(told: Array, spread: Array, chosen: list[int]) -> int:
    """Station that, read besides the chosen ones, leaves the least variance in all; of stations
    that tell the same, the first."""
    known = np.eye(spread.shape[0]) + told[chosen].sum(axis=0)
    left = np.trace(np.linalg.solve(known + told, spread), axis1=1, axis2=2)
    left[chosen] = np.inf
    return int(np.argmax(left <= left.min() * (1 + 1e-6)))


def hit_lift(station_in: Array, at_in: Array, rollers_in: Array) -> Array:
    """Lift of the stations (n, k) by hits at places (k,), each a radian large, inches."""
    return spread_lift(station_in, at_in, rollers_in, HIT_LENGTH_IN)


def spread_lift(
    station_in: Array, at_in: Array, rollers_in: Array, length_in: float | Array
) -> Array:
    """The same by hits that bend the shaft over a length."""
    return lift(station_in, at_in - length_in / 2, at_in + length_in / 2, rollers_in)


def _effects(line: ShaftLine, hits: Sequence[AimedHit]) -> tuple[Array, Array]:
    """Mean moves (2 n, k) of all components by each hit, and their spreads (2 n, 4 k).

    Each hit spreads in four directions: share taken out, clock, place, length.
    """
    if not hits:
        return np.zeros((2 * line.station_in.size, 0)), np.zeros((2 * line.station_in.size, 0))
    at = np.array([hit.station_in for hit in hits])
    kappa = np.array([hit.kappa_rad for hit in hits], dtype=float)
    share = np.array([hit.share_sigma for hit in hits])
    aside = np.column_stack([-kappa[:, 1], kappa[:, 0]])
    shape = hit_lift(line.station_in, at, line.rollers_in)
    moved = _outer(-shape, kappa)
    turned = _outer(-CLOCK_SIGMA_RAD * shape, aside)
    return moved, np.concatenate([moved * share, turned, misplaced(line, hits)], axis=1)


def misplaced(line: ShaftLine, hits: Sequence[AimedHit]) -> Array:
    """How hits spread all components (2 n, 2 k): by their place, then by their length."""
    at = np.array([hit.station_in for hit in hits])
    kappa = np.array([hit.kappa_rad for hit in hits], dtype=float)
    shorter, longer = (
        spread_lift(line.station_in, at, line.rollers_in, HIT_LENGTH_IN + way)
        for way in (-HIT_LENGTH_SIGMA_IN, HIT_LENGTH_SIGMA_IN)
    )
    placed = _outer(-PLACE_SIGMA_IN * _place_slopes(line, at), kappa)
    return np.concatenate([placed, _outer((shorter - longer) / 2, kappa)], axis=1)


def _outer(shape: Array, vector: Array) -> Array:
    """(n, k) shapes and (k, 2) vectors to (2 n, k) components in the order of a joint vector."""
    n, k = shape.shape
    return (shape[:, None, :] * vector.T[None, :, :]).reshape(2 * n, k)


def _place_slopes(line: ShaftLine, at: Array) -> Array:
    """Change of the unit shapes when the ram moves (n, k); smooth over its own spread."""
    place = np.concatenate([line.station_in, line.rollers_in])[:, None]
    passed = -1 / (1 + np.exp(-1.702 * np.clip((place - at) / PLACE_SIGMA_IN, -30, 30)))
    a, b = line.rollers_in
    share = ((line.station_in - a) / (b - a))[:, None]
    return np.asarray(passed[:-2] - (1 - share) * passed[-2] - share * passed[-1])


def _shares(line: ShaftLine) -> tuple[tuple[float, float], ...]:
    return line.shares if isinstance(line, CheckedLine) else ()


def _as_line(
    line: ShaftLine, mean: Array, cov: Array, shares: tuple[tuple[float, float], ...]
) -> CheckedLine:
    n = line.station_in.size
    index = np.arange(n)
    own = cov.reshape(n, 2, n, 2)[index, :, index, :]
    return CheckedLine(
        station_in=line.station_in,
        ecc_in=mean.reshape(n, 2),
        sigma_in=np.sqrt(np.trace(own, axis1=1, axis2=2) / 2),
        rollers_in=line.rollers_in,
        roller_sigma_in=line.roller_sigma_in,
        cov_in2=own,
        joint_cov_in2=cov,
        shares=shares,
    )
