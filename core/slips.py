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

from dataclasses import dataclass

import numpy as np

from core.harmonics import Array, Marks, Priors, evidence, log_sum, prepare
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
_ODD = np.log(RATE * 0.1 / 0.02)
"""An unknown slip: one in ten of all, anywhere within 0.02 in (log density per inch)."""
CLEAR = 1.0
"""A slip must be this much likelier than none (natural logarithm) to be reported."""
LEAST_KEPT = 4


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
        clocks = tuple(np.round(clock_rad, 7).tolist())
        return prepare(clocks, self.resolution_in, self.repeatability_in, self.priors)


def find_slips(clock_rad: Array, reading_in: Array, bench: Bench) -> tuple[Slip, ...]:
    """Slips among one station's readings (n,), in the order they were taken."""
    aside: list[int] = []
    for _ in range(max(0, reading_in.size - LEAST_KEPT)):
        found = _best_slip(clock_rad, reading_in, aside, bench)
        if not found or reading_in.size - len(aside) - len(found) < LEAST_KEPT:
            break
        aside += found
    if len(aside) > 1:
        aside = _still_odd(clock_rad, reading_in, aside, bench)
    return _named(clock_rad, reading_in, sorted(aside), bench)


def _best_slip(clock: Array, reading: Array, aside: list[int], bench: Bench) -> list[int]:
    """Index of the reading (or two neighbours) most likely wrong among those kept; or empty."""
    kept = np.setdiff1d(np.arange(reading.size), aside)
    marks, value = bench.marks(clock[kept]), reading[kept]
    pull = np.einsum("gij,j->gi", marks.precision, value)
    base = evidence(marks, value)
    none = log_sum(base)
    gain = 0.5 * pull**2 / marks.own
    bound = log_sum(base[:, None] + gain) - none
    pairs = _swap_scores(marks, value, pull, base, kept) - none
    limit = CLEAR - np.log(RATE * max(_SHARE.values()))
    if bound.max() < limit and (pairs.size == 0 or pairs.max() < CLEAR):
        return []
    odd = _ODD + log_sum(base[:, None] + gain + 0.5 * np.log(2 * np.pi / marks.own)) - none
    scores = odd.copy()
    on_graduation = _on_graduation(value, bench.resolution_in)
    for i in np.flatnonzero(bound >= limit):
        for kind, mend in mends_of(
            float(value[i]), bench.resolution_in, bench.dial_turn_in, bench.typed_unit_in
        ):
            step = mend - value[i]
            change = step * pull[:, i] + 0.5 * marks.precision[:, i, i] * step**2
            scores[i] = max(
                scores[i],
                log_sum(base - change) - none + _log_share(kind, mend, on_graduation, bench),
            )
    if pairs.size and pairs.max() > max(CLEAR, scores.max()):
        at = int(pairs.argmax())
        return [int(kept[at]), int(kept[at + 1])]
    return [int(kept[scores.argmax()])] if scores.max() > CLEAR else []


def _swap_scores(marks: Marks, value: Array, pull: Array, base: Array, kept: Array) -> Array:
    """Log odds (n-1,) that readings i and i+1 stand in each other's place."""
    step = value[1:] - value[:-1]
    diagonal = np.diagonal(marks.precision, offset=1, axis1=1, axis2=2)
    stiff = marks.own[:, 1:] + marks.own[:, :-1] - 2 * diagonal
    change = step * (pull[:, :-1] - pull[:, 1:]) + 0.5 * stiff * step**2
    score = log_sum(base[:, None] - change) + np.log(RATE * _SHARE["swapped neighbours"])
    return np.where(np.diff(kept) == 1, score, -np.inf)


def _log_share(kind: str, mend: float, on_graduation: bool, bench: Bench) -> float:
    share = float(np.log(RATE * _SHARE[kind]))
    off = on_graduation and not _on_graduation(np.array([mend]), bench.resolution_in)
    return share - 4.0 if off else share


def _on_graduation(value: Array, resolution_in: float) -> bool:
    """Whether most readings lie on whole graduations of the dial."""
    if resolution_in <= 0:
        return False
    steps = value / resolution_in
    return bool(np.mean(np.abs(steps - np.round(steps)) < 1e-3) > 0.7)


