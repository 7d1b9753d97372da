"""How sure it is that a length of shaft runs true between the stations that were read.

The line between stations is not known; it is likely. Its prior has three parts:

- curvature at random all along (white noise, so that the line is a smoothing spline); how much, the
  stations beside the area say (evidence over a grid);
- at each place that was hit, a change of slope of unknown size: a hit takes out more or less than
  asked and off its clock, and a small one may have been put where no bend was;
- there too, what a spread or misplaced change of slope leaves of a sharp one: up to kappa w / 8 in
  the middle of a length w, and a step of kappa times the miss. How much of the first, the shop and
  the steel decide: sharp hits leave hardly any, usual ones much. Both are reckoned with, each as
  probable as all stations of the shaft make it.

Given the stations the line is normal, and draws of the whole of it say how probable it is that the
largest runout anywhere in the length is under its limit. Ovality and lobes are carried from the
stations (`core.analysis.sections`) to the places between them.

Source: Gaussian process regression, textbook (Rasmussen and Williams 2006, chapter 2, from memory);
the spreads are set by tests/bench/world. Not modelled: a step of the surface (a sleeve, weld).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property, lru_cache
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from core.analysis.sections import Sections
from core.runout.harmonics import TURN, Array, harmonics
from core.runout.line import ShaftLine
from core.runout.station_result import StationFit
from core.runout.verdict import Rule

WINDOW_IN = 24.0
"""Stations this far on either side of a length tell of it."""
STEP_IN = 1.0
KNOTS_IN = 1.0
"""Spacing of the places looked at, and of the knots of the random curvature."""
CURVATURES = np.exp(np.linspace(np.log(2e-6), np.log(1e-3), 11))
"""Random curvature, radians over the square root of an inch."""
SPREAD_IN = 7.0
"""Usual length over which a hit bends the shaft, ..."""
LEFT_SHARES = (0.1, 0.6)
"""... and how much of the difference from a sharp corner may be left (standard deviation): by sharp
hits, and by usual ones."""
LEFT_CHANCES = np.array([0.3, 0.7])
"""Probability of each before anything is read, ..."""
LEAST_CHANCE = 0.04
"""... and the least that is worth the time."""
HIT_PLACE_SIGMA_IN = 0.5
"""How far off its station a hit goes."""
SIZE_SIGMA = 0.2
"""How much of a hit's angle is left or taken too much (standard deviation), ..."""
ASIDE_RAD = 0.0006
"""... and all of it up to this angle: the hit may have been put where no bend was."""
ZERO_SIGMA_IN = 5e-5
TINY_IN = 1e-7
FREE_IN = 0.05
FREE_RAD = 0.005
"""Where the line lies and how it slopes is left to the readings."""
BEND_SURE = 0.8
"""The bend part counts as inside its limit all along when it is so with this probability, and at
each station with 97.5 %."""
ROUND_SHARES = (0.4, 0.8)
SWING_SURES = (0.68, 0.95)
"""The full-turn TIR counts as inside with a probability between these: with the first on a shaft
whose sections are usually out of round by the first share of the limit or less, with the second by
the second or more. Where most sections are over the limit, one that reads under it is likelier to
be a chance reading. Of the areas called true fewer than one in forty is then over its limit
anywhere (tests/bench/world; global consumer's risk, JCGM 106 clause 9.5)."""
EVEN = 0.5
LINE_DRAWS = 120
AROUND = 20
MOST_LOOKED_AT = 25
STATIONS_USED = 40
"""Of more places and stations an even selection is enough."""
NORMAL_QUANTILE = 1.959963984540054


Indices = NDArray[np.intp]


class TurnedPlace(Protocol):
    """A place where the slope of the line was changed on purpose."""

    @property
    def station_in(self) -> float:
        """Where."""

    @property
    def kappa_rad(self) -> Array:
        """By how much (2,)."""


