"""Slips of hand and eye: single readings that do not belong, and what they may have been.

Every explanation of a station's readings is a hypothesis with a probability: nothing wrong; one
reading wrong in a known way (then its mend is known too); two neighbours written down in each
other's place; one reading wrong in an unknown way. The best one is taken when it beats
"nothing wrong" clearly, its readings are set aside, and the search repeats on the rest. All
leave-one-out figures are closed forms of one matrix (`core.harmonics`).

Naming: of several kinds that would mend a reading the likeliest wins, that is: how well the mended
value fits the other readings, whether it lies on a graduation when the others do, and how common
the kind is (`_SHARE`; when two kinds give the very same value the commoner one is named).

A mend is offered, never applied. Shares and rates: common practice, no source.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from core.harmonics import Array, Marks, Priors, evidence, harmonics, log_sum, prepare, shares
from core.slip_mends import mends_of

RATE = 1 / 50
"""Slips in each reading taken, at a busy bench."""
_SHARE = {
    "lost turn": 0.25,
    "sign": 0.20,
    "half range": 0.15,
    "decimal slip": 0.15,
    "swapped neighbours": 0.15,
    "transposed digits": 0.10,
}
_BEST_SHARE = math.log(RATE * max(_SHARE.values()))
_SWAP = math.log(RATE * _SHARE["swapped neighbours"])
_ODD = math.log(RATE * 0.1 / 0.02)
"""An unknown slip: one in ten of all, anywhere within 0.02 in (log density per inch)."""
CLEAR = 1.0
"""A slip must be this much likelier than none (natural logarithm) to be reported."""
BACK_AGAIN = 3.5
"""A reading within so many standard deviations of the others' prediction is put back."""
LEAST_KEPT = 4
Indices = NDArray[np.intp]


@dataclass(frozen=True)
class Slip:
    """One reading that stands apart from the rest of its station. The mend is only offered."""

    index: int
    """Which reading of the station, from 0."""
    clock_rad: float
    typed_in: float
    """As typed, inches."""
    kind: str
    """'lost turn', 'half range', 'sign', 'swapped neighbours', 'transposed digits',
    'decimal slip' or 'odd reading'."""
    suggested_in: float | None
    """What it may have been, inches; None = read it again."""
    off_in: float = 0.0
    """How far it stands from what the other readings say, inches."""


@dataclass(frozen=True)
class Bench:
    """What the search must know of dial and typing. Inches."""

    resolution_in: float
    repeatability_in: float | None
    priors: Priors
    dial_turn_in: float = 0.100
    typed_unit_in: float = 0.001
    """Unit in which the digits were typed (transposed digits depend on it)."""

    def marks(self, clock_rad: Array) -> Marks:
        """Matrices for readings at these clocks (n,)."""
        return prepare(
            tuple(clock_rad.tolist()), self.resolution_in, self.repeatability_in, self.priors
        )


def find_slips(clock_rad: Array, reading_in: Array, bench: Bench) -> tuple[Slip, ...]:
    """Slips among one station's readings (n,), in the order they were taken."""
    aside: list[int] = []
    while reading_in.size - len(aside) > LEAST_KEPT:
        found = _best_slip(clock_rad, reading_in, aside, bench)
        if not found or reading_in.size - len(aside) - len(found) < LEAST_KEPT:
            break
        aside += found
    if not aside:
        return ()
    if len(aside) > 1:
        aside = _still_odd(clock_rad, reading_in, aside, bench)
    return _named(clock_rad, reading_in, sorted(aside), bench)


def kept_of(count: int, aside: Sequence[int]) -> Indices:
    """Indices of the readings that are not set aside."""
    mask = np.ones(count, dtype=bool)
    mask[list(aside)] = False
    return np.flatnonzero(mask)


def _best_slip(clock: Array, reading: Array, aside: list[int], bench: Bench) -> list[int]:
    """Index of the reading (or two neighbours) most likely wrong among those kept; or empty."""
    kept = kept_of(reading.size, aside)
    marks, value = bench.marks(clock[kept]), reading[kept]
    pull = marks.precision @ value
    base = marks.log_base - 0.5 * (pull @ value)
    none = float(log_sum(base))
    gain = base[:, None] + 0.5 * pull**2 / marks.own
    bound = log_sum(gain) - none
    pairs = _swap_scores(marks, value, pull, base, kept) - none
    if bound.max() < CLEAR - _BEST_SHARE and pairs.max() < CLEAR:
        return []
    scores = _ODD + log_sum(gain + 0.5 * np.log(2 * np.pi / marks.own)) - none
    # A named slip cannot score above its bound; only readings that can still win are looked at.
    for i in np.flatnonzero(bound + _BEST_SHARE >= max(CLEAR, scores.max())):
        mends, log_share = _weighed_mends(float(value[i]), value, bench)
        step = mends - value[i]
        change = pull[:, i, None] * step + 0.5 * marks.own[:, i, None] * step**2
        named = log_sum(base[:, None] - change) - none + log_share
        scores[i] = max(scores[i], named.max())
    if pairs.max() > max(CLEAR, scores.max()):
        at = int(pairs.argmax())
        return [int(kept[at]), int(kept[at + 1])]
    return [int(kept[scores.argmax()])] if scores.max() > CLEAR else []


