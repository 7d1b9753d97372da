"""Which readings of a station are wrong: hypotheses weighed against "nothing wrong".

Hypotheses: nothing wrong; one reading wrong in a known way (then its mend is known too); two
neighbours written down in each other's place; one reading wrong in an unknown way; any two wrong.
The likeliest is taken when it beats "nothing wrong", its readings are set aside, and the
search repeats on the rest. All leave-one-out and leave-two-out figures are closed forms of one
matrix (`core.runout.harmonics`), the noise weighed over its grid when it is unknown.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace
from functools import cache

import numpy as np
from numpy.typing import NDArray

from core.runout.harmonics import Array, Marks, Priors, evidence, harmonics, log_sum, shares
from core.runout.slip_corrections import (
    GRADUATION_ODDS,
    RATE,
    SHARE,
    STRICT_SHARE,
    ReadingSetup,
    on_graduation,
    weighed_mends,
)

Indices = NDArray[np.intp]
Flags = NDArray[np.bool_]

SWAP = math.log(RATE * SHARE["swapped neighbours"])
_MOST_NAMED = math.log(RATE * max(SHARE.values()))
_ODD = math.log(RATE * 0.1 / 0.02)
"""An unknown slip: one in ten of all, anywhere within 0.02 in (log density per inch)."""
CLEAR = 0.0
"""A slip must be this much likelier than none (natural logarithm) to be taken."""
BACK_AGAIN = 3.0
"""A reading within so many standard deviations of the others' prediction is used again."""
LEAST_KEPT = 4
FEW_MARKS = 6
"""With no more marks than this a badly worn seat looks like one wrong reading."""
WORN_OVAL_IN = 0.003
"""Standard deviation of each part of such a seat's ovality: common practice, no source."""
WORN = math.log(1 / 50)
"""How common such a seat is among the stations read; likewise."""


def suspects(
    clock_rad: Array,
    reading_in: Array,
    bench: ReadingSetup,
    right: frozenset[int] = frozenset(),
    typed_in: Array | None = None,
) -> list[int]:
    """Indices of the readings (n,) that do not belong, rising; those in `right` are not doubted.

    `typed_in` : what was typed, where `reading_in` is not just that (see `core.runout.plunger`).
    """
    aside: list[int] = []
    typed = reading_in if typed_in is None else typed_in
    for turn in range(reading_in.size - LEAST_KEPT):
        found, _ = _worst(clock_rad, reading_in, typed, aside, bench, right)
        if not found or reading_in.size - len(aside) - len(found) < LEAST_KEPT:
            break
        aside += found
        if turn == 1:
            # A second one: two large slips can hide behind each other, so look at all pairs.
            aside = _better_pair(clock_rad, reading_in, aside, bench, right)
    if len(aside) > 1:
        aside = _still_odd(clock_rad, reading_in, aside, bench)
    return sorted(aside)


def worn_instead(
    clock_rad: Array, reading_in: Array, bench: ReadingSetup, typed_in: Array | None = None
) -> Priors | None:
    """Priors of a worn seat when that explains a station of few marks better than any slip.

    Only for a station that holds a slip by its usual out-of-roundness; None = a slip it is.
    """
    usual = bench.priors
    if reading_in.size > FEW_MARKS or usual.ovality_in >= WORN_OVAL_IN:
        return None
    worn = replace(usual, ovality_in=WORN_OVAL_IN)
    found = [
        log_sum(evidence(replace(bench, priors=p).marks(clock_rad), reading_in))
        - 2 * math.log(p.ovality_in)
        for p in (usual, worn)
    ]
    typed = reading_in if typed_in is None else typed_in
    slip = _worst(clock_rad, reading_in, typed, [], bench, frozenset())[1]
    return worn if float(found[1] - found[0]) + WORN > slip else None


def kept_of(count: int, aside: Sequence[int]) -> Indices:
    """Indices of the readings that are not set aside."""
    mask = np.ones(count, dtype=bool)
    mask[list(aside)] = False
    return np.flatnonzero(mask)


def prediction(
    clock_rad: Array,
    reading_in: Array,
    aside: Sequence[int],
    wanted: Sequence[int],
    bench: ReadingSetup,
) -> tuple[Array, Array]:
    """Typed minus predicted (k,) at the wanted readings, and its covariance (k, k).

    The prediction rests on the readings that are not set aside.
    """
    kept = kept_of(reading_in.size, aside)
    marks = bench.marks(clock_rad[kept])
    share = shares(evidence(marks, reading_in[kept]))
    rows = harmonics(clock_rad[list(wanted)])
    theta = share @ (marks.gain @ reading_in[kept])
    cov = (share @ marks.cov_in2.reshape(-1, 49)).reshape(7, 7)
    spread = rows @ cov @ rows.T + np.eye(len(wanted)) * float(share @ marks.noise2_in2)
    return reading_in[list(wanted)] - rows @ theta, spread


def doubtful(
    marks: Marks, typed_in: Array, pull: Array, log_evidence: Array, bench: ReadingSetup
) -> Flags:
    """Which of S stations may hold a slip and need `suspects`; quick, never misses one.

    `typed_in` (S, n) as typed; `pull` (G, S, n) and `log_evidence` (G, S) come from
    `core.runout.posterior.evidences`.
    """
    none = log_sum(log_evidence)
    gain = log_sum(log_evidence[:, :, None] + 0.5 * pull**2 / marks.own[:, None, :])
    gain += _best_named(typed_in, bench)
    step = typed_in[:, 1:] - typed_in[:, :-1]
    change = step * (pull[..., :-1] - pull[..., 1:]) + 0.5 * marks.neighbour[:, None] * step**2
    swap = log_sum(log_evidence[:, :, None] - change)
    return np.asarray((gain.max(axis=1) - none > CLEAR) | (swap.max(axis=1) - none > CLEAR - SWAP))