@dataclass(frozen=True)
class LikelyRunout:
    """What is probable of a length of shaft."""

    bend_chance: float
    """Probability that the largest bend part in it is under the limit."""
    swing_chance: float
    """The same of the full-turn TIR."""
    known_at_stations: bool
    """The bend part at each station is under the limit with 97.5 %."""
    worst_in: float
    """Where it is likeliest over: the place to read."""
    best_in: float
    """The largest runout in it by the best estimate, ovality included where it is known."""
    swing_sure: float = SWING_SURES[0]
    """The full-turn TIR counts as inside with this probability."""

    def is_true(self, rule: Rule, limit_in: float) -> bool:
        """Whether the length is called true. Simple acceptance goes by the best estimate, and asks
        that the bend part is inside more likely than not."""
        if rule == "simple":
            return self.bend_chance >= EVEN and self.best_in < limit_in
        return self.is_straight and self.swing_chance >= self.swing_sure

    @property
    def is_straight(self) -> bool:
        """Whether the bend part is called inside its limit all along."""
        return self.bend_chance >= BEND_SURE and self.known_at_stations


@dataclass(frozen=True, eq=False)
class KnownLine:
    """What is known of a line: its stations, their sections, and where it was turned."""

    line: ShaftLine
    fits: Sequence[StationFit] = ()
    """Of the stations; without them the sections are taken as round."""
    turned: Sequence[TurnedPlace] = ()

    @cached_property
    def sections(self) -> Sections:
        """Ovality and lobes at the stations."""
        return Sections.of(self.line, self.fits)

    @cached_property
    def out_of_round_in(self) -> float:
        """By how much the sections of this shaft usually swing the dial, without any bend."""
        curves = self.sections.read_in @ _around()[:, 2:].T
        return float(np.median(np.ptp(curves, axis=1)))

    @cached_property
    def left(self) -> tuple[tuple[float, ...], Array]:
        """How much hits left, and the probability of each by all stations of the line."""
        x, data, noise = _seen(self.line, _selection(np.arange(self.line.station_in.size)))
        said = []
        for share in LEFT_SHARES:
            base, random = _prior(x, self.turned, share)
            said.append(np.logaddexp.reduce(_said(base + noise, random, data)))
        weight = LEFT_CHANCES * np.exp(np.array(said) - max(said))
        weight /= weight.sum()
        worth = np.flatnonzero(weight >= LEAST_CHANCE)
        return tuple(LEFT_SHARES[k] for k in worth), weight[worth] / weight[worth].sum()

    def within(self, from_in: float, to_in: float, limit_in: float) -> LikelyRunout:
        """How probable it is that a length runs within a limit (inches)."""
        line = self.line
        index = self._near(from_in, to_in)
        here = [t for t in self.turned if from_in - WINDOW_IN < t.station_in < to_in + WINDOW_IN]
        inside = [t.station_in for t in here if from_in < t.station_in < to_in]
        place = _places(from_in, to_in, [*line.station_in[index].tolist(), *inside])
        means, ecc, sure = [], [], []
        shares, chance = self.left if here else (LEFT_SHARES[:1], np.ones(1))
        for share in shares:
            mean, cov = _posterior(line, index, here, place, share)
            means.append(mean)
            ecc.append(mean + _drawn(cov))
            sure.append(_known_at_stations(line.station_in[index], place, mean, cov, limit_in))
        mean, drawn = np.einsum("m,mpk->pk", chance, means), np.concatenate(ecc)
        known = bool(chance @ np.array(sure) > EVEN)
        weight = np.repeat(chance / LINE_DRAWS, LINE_DRAWS)
        over = 2 * np.hypot(drawn[..., 0], drawn[..., 1]) >= limit_in
        bend = 1 - float(weight @ over.any(axis=1))
        worst = float(place[(weight @ over).argmax()])
        if not self.fits or bend < EVEN:
            return LikelyRunout(bend, bend, known, worst, float(2 * np.hypot(*mean.T).max()))
        x, (shape, shape_cov) = line.station_in[index], self.sections.at(index)
        sections = np.tile(_drawn_sections(shape, shape_cov), (chance.size, 1, 1))
        wide = _swings(drawn, x, sections, place) >= limit_in
        best_in = float(_swings(mean[None], x, shape[None], place).max())
        if bend >= BEND_SURE and known:
            worst = float(place[(weight @ wide).argmax()])
        swing = 1 - float(weight @ wide.any(axis=1))
        share = self.out_of_round_in / limit_in
        asked = float(np.interp(share, ROUND_SHARES, SWING_SURES))
        return LikelyRunout(bend, swing, known, worst, best_in, asked)

    def _near(self, from_in: float, to_in: float) -> Indices:
        """Stations that tell of a length: those in it and on either side."""
        x = self.line.station_in
        return _selection(np.flatnonzero((x > from_in - WINDOW_IN) & (x < to_in + WINDOW_IN)))


