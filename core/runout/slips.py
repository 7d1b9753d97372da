"""Slips of hand and eye: single readings that do not belong, and what they may have been.

`core.runout.slip_search` says which readings; here each gets a name and, where possible, a mend.
A mend is offered, never applied.

Naming: of all kinds that would mend a reading the likeliest wins, that is: how well the mended
value fits the readings kept, whether it lies on a graduation when the others do, and how common
the kind is. When two kinds give the very same value the commoner one is named. "Odd reading" is
left for what no kind explains within about three standard deviations.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from core.runout.harmonics import Array
from core.runout.slip_corrections import RATE, ReadingSetup, weighed_mends
from core.runout.slip_search import SWAP, prediction, suspects

_UNKNOWN = math.log(RATE * 0.01 / 0.1)
"""Log density per inch of a slip of no known kind, when it comes to naming."""


@dataclass(frozen=True)
class Slip:
    """One reading that does not fit the rest of its station. The correction is only offered."""

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
    """Distance from what the other readings predict, inches."""


@dataclass(frozen=True)
class _Name:
    kind: str
    mend_in: float | None
    log_score: float


def find_slips(
    clock_rad: Array,
    reading_in: Array,
    bench: ReadingSetup,
    right: frozenset[int] = frozenset(),
    typed_in: Array | None = None,
) -> tuple[Slip, ...]:
    """Slips among one station's readings (n,), in the order they were taken.

    `right` are indices of readings that somebody looked at again and found right; `typed_in` what
    was typed, where `reading_in` is not just that (see `core.runout.plunger`).
    """
    typed = reading_in if typed_in is None else typed_in
    aside = suspects(clock_rad, reading_in, bench, right, typed)
    if not aside:
        return ()
    miss, spread = prediction(clock_rad, reading_in, aside, aside, bench)
    spread_of = {i: math.sqrt(spread[k, k]) for k, i in enumerate(aside)}
    guess = {i: float(reading_in[i] - miss[k]) for k, i in enumerate(aside)}
    names = {
        i: _single(i, float(miss[k]), float(spread[k, k]), typed, aside, bench)
        for k, i in enumerate(aside)
    }
    for i in aside:
        for j in (i - 1, i + 1):
            if not 0 <= j < reading_in.size or j in right:
                continue
            raised = reading_in[i] - typed[i]
            if abs(typed[j] + raised - guess[i]) < 4 * spread_of[i]:
                pair = (min(i, j), max(i, j))
                names |= _swap(pair, names, clock_rad, reading_in, typed, aside, bench)
    found = sorted(names)
    if found != aside:
        miss, _ = prediction(clock_rad, reading_in, found, found, bench)
    return tuple(
        Slip(
            index=i,
            clock_rad=float(clock_rad[i]),
            typed_in=float(typed[i]),
            kind=names[i].kind,
            suggested_in=names[i].mend_in,
            off_in=float(miss[k]),
        )
        for k, i in enumerate(found)
    )


def _single(
    index: int, miss: float, spread: float, all_typed: Array, aside: list[int], bench: ReadingSetup
) -> _Name:
    """The likeliest name of one reading set aside, by itself."""
    typed = float(all_typed[index])
    best = _Name("odd reading", None, _UNKNOWN)
    for kind, mend, prior in weighed_mends(typed, np.delete(all_typed, aside), bench):
        left = miss + mend - typed
        score = prior - 0.5 * (left**2 / spread + math.log(2 * math.pi * spread))
        if score > best.log_score:
            best = _Name(kind, mend, score)
    return best


def _swap(
    pair: tuple[int, int],
    names: dict[int, _Name],
    clock: Array,
    reading: Array,
    typed: Array,
    aside: list[int],
    bench: ReadingSetup,
) -> dict[int, _Name]:
    """Names of two neighbours that were more likely typed in swapped order; else empty."""
    i, j = pair
    if any(k in names and names[k].kind == "swapped neighbours" for k in pair):
        return {}
    if reading.size - len({*aside, i, j}) < 4 or typed[i] == typed[j]:
        return {}
    miss, spread = prediction(clock, reading, [*aside, i, j], [i, j], bench)
    step = float(typed[j] - typed[i])
    swapped = SWAP + _log_normal(miss + np.array([step, -step]), spread)
    alone = 0.0
    for k in (0, 1):
        known = names.get(pair[k])
        alone += known.log_score if known else _log_normal(miss[k : k + 1], spread[k:, k:][:1, :1])
    if swapped <= alone:
        return {}
    return {
        i: _Name("swapped neighbours", float(typed[j]), swapped / 2),
        j: _Name("swapped neighbours", float(typed[i]), swapped / 2),
    }


def _log_normal(miss: Array, spread: Array) -> float:
    """Log density of a normal miss (k,) with covariance (k, k)."""
    size = miss.size * math.log(2 * math.pi) + float(np.linalg.slogdet(spread)[1])
    return float(-0.5 * (miss @ np.linalg.solve(spread, miss) + size))
