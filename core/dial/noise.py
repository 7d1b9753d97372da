"""Repeatability of the readings, estimated from a whole sweep.

Every station's readings carry a few degrees of freedom more than its harmonics; pooled over the
sweep they tell how well a reading repeats. Each station's evidence for each noise value is that
of its best story, one odd reading allowed, and no station may weigh without bound: a sweep
with slips in it gives the same answer. Prior and grid: `core.dial.harmonics`.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence

import numpy as np

from core.dial.harmonics import (
    MOST_KEPT_MARKS,
    REPEATABILITY_GRID_IN,
    Array,
    Priors,
    log_prior_of_noise,
    log_sum,
    prepare,
)
from core.dial.slip_mends import RATE

_ODD = math.log(RATE / 0.1)
_MOST_SAY = 25.0
"""No station can speak against a noise value more strongly than this (natural logarithm)."""


_ROUNDER = (1.0, 0.4, 0.1)
"""Shares of the usual out-of-roundness among which the whole sweep may choose: on a shaft rounder
than usual the harmonics would otherwise take part of the noise for themselves."""


def pooled_repeatability_in(
    stations: Iterable[tuple[Sequence[float], Sequence[float]]],
    *,
    resolution_in: float,
    priors: Priors | None = None,
    least_marks: int = 5,
) -> float:
    """Standard deviation of a repeated reading, inches, without the rounding of the dial.

    `stations` are pairs of clocks (radians) and readings (inches). Stations with fewer than
    `least_marks` readings are passed over; with none left the prior's figure comes back.
    """
    grid = np.array(REPEATABILITY_GRID_IN)
    usual = priors or Priors()
    scaled = [
        Priors(usual.ovality_in * oval, usual.lobes_in * lobes)
        for oval in _ROUNDER
        for lobes in _ROUNDER
    ]
    total = np.zeros((len(scaled), grid.size)) + log_prior_of_noise(grid)
    for clock, reading in stations:
        if len(clock) >= least_marks:
            values = np.asarray(reading, float)
            # So many readings leave the harmonics no room to take the noise for themselves.
            among = scaled if len(clock) <= MOST_KEPT_MARKS else [usual]
            said = np.array([_station(clock, values, resolution_in, p) for p in among])
            total = total + np.maximum(said - said.max(), -_MOST_SAY)
    return _peak(np.log(grid), log_sum(total))


def _station(clock: Sequence[float], reading: Array, resolution_in: float, priors: Priors) -> Array:
    """Log evidence (G,) of one station for each noise value, prior of the noise left out.

    Priors of another width are weighed fairly: the width of each harmonic's two components counts.
    """
    marks = prepare(tuple(float(c) for c in clock), resolution_in, None, priors)
    pull = marks.precision @ reading
    base = marks.log_base - 0.5 * (pull @ reading)
    one_odd = base[:, None] + 0.5 * pull**2 / marks.own + 0.5 * np.log(2 * np.pi / marks.own) + _ODD
    stories = np.concatenate([base[:, None], one_odd], axis=1).T
    width = 2 * math.log(priors.ovality_in) + 2 * math.log(priors.lobes_in)
    return log_sum(stories) - log_prior_of_noise(marks.repeatability_in) - width


def _peak(log_grid: Array, height: Array) -> float:
    """Where a curve on an even grid is highest, by a parabola through the top three."""
    top = min(max(int(height.argmax()), 1), height.size - 2)
    left, mid, right = height[top - 1 : top + 2]
    bend = left - 2 * mid + right
    shift = 0.5 * (left - right) / bend if bend < 0 else 0.0
    step = log_grid[1] - log_grid[0]
    return float(np.exp(log_grid[top] + step * np.clip(shift, -1.0, 1.0)))
