"""Kinds of slips, how common each is, and what a wrong reading may have been before it.

Kinds, sizes and shares: common practice, no source.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from math import isclose, log

import numpy as np
from numpy.typing import NDArray

from core.runout.harmonics import Array, Marks, Priors, prepare

RATE = 1 / 50
"""Slips in each reading taken, at a busy bench."""
SHARE = {
    "lost turn": 0.25,
    "sign": 0.20,
    "half range": 0.15,
    "decimal slip": 0.15,
    "swapped neighbours": 0.15,
    "transposed digits": 0.10,
}
STRICT_SHARE = 0.7
"""When more readings of a station than this lie on graduations, all should."""
GRADUATION_ODDS = 4.0
"""When the others lie on graduations, one that does not is so much less likely (natural log)."""


@dataclass(frozen=True)
class ReadingSetup:
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


def weighed_mends(
    typed_in: float, station_in: Array, bench: ReadingSetup
) -> tuple[tuple[str, float, float], ...]:
    """(kind, value before the slip in inches, log prior odds) of everything it may have been.

    `station_in` (n,) are the station's readings: when most of them lie on graduations, so should
    the mend, and a typed value that does not is suspect.
    """
    on = on_graduation(station_in, bench.resolution_in)
    strict = np.count_nonzero(on) > STRICT_SHARE * on.size
    return _weighed(
        typed_in, bool(strict), bench.resolution_in, bench.dial_turn_in, bench.typed_unit_in
    )


@lru_cache(maxsize=512)
def _weighed(
    typed_in: float, strict: bool, resolution_in: float, dial_turn_in: float, typed_unit_in: float
) -> tuple[tuple[str, float, float], ...]:
    found = mends_of(typed_in, resolution_in, dial_turn_in, typed_unit_in)
    before, *after = on_graduation(
        np.array([typed_in, *(mend for _, mend in found)]), resolution_in
    ).tolist()
    return tuple(
        (kind, mend, log(RATE * SHARE[kind]) + (GRADUATION_ODDS * (on - before) if strict else 0.0))
        for (kind, mend), on in zip(found, after, strict=True)
    )


def on_graduation(value_in: Array, resolution_in: float) -> NDArray[np.bool_]:
    """Which values lie on whole graduations of the dial."""
    if resolution_in <= 0:
        return np.zeros(value_in.shape, dtype=bool)
    steps = value_in / resolution_in
    return np.asarray(np.abs(steps - np.round(steps)) < 1e-3)


def mends_of(
    typed_in: float, resolution_in: float, dial_turn_in: float, typed_unit_in: float
) -> list[tuple[str, float]]:
    """(kind, value before the slip in inches) of every slip that could have given `typed_in`.

    Commoner kinds first; a value that two kinds share is listed once, under the commoner.
    `typed_unit_in` is the unit in which the digits were typed, in inches.
    """
    half = dial_turn_in / 2
    found = [("lost turn", typed_in + k * dial_turn_in) for k in (-1, 1)]
    found += [("sign", -typed_in)]
    found += [("half range", typed_in + k * half) for k in (-1, 1)]
    found += [("decimal slip", typed_in * k) for k in (0.1, 10.0)]
    found += [("transposed digits", v) for v in _transposed(typed_in, resolution_in, typed_unit_in)]
    kept: list[tuple[str, float]] = []
    for kind, value in found:
        if all(abs(value - other) > 1e-9 for other in (typed_in, *(v for _, v in kept))):
            kept.append((kind, value))
    return kept


def _transposed(typed_in: float, resolution_in: float, unit_in: float) -> list[float]:
    """Values whose digits, two neighbours changed over, read as typed."""
    value = round(abs(typed_in) / unit_in, 4)
    places = max(_places(value), _places(resolution_in / unit_in))
    digits = f"{value:.{places}f}".replace(".", "")
    sign = -1.0 if typed_in < 0 else 1.0
    values = []
    for i in range(len(digits) - 1):
        turned = digits[:i] + digits[i + 1] + digits[i] + digits[i + 2 :]
        if turned != digits:
            values.append(sign * int(turned) / 10**places * unit_in)
    return values


def _places(value: float) -> int:
    """Decimal places needed to write the value (at most 4)."""
    return next((p for p in range(4) if isclose(value, round(value, p), abs_tol=5e-5)), 4)