def _still_odd(clock: Array, reading: Array, aside: list[int], bench: Bench) -> list[int]:
    """Put each reading back that fits once all the others are set aside."""
    kept_aside = list(aside)
    for i in aside:
        others = [j for j in kept_aside if j != i]
        if i in kept_aside and i not in _best_alone(clock, reading, others, i, bench):
            kept_aside = others
    return kept_aside


def _best_alone(
    clock: Array, reading: Array, others: list[int], index: int, bench: Bench
) -> list[int]:
    """[index] when that reading is odd against the readings kept, else empty."""
    miss, spread = _prediction(clock, reading, [*others, index], [index], bench)
    return [index] if abs(miss[0]) > 3.5 * np.sqrt(spread[0, 0]) else []


def _prediction(
    clock: Array, reading: Array, aside: list[int], wanted: list[int], bench: Bench
) -> tuple[Array, Array]:
    """Typed minus predicted (k,) at the wanted readings and its covariance (k, k)."""
    kept = np.setdiff1d(np.arange(reading.size), aside)
    marks = bench.marks(clock[kept])
    weight = np.exp(evidence(marks, reading[kept]) - evidence(marks, reading[kept]).max())
    weight /= weight.sum()
    rows = bench.marks(clock).design[wanted]
    noise2 = marks.repeatability_in**2 + bench.resolution_in**2 / 12
    theta = np.einsum("g,gpn,n->p", weight, marks.gain, reading[kept])
    cov = np.einsum("g,gpq->pq", weight, marks.cov_in2)
    spread = rows @ cov @ rows.T + np.eye(len(wanted)) * float(weight @ noise2)
    return reading[wanted] - rows @ theta, spread


def _named(clock: Array, reading: Array, aside: list[int], bench: Bench) -> tuple[Slip, ...]:
    """Each reading set aside with its likeliest kind, judged by the readings kept."""
    if not aside:
        return ()
    miss, spread = _prediction(clock, reading, aside, aside, bench)
    on_graduation = _on_graduation(np.delete(reading, aside), bench.resolution_in)
    single = [
        _likeliest(float(reading[i]), float(miss[k]), float(spread[k, k]), on_graduation, bench)
        for k, i in enumerate(aside)
    ]
    kinds = [(kind, mend) for kind, mend, _ in single]
    for k in range(len(aside) - 1):
        i, j = aside[k], aside[k + 1]
        if j != i + 1 or "swapped neighbours" in (kinds[k][0], kinds[k + 1][0]):
            continue
        swap = miss[k : k + 2] + np.array([reading[j] - reading[i], reading[i] - reading[j]])
        score = _log_normal(swap, spread[k : k + 2, k : k + 2])
        if score + np.log(RATE * _SHARE["swapped neighbours"]) > single[k][2] + single[k + 1][2]:
            kinds[k] = ("swapped neighbours", float(reading[j]))
            kinds[k + 1] = ("swapped neighbours", float(reading[i]))
    return tuple(
        Slip(i, float(clock[i]), float(reading[i]), kind, mend, float(miss[k]))
        for k, (i, (kind, mend)) in enumerate(zip(aside, kinds, strict=True))
    )


def _likeliest(
    typed: float, miss: float, spread: float, on_graduation: bool, bench: Bench
) -> tuple[str, float | None, float]:
    """Kind, mend and log score of one reading set aside."""
    best: tuple[str, float | None, float] = ("odd reading", None, float(_ODD))
    for kind, mend in mends_of(typed, bench.resolution_in, bench.dial_turn_in, bench.typed_unit_in):
        left = np.array([miss + mend - typed])
        score = _log_normal(left, np.array([[spread]]))
        score += _log_share(kind, mend, on_graduation, bench)
        if score > best[2]:
            best = (kind, mend, score)
    return best


def _log_normal(miss: Array, spread: Array) -> float:
    """Log density of a normal miss (k,) with covariance (k, k)."""
    size = miss.size * np.log(2 * np.pi) + np.linalg.slogdet(spread)[1]
    return float(-0.5 * (miss @ np.linalg.solve(spread, miss) + size))
