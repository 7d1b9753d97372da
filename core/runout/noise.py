"""Repeatability of the readings, and how round the shaft is, estimated from a whole sweep.

Every station's readings carry a few degrees of freedom more than its eccentricity; pooled over the
sweep they tell how well a reading repeats and how large second and third harmonics are. The
three are weighed together on a grid: on a shaft rounder than usual the harmonics would otherwise
take part of the noise for themselves, and on one less round the noise would swallow them.
What is left of a station's n readings once mean and eccentricity are taken out is normal with
covariance::

    (repeatability^2 + resolution^2 / 12) I + ovality^2 D2 D2' + lobes^2 D3 D3'

Each station's word is that of its best story, one odd reading allowed, and no station may weigh
without bound: a sweep with slips in it gives the same answer. A stated figure is kept
unless the sweep contradicts it. Prior of the noise:
`core.runout.harmonics`; of the roundness: `ROUNDER`, `COMMON`.

Source: marginal likelihood of a linear normal model, textbook (restricted maximum likelihood).
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from core.base.student import student_quantile
from core.runout.harmonics import (
    LEAST_NOISE_IN,
    MOST_KEPT_MARKS,
    REPEATABILITY_PRIOR_IN,
    Array,
    Priors,
    harmonics,
    log_prior_of_noise,
)
from core.runout.slip_corrections import RATE

ROUNDER = (0.05, 0.25, 0.5, 1.0, 2.0)
"""Shares of the usual out-of-roundness among which the whole sweep may choose."""
COMMON = (0.4, 0.15, 0.15, 0.2, 0.1)
"""How common each share of three lobes is: most shafts are turned or ground without (no source).
The shares of ovality are taken as equally common."""
CLEARLY_MORE = -0.5
"""A station is reckoned more out of round than the shaft when that is no less likely than this
(natural log): better a wide interval than ovality taken for a bend."""
SAFE_SIDE = 0.3
"""Standard deviations of the squared share added to it (from tests/bench/tir_coverage)."""
_SHARES = np.array([(oval, lobes) for oval in ROUNDER for lobes in ROUNDER])
_LOG_COMMON = np.log(COMMON * len(ROUNDER))
_FINE_GRID_IN = REPEATABILITY_PRIOR_IN * np.exp(np.linspace(-2.0, 2.2, 29))
_ODD = math.log(RATE / 0.1)
_MOST_SAY = 25.0
"""No station can speak against a noise value more strongly than this (natural logarithm)."""
MOST_ASKED = 60
"""So many stations, spread over the sweep, tell the noise well enough."""
NOISE_FREEDOM = 3.0
CONTRADICTION_FREEDOM = 10.0
"""Degrees of freedom from which the sweep's own scatter contradicts a stated figure, ..."""
CLEARLY_WORSE = 1.3
"""... when it is so many times larger, ..."""
SURE = 2.5
"""... and the stations find it so much likelier (natural logarithm) ..."""
MOST_VOTE = 4.0
"""... no single one of them saying more than this either way. All set by simulation."""
_EDGE = 1.959963984540054


@dataclass(frozen=True)
class SweepNoise:
    """What the stations of a sweep say together. Inches."""

    repeatability_in: float
    """Best estimate of the standard deviation of a repeated reading, rounding taken out."""
    allowed_in: float
    """The same with an allowance for how few readings it rests on (Student's t), for the fits."""
    freedom: float
    """Degrees of freedom it is worth; infinite when it was given."""
    priors: Priors
    """Usual size of the second and third harmonics on this shaft."""
    found_worse: bool = False
    """Estimated although a figure was given: the readings contradict it."""


@dataclass(frozen=True, eq=False)
class _Split:
    """Readings at one set of marks split into parts of known spread, for C priors.

    n readings, r = n - 3 parts.
    """

    parts: Array
    """(C, n, r): part k of the readings y is y @ parts[c, :, k]."""
    spread2_in2: Array
    """(C, r) variance that ovality and lobes give each part."""