def _selection(index: Indices) -> Indices:
    if index.size <= STATIONS_USED:
        return index
    even = np.unique(np.linspace(0, index.size - 1, STATIONS_USED).round().astype(int))
    return np.asarray(index[even])


def _places(from_in: float, to_in: float, extra: Sequence[float]) -> Array:
    count = min(max(2, int(np.ceil((to_in - from_in) / STEP_IN)) + 1), MOST_LOOKED_AT)
    even = np.linspace(from_in, to_in, count)
    inside = [x for x in extra if from_in <= x <= to_in]
    return np.unique(np.round(np.concatenate([even, inside]), 3))


def _posterior(
    line: ShaftLine, index: Indices, turned: Sequence[TurnedPlace], place: Array, share: float
) -> tuple[Array, Array]:
    """Mean (p, 2) and covariance (2 p, 2 p) of the line at places (p,), when hits leave `share`."""
    x, data, noise = _seen(line, index)
    base, random = _prior(np.concatenate([x, place]), turned, share)
    n = 2 * x.size
    prior = base + _curvature2(base[:n, :n] + noise, random[:n, :n], data) * random
    inner = prior[:n, :n] + noise
    gain = np.linalg.solve(inner, prior[:n, n:]).T
    cov = prior[n:, n:] - gain @ prior[:n, n:]
    return (gain @ data).reshape(-1, 2), (cov + cov.T) / 2


def _seen(line: ShaftLine, index: Indices) -> tuple[Array, Array, Array]:
    """Stations and rollers (n,), what was read there (2 n,) and its covariance (2 n, 2 n)."""
    x = np.concatenate([line.station_in[index], line.rollers_in])
    seen = np.concatenate([line.ecc_in[index], np.zeros((2, 2))])
    own = np.tile(ZERO_SIGMA_IN**2 * np.eye(2), (x.size, 1, 1))
    own[: index.size] = line.covariance_in2[index]
    return x, seen.ravel(), _diagonal(own)


def _prior(x_in: Array, turned: Sequence[TurnedPlace], share: float) -> tuple[Array, Array]:
    """Covariances (2 n, 2 n) of the line at places (n,): of all but the random curvature, and of
    that when it is one."""
    middle = (x_in.min() + x_in.max()) / 2
    base = _pairs(FREE_IN**2 + FREE_RAD**2 * np.outer(x_in - middle, x_in - middle))
    if turned:
        left = _left_over(x_in, turned, share)
        base += left.T @ left
    knots = np.arange(x_in.min(), x_in.max(), KNOTS_IN)
    bent = np.maximum(x_in[:, None] - knots, 0.0)
    return base, _pairs(KNOTS_IN * bent @ bent.T)


def _pairs(cov: Array) -> Array:
    """The same covariance for both components, which are independent: (n, n) to (2 n, 2 n)."""
    return np.asarray(np.kron(cov, np.eye(2)), dtype=float)


def _curvature2(known: Array, random: Array, data: Array) -> float:
    """Mean square of the random curvature by the evidence of the stations."""
    said = _said(known, random, data)
    weight = np.exp(said - said.max())
    return float(weight @ CURVATURES**2 / weight.sum())


def _said(known: Array, random: Array, data: Array) -> Array:
    """Logarithm of the evidence for each of `CURVATURES`."""
    root = np.linalg.cholesky(known)
    white = np.linalg.solve(root, np.column_stack([data, random]))
    times, ways = np.linalg.eigh(np.linalg.solve(root, white[:, 1:].T))
    spread = 1 + np.outer(CURVATURES**2, times)
    fit = ((ways.T @ white[:, 0]) ** 2 / spread).sum(axis=1)
    return np.asarray(-0.5 * (np.log(spread).sum(axis=1) + fit) - np.log(root.diagonal()).sum())


