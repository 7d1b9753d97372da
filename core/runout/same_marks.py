"""Two sweeps of one shaft read at the same marks: the change at each station, mark by mark.

The second reading of a mark less the first is free of the shaft's out-of-roundness, of scratches
and of uneven chalk marks: all of that is the same both times. A change of
eccentricity d then leaves ``difference(t) = c + d.u(t) + noise``, and what remains
beyond those three figures is noise alone, pooled over the shaft: n - 3 degrees of freedom a
station, exactly, so that the test of a change is an F test (textbook least squares).

Not modelled: a dial set at another place the second time.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from core.runout.harmonics import LEAST_NOISE_IN, TURN, Array
from core.runout.readings import LEAST_MARKS, StationReadings

SAME_MARK_RAD = TURN / 3600
WORST_CONDITION = 1e4
"""Condition number above which the marks are too badly placed to show a change."""


@dataclass(frozen=True, eq=False)
class MarkChange:
    """Change of eccentricity at one station."""

    step_in: Array
    """(2,) after less before, inches."""
    shape: Array
    """(2, 2) its covariance for differences of unit variance."""
    left_in2: float
    """Sum of squares that the change does not explain, inches squared."""
    freedom: int
    """Degrees of freedom of that."""


def change_at(
    before: StationReadings,
    after: StationReadings,
    aside_before: Sequence[int] = (),
    aside_after: Sequence[int] = (),
) -> MarkChange | None:
    """The change at one station; None when fewer than `LEAST_MARKS` marks were read both times.

    `aside_before`, `aside_after` : indices of readings set aside as slips.
    """
    first, second = _by_mark(before, aside_before), _by_mark(after, aside_after)
    common = sorted(first.keys() & second.keys())
    if len(common) < LEAST_MARKS:
        return None
    clock = np.array([first[mark][0] for mark in common])
    rise = np.array([second[mark][1] - first[mark][1] for mark in common])
    design = np.column_stack([np.ones(clock.size), np.cos(clock), np.sin(clock)])
    normal = design.T @ design
    if np.linalg.cond(normal) > WORST_CONDITION:
        return None
    shape = np.linalg.inv(normal)
    found = shape @ (design.T @ rise)
    left = rise - design @ found
    return MarkChange(found[1:], shape[1:, 1:], float(left @ left), clock.size - 3)


def difference_noise(changes: Sequence[MarkChange], resolution_in: float) -> tuple[float, float]:
    """Variance of one difference, inches squared, and the degrees of freedom it rests on.

    Never less than two roundings to the graduation leave: marks that happen to round alike both
    times would otherwise pass for readings without noise.
    """
    freedom = sum(change.freedom for change in changes)
    found = sum(change.left_in2 for change in changes) / max(freedom, 1)
    least = 2 * max(resolution_in**2 / 12, LEAST_NOISE_IN**2)
    return max(found, least), float(freedom)


def _by_mark(station: StationReadings, aside: Sequence[int]) -> dict[int, tuple[float, float]]:
    """Clock and reading by mark, to a tenth of a degree; of a mark read twice the last."""
    found = {}
    pairs = zip(station.clock_rad, station.reading_in, strict=True)
    for index, (clock, reading) in enumerate(pairs):
        if index not in aside and math.isfinite(reading):
            found[round(clock / SAME_MARK_RAD) % 3600] = (clock, reading)
    return found