def sweep_noise(
    stations: Iterable[tuple[Sequence[float], Sequence[float]]],
    *,
    resolution_in: float,
    repeatability_in: float | None = None,
    priors: Priors | None = None,
    least_marks: int = 5,
) -> SweepNoise:
    """Noise and roundness of a sweep.

    Parameters
    ----------
    stations : pairs of clocks (radians) and readings (inches); those with fewer than
        `least_marks` readings are passed over.
    resolution_in : one graduation.
    repeatability_in : when it is known (the readings may contradict it, then it is not believed);
        None = estimate it too.
    priors : the usual out-of-roundness; what comes back is a share of it.
    """
    usual = priors or Priors()
    stated = repeatability_in
    grid = _FINE_GRID_IN if stated is None else np.append(_FINE_GRID_IN, stated)
    noise2 = _noise2(grid, resolution_in)
    asked = [(tuple(c), tuple(r)) for c, r in stations if len(c) >= least_marks]
    asked = asked[:: max(1, -(-len(asked) // MOST_ASKED))]
    if not asked:
        best = REPEATABILITY_PRIOR_IN if stated is None else stated
        return SweepNoise(best, best, NOISE_FREEDOM if stated is None else math.inf, usual)
    stories = _all_stories(asked, noise2, usual)
    own = _FINE_GRID_IN.size
    seen = _estimate(stories[:, :own], noise2[:own], resolution_in, usual)
    if stated is None:
        return seen
    worse = grid > CLEARLY_WORSE * stated
    clearly = (
        seen.freedom >= CONTRADICTION_FREEDOM and seen.repeatability_in > CLEARLY_WORSE * stated
    )
    if clearly and _contradicted(stories, worse):
        return replace(seen, found_worse=True)
    chance = _chances(_said(stories[:, own:]))[:, 0]
    return SweepNoise(stated, stated, math.inf, _shaft(chance, usual))


def _estimate(stories: Array, noise2: Array, resolution_in: float, usual: Priors) -> SweepNoise:
    """Noise and roundness from the stories (C, G, S) over the grid's noise alone."""
    weight = _chances(_said(stories) + log_prior_of_noise(_FINE_GRID_IN))
    log_noise = np.log(noise2) / 2
    chance = weight.sum(axis=0)
    middle = float(chance @ log_noise)
    freedom = 1 / (2 * max(float(chance @ (log_noise - middle) ** 2), 1e-9))
    best = _without_rounding(math.exp(middle), resolution_in)
    wide = math.exp(middle) * student_quantile(max(freedom, NOISE_FREEDOM)) / _EDGE
    shaft = _shaft(weight.sum(axis=1), usual)
    return SweepNoise(best, _without_rounding(wide, resolution_in), freedom, shaft)


def _contradicted(stories: Array, worse: NDArray[np.bool_]) -> bool:
    """Whether the stations together contradict the stated noise (the last of the G) and for one
    of the `worse` (G,), each with the roundness that suits it best.

    On a shaft lobed or oval like others, or by a dial far coarser than it repeats, a larger noise
    is about as likely as the stated one, and a few bad stations are no reason to doubt it.
    """
    said = _said(stories)
    against = int(said[:, -1].argmax())
    at = np.where(worse, said, -np.inf)
    shape, noise = np.unravel_index(int(at.argmax()), at.shape)
    votes = stories[shape, noise] - stories[against, -1]
    return float(np.clip(votes, -MOST_VOTE, MOST_VOTE).sum()) > SURE


def _all_stories(
    asked: Sequence[tuple[tuple[float, ...], tuple[float, ...]]], noise2: Array, usual: Priors
) -> Array:
    """Log likelihood (C, G, S) of S stations for C shares of roundness and G noise values."""
    offered = tuple(Priors(usual.ovality_in * p, usual.lobes_in * q) for p, q in _SHARES.tolist())
    stories = np.empty((len(offered), noise2.size, len(asked)))
    for clock, members in _by_marks(asked).items():
        # So many readings leave the harmonics no room to take the noise for themselves.
        large = len(clock) > MOST_KEPT_MARKS
        split = _split(clock, (usual,) if large else offered)
        reading = np.array([asked[i][1] for i in members], dtype=float)
        stories[:, :, members] = _stories(split, reading, noise2)
    return stories


def _said(stories: Array) -> Array:
    """What all stations say of each share and noise value (C, G), log, the shares' priors in."""
    bounded = np.maximum(stories - stories.max(axis=(0, 1)), -_MOST_SAY)
    return np.asarray(bounded.sum(axis=2) + _LOG_COMMON[:, None])


def _chances(said: Array) -> Array:
    """Probabilities (C, G) from their logarithms."""
    weight = np.exp(said - said.max())
    return np.asarray(weight / weight.sum())


def _shaft(chance: Array, usual: Priors) -> Priors:
    """Out-of-roundness of the shaft from the chance (C,) of each pair of shares."""
    shares = _shares(chance)
    return Priors(usual.ovality_in * float(shares[0]), usual.lobes_in * float(shares[1]))


def station_priors(
    stations: Sequence[tuple[Sequence[float], Sequence[float]]],
    noise: SweepNoise,
    *,
    resolution_in: float,
    usual: Priors,
) -> list[Priors]:
    """Out-of-roundness to reckon with at each station: the shaft's, or more where it shows more.

    A worn seat on a round shaft would otherwise be taken for a bend when the roll is short.
    """
    twice = Priors(2 * usual.ovality_in, 2 * usual.lobes_in)
    offered = [noise.priors, *(p for p in (usual, twice) if p.ovality_in > noise.priors.ovality_in)]
    noise2 = _noise2(np.array([noise.allowed_in]), resolution_in)
    chosen = [noise.priors] * len(stations)
    for clock, members in _by_marks(stations).items():
        if len(clock) <= MOST_KEPT_MARKS and len(offered) > 1:
            reading = np.array([stations[i][1] for i in members], dtype=float)
            story = _stories(_split(clock, tuple(offered)), reading, noise2)[:, 0]
            story[0] += CLEARLY_MORE
            for i, best in zip(members, story.argmax(axis=0).tolist(), strict=True):
                chosen[i] = offered[best]
    return chosen


def _shares(chance: Array) -> Array:
    """Shares of the usual ovality and lobes (2,) from the chance (C,) of each pair.

    Root mean square, and a little over because a share too small makes intervals too narrow.
    """
    square = chance @ _SHARES**2
    spread = np.sqrt(chance @ (_SHARES**2 - square) ** 2)
    return np.asarray(np.sqrt(square + SAFE_SIDE * spread))


def _by_marks(
    stations: Sequence[tuple[Sequence[float], Sequence[float]]],
) -> dict[tuple[float, ...], list[int]]:
    """Which stations share their marks."""
    groups: dict[tuple[float, ...], list[int]] = {}
    for i, (clock, _) in enumerate(stations):
        groups.setdefault(tuple(clock), []).append(i)
    return groups


def _stories(split: _Split, reading: Array, noise2: Array) -> Array:
    """Log likelihood (C, G, S) of each station (S, n), one odd reading allowed."""
    stiff = 1 / (noise2[:, None] + split.spread2_in2[:, None, :])
    part = np.matmul(reading - reading.mean(axis=1, keepdims=True), split.parts)
    base = np.log(stiff).sum(axis=2)[:, :, None] - np.matmul(stiff, (part**2).transpose(0, 2, 1))
    own = np.matmul(stiff, (split.parts**2).transpose(0, 2, 1))
    own = np.maximum(own, 1e-9 / noise2[:, None])
    pull = np.matmul(stiff[:, :, None] * part[:, None], split.parts.transpose(0, 2, 1)[:, None])
    odd = (pull**2 / own[:, :, None] - np.log(own)[:, :, None]).max(axis=3)
    return np.asarray((base + np.maximum(odd + math.log(2 * math.pi) + 2 * _ODD, 0.0)) / 2)


@lru_cache(maxsize=64)
def _split(clock: tuple[float, ...], priors: tuple[Priors, ...]) -> _Split:
    design = harmonics(np.array(clock))
    free = np.linalg.qr(design[:, :3], mode="complete")[0][:, 3:]
    second, third = free.T @ design[:, 3:5], free.T @ design[:, 5:]
    width2 = np.array([(p.ovality_in**2, p.lobes_in**2) for p in priors])
    square = np.stack([second @ second.T, third @ third.T])
    spread2, turn = np.linalg.eigh(np.tensordot(width2, square, 1))
    return _Split(np.matmul(free, turn), np.maximum(spread2, 0.0))


def _noise2(repeatability_in: Array, resolution_in: float) -> Array:
    """Variance of one reading."""
    return np.maximum(repeatability_in**2 + resolution_in**2 / 12, LEAST_NOISE_IN**2)


def _without_rounding(noise_in: float, resolution_in: float) -> float:
    return math.sqrt(max(noise_in**2 - resolution_in**2 / 12, 0.0))