def _worst(
    clock: Array,
    reading: Array,
    typed: Array,
    aside: list[int],
    bench: ReadingSetup,
    right: frozenset[int],
) -> tuple[list[int], float]:
    """The reading (or two neighbours) most likely wrong among those kept, or none; its log odds."""
    kept = kept_of(reading.size, aside)
    marks, value, typed = bench.marks(clock[kept]), reading[kept], typed[kept]
    pull = marks.precision @ value
    base = marks.log_base - 0.5 * (pull @ value)
    none = float(log_sum(base))
    gain = base[:, None] + 0.5 * pull**2 / marks.own
    sure = np.isin(kept, list(right)) if right else np.zeros(kept.size, dtype=bool)
    bound = np.where(sure, -np.inf, log_sum(gain) - none + _best_named(typed, bench))
    pairs = _swap_odds(marks, typed, pull, base, kept) - none
    pairs = np.where(sure[1:] | sure[:-1], -np.inf, pairs)
    if bound.max() < CLEAR and pairs.max() < CLEAR:
        return [], CLEAR
    odds = _ODD + log_sum(gain + 0.5 * np.log(2 * np.pi / marks.own)) - none
    odds = np.where(sure, -np.inf, odds)
    # A named slip cannot score above its bound; only readings that can still win are looked at.
    for i in np.flatnonzero(bound >= max(CLEAR, odds.max())):
        found = weighed_mends(float(typed[i]), typed, bench)
        step = np.array([mend for _, mend, _ in found]) - typed[i]
        change = pull[:, i, None] * step + 0.5 * marks.own[:, i, None] * step**2
        named = log_sum(base[:, None] - change) - none + [prior for _, _, prior in found]
        odds[i] = max(odds[i], named.max())
    if pairs.max() > max(CLEAR, odds.max()):
        at = int(pairs.argmax())
        return [int(kept[at]), int(kept[at + 1])], float(pairs[at])
    best = int(odds.argmax())
    return ([int(kept[best])] if odds[best] > CLEAR else []), float(odds[best])


def _best_named(typed: Array, bench: ReadingSetup) -> Array:
    """Log prior odds (..., n) of readings (..., n) that no slip of theirs can pass."""
    on = on_graduation(typed, bench.resolution_in)
    strict = on.sum(axis=-1, keepdims=True) > STRICT_SHARE * typed.shape[-1]
    return np.where(strict & ~on, _MOST_NAMED + GRADUATION_ODDS, _MOST_NAMED)


def _swap_odds(marks: Marks, typed: Array, pull: Array, base: Array, kept: Indices) -> Array:
    """Log odds (n-1,) that readings i and i+1 were swapped."""
    step = typed[1:] - typed[:-1]
    change = step * (pull[:, :-1] - pull[:, 1:]) + 0.5 * marks.neighbour * step**2
    odds = log_sum(base[:, None] - change) + SWAP
    return np.where(kept[1:] - kept[:-1] == 1, odds, -np.inf)


@cache
def _pairs(count: int) -> tuple[Indices, Indices]:
    """All pairs i < j of `count` readings."""
    first, second = np.triu_indices(count, 1)
    return first, second


def _better_pair(
    clock: Array, reading: Array, aside: list[int], bench: ReadingSetup, right: frozenset[int]
) -> list[int]:
    """The best two to set aside at once, if better than the two or three found in turn."""
    marks = bench.marks(clock)
    pull = marks.precision @ reading
    i, j = _pairs(reading.size)
    cross = marks.precision[:, i, j]
    det = np.maximum(marks.own[:, i] * marks.own[:, j] - cross**2, 1e-12 * marks.own[:, i] ** 2)
    gain = pull[:, i] ** 2 * marks.own[:, j] + pull[:, j] ** 2 * marks.own[:, i]
    gain -= 2 * pull[:, i] * pull[:, j] * cross
    log_pair = marks.log_base[:, None] + 0.5 * gain / det + np.log(2 * np.pi) - 0.5 * np.log(det)
    odds = log_sum(log_pair - 0.5 * (pull @ reading)[:, None])
    if right:
        odds = np.where(np.isin(i, list(right)) | np.isin(j, list(right)), -np.inf, odds)
    best = int(odds.argmax())
    taken = {(int(a), int(b)): k for k, (a, b) in enumerate(zip(i, j, strict=True))}
    own = taken[min(aside[:2]), max(aside[:2])]
    if len(aside) > 2 or odds[best] < odds[own] + 1.0:
        return aside
    return [int(i[best]), int(j[best])]


def _still_odd(clock: Array, reading: Array, aside: list[int], bench: ReadingSetup) -> list[int]:
    """Put back each reading that fits once all the others are set aside."""
    odd = list(aside)
    for i in aside:
        miss, spread = prediction(clock, reading, odd, [i], bench)
        if abs(miss[0]) < BACK_AGAIN * math.sqrt(spread[0, 0]):
            odd.remove(i)
    return odd