def _diagonal(own: Array) -> Array:
    """Covariances (n, 2, 2) of independent vectors as one of all of them (2 n, 2 n)."""
    n = own.shape[0]
    joint = np.zeros((n, 2, n, 2))
    each = np.arange(n)
    joint[each, :, each, :] = own
    return joint.reshape(2 * n, 2 * n)


def _left_over(x_in: Array, turned: Sequence[TurnedPlace], share: float) -> Array:
    """What the changes of slope may have left, one standard deviation in each row (k, 2 n)."""
    kappa = np.array([one.kappa_rad for one in turned], dtype=float)
    size = np.hypot(*kappa.T)
    off = x_in - np.array([one.station_in for one in turned])[:, None]
    open_rad = np.hypot(SIZE_SIGMA * size, np.minimum(size, ASIDE_RAD))
    corner = open_rad[:, None] * np.maximum(off, 0.0)
    room = np.maximum(SPREAD_IN / 2 - np.abs(off), 0.0)
    spread = share / (2 * SPREAD_IN) * room**2
    passed = 1 / (1 + np.exp(-np.clip(off / (HIT_PLACE_SIGMA_IN / 2), -30, 30)))
    parts = [corner[..., None] * axis for axis in np.eye(2)]
    parts += [shape[..., None] * kappa[:, None] for shape in (spread, HIT_PLACE_SIGMA_IN * passed)]
    return np.concatenate(parts).reshape(4 * len(turned), -1)


def _drawn(cov: Array) -> Array:
    """Draws (d, p, 2) of what is not known of the line."""
    root = np.linalg.cholesky(cov + TINY_IN**2 * np.eye(cov.shape[0]))
    return np.asarray((_normal(cov.shape[0]) @ root.T).reshape(LINE_DRAWS, -1, 2))


def _known_at_stations(
    station_in: Array, place: Array, mean: Array, cov: Array, limit_in: float
) -> bool:
    """Whether the bend part at each station, and past the last ones, is under the limit with
    97.5 %."""
    read = np.abs(place[:, None] - station_in).min(axis=1) < 0.01
    past = (place < station_in[0]) | (place > station_in[-1])
    for k in np.flatnonzero(read | past).tolist():
        size = float(np.hypot(*mean[k]))
        along = mean[k] / size if size > 0 else np.array([1.0, 0.0])
        own = cov[2 * k : 2 * k + 2, 2 * k : 2 * k + 2]
        if size + NORMAL_QUANTILE * float(np.sqrt(max(along @ own @ along, 0.0))) >= limit_in / 2:
            return False
    return True


def _drawn_sections(shape: Array, cov_in2: Array) -> Array:
    """Ovality and lobes (d, n, 4) drawn at the stations, from their mean (n, 4) and covariances
    (4, n, n)."""
    count = shape.shape[0]
    root = np.linalg.cholesky(cov_in2 + TINY_IN**2 * np.eye(count))
    normal = _normal(4 * count, 1).reshape(LINE_DRAWS, 4, count, 1)
    return np.asarray(shape + np.matmul(root, normal)[..., 0].transpose(0, 2, 1))


def _swings(ecc: Array, station_in: Array, sections: Array, place: Array) -> Array:
    """Swing over a turn (d, p) of lines (d, p, 2) with the sections (d, n, 4) of the stations."""
    weights = np.stack([np.interp(place, station_in, row) for row in np.eye(station_in.size)])
    along = np.matmul(weights.T, sections)
    rows = _around()
    curve = np.matmul(rows[:, :2], ecc.transpose(0, 2, 1)) + np.matmul(
        rows[:, 2:], along.transpose(0, 2, 1)
    )
    return np.asarray(curve.max(axis=1) - curve.min(axis=1))


@lru_cache(maxsize=1)
def _around() -> Array:
    return harmonics(np.linspace(0, TURN, AROUND, endpoint=False))[:, 1:]


@lru_cache(maxsize=64)
def _normal(count: int, stream: int = 0) -> Array:
    """(LINE_DRAWS, count) standard normal numbers, always the same."""
    half = np.random.default_rng([2026, stream, count]).standard_normal((LINE_DRAWS // 2, count))
    return np.concatenate([half, -half])
