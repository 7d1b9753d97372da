"""Taking off a sweep what eccentric roller wheels of the shaft's own diameter add to it.

`core.analysis.half_turn` finds it. Source: geometry.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from core.runout.harmonics import TURN, Array
from core.runout.intervals import tir_intervals
from core.runout.readings import WheelPart
from core.runout.station_result import StationFit
from core.runout.swing import swings


def roller_shares(rollers_in: tuple[float, float], station_in: Array) -> Array:
    """(n, 2) share of each roller's movement that a station sees."""
    a, b = rollers_in
    along = (np.asarray(station_in, dtype=float) - a) / (b - a)
    return np.column_stack([1 - along, along])


def without_wheels(
    fits: Sequence[StationFit],
    station_in: Sequence[float],
    rollers_in: tuple[float, float],
    wheels: WheelPart,
) -> list[StationFit]:
    """The fits (n,) of a sweep with the part of its wheels taken off, its doubt added."""
    design = roller_shares(rollers_in, np.asarray(station_in, dtype=float))
    off = design @ np.array(wheels.offset_in)
    rows = np.einsum("na,ij->niaj", design, np.eye(2)).reshape(-1, 2, 4)
    doubt = rows @ np.array(wheels.cov_in2) @ rows.transpose(0, 2, 1)
    theta = np.array([fit.theta_in[1:] for fit in fits])
    cov = np.array([fit.cov_in2 for fit in fits])
    theta[:, :2] -= off
    cov[:, :2, :2] += doubt
    one = np.ones((1, len(fits)))
    low, high = tir_intervals(theta[None, :, :2], cov[None, :, :2, :2], one)
    tir, around = swings(theta[None], cov[None], one)
    found = []
    for n, fit in enumerate(fits):
        bend = 2 * float(np.hypot(*theta[n, :2]))
        least, likely, most = around[n].tolist()
        found.append(
            replace(
                fit,
                ecc_in=theta[n, :2],
                cov_in2=cov[n],
                tir_in=float(tir[n]),
                tir_low_in=max(min(least, float(tir[n])), 0.0),
                tir_likely_in=max(likely, float(tir[n])),
                tir_high_in=max(most, float(tir[n])),
                bend_tir_in=bend,
                bend_tir_low_in=min(float(low[n]), bend),
                bend_tir_high_in=max(float(high[n]), bend),
                high_spot_rad=math.atan2(theta[n, 1], theta[n, 0]) % TURN,
            )
        )
    return found