def _weighed_mends(typed: float, others: Array, bench: Bench) -> tuple[Array, Array]:
    """Every value the reading may have been, with the log share of its kind."""
    found = mends_of(typed, bench.resolution_in, bench.dial_turn_in, bench.typed_unit_in)
    mends = np.array([mend for _, mend in found])
    log_share = np.log([RATE * _SHARE[kind] for kind, _ in found])
    if _on_graduation(others, bench.resolution_in).mean() > 0.7:
        log_share -= np.where(_on_graduation(mends, bench.resolution_in), 0.0, 4.0)
    return mends, log_share


def _swap_scores(marks: Marks, value: Array, pull: Array, base: Array, kept: Indices) -> Array:
    """Log odds (n-1,) that readings i and i+1 stand in each other's place."""
    step = value[1:] - value[:-1]
    diagonal = np.diagonal(marks.precision, offset=1, axis1=1, axis2=2)
    stiff = marks.own[:, 1:] + marks.own[:, :-1] - 2 * diagonal
    change = step * (pull[:, :-1] - pull[:, 1:]) + 0.5 * stiff * step**2
    score = log_sum(base[:, None] - change) + _SWAP
    return np.where(np.diff(kept) == 1, score, -np.inf)


def _on_graduation(value: Array, resolution_in: float) -> NDArray[np.bool_]:
    """Which values lie on whole graduations of the dial."""
    if resolution_in <= 0:
        return np.zeros(value.shape, dtype=bool)
    steps = value / resolution_in
    return np.asarray(np.abs(steps - np.round(steps)) < 1e-3)


def _still_odd(clock: Array, reading: Array, aside: list[int], bench: Bench) -> list[int]:
    """Put back each reading that fits once all the others are set aside."""
    odd = list(aside)
    for i in aside:
        miss, spread = _prediction(clock, reading, odd, [i], bench)
        if abs(miss[0]) < BACK_AGAIN * np.sqrt(spread[0, 0]):
            odd.remove(i)
    return odd


def _prediction(
    clock: Array, reading: Array, aside: list[int], wanted: list[int], bench: Bench
) -> tuple[Array, Array]:
    """Typed minus predicted (k,) at the wanted readings and its covariance (k, k)."""
    kept = kept_of(reading.size, aside)
    marks = bench.marks(clock[kept])
    share = shares(evidence(marks, reading[kept]))
    rows = harmonics(clock[wanted])
    theta = share @ (marks.gain @ reading[kept])
    cov = np.tensordot(share, marks.cov_in2, 1)
    spread = rows @ cov @ rows.T + np.eye(len(wanted)) * float(share @ marks.noise2_in2)
    return reading[wanted] - rows @ theta, spread


def _named(clock: Array, reading: Array, aside: list[int], bench: Bench) -> tuple[Slip, ...]:
    """Each reading set aside with its likeliest kind, judged by the readings kept."""
    miss, spread = _prediction(clock, reading, aside, aside, bench)
    others = reading[kept_of(reading.size, aside)]
    single = [
        _likeliest(float(reading[i]), float(miss[k]), float(spread[k, k]), others, bench)
        for k, i in enumerate(aside)
    ]
    kinds: list[tuple[str, float | None]] = [(kind, mend) for kind, mend, _ in single]
    for k in range(len(aside) - 1):
        i, j = aside[k], aside[k + 1]
        if j != i + 1 or kinds[k][0] == "swapped neighbours":
            continue
        swap = miss[k : k + 2] + np.array([reading[j] - reading[i], reading[i] - reading[j]])
        score = _log_normal(swap, spread[k : k + 2, k : k + 2])
        if score + _SWAP > single[k][2] + single[k + 1][2]:
            kinds[k] = ("swapped neighbours", float(reading[j]))
            kinds[k + 1] = ("swapped neighbours", float(reading[i]))
    return tuple(
        Slip(i, float(clock[i]), float(reading[i]), kind, mend, float(miss[k]))
        for k, (i, (kind, mend)) in enumerate(zip(aside, kinds, strict=True))
    )


def _likeliest(
    typed: float, miss: float, spread: float, others: Array, bench: Bench
) -> tuple[str, float | None, float]:
    """Kind, mend and log score of one reading set aside."""
    found = mends_of(typed, bench.resolution_in, bench.dial_turn_in, bench.typed_unit_in)
    mends, log_share = _weighed_mends(typed, others, bench)
    left = miss + mends - typed
    scores = log_share - 0.5 * (left**2 / spread + np.log(2 * np.pi * spread))
    best = int(scores.argmax())
    if scores[best] <= _ODD:
        return "odd reading", None, _ODD
    return found[best][0], found[best][1], float(scores[best])


def _log_normal(miss: Array, spread: Array) -> float:
    """Log density of a normal miss (k,) with covariance (k, k)."""
    size = miss.size * np.log(2 * np.pi) + np.linalg.slogdet(spread)[1]
    return float(-0.5 * (miss @ np.linalg.solve(spread, miss) + size))
