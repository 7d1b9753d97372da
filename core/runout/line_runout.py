"""How far each station of a line runs out: the full-turn TIR and its bend part, with intervals.

As measured, a station has exactly the figures of its own fit. Seen from other supports the chord
moves the centre of each section, while its ovality and lobes stay what they are.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from core.runout.intervals import tir_intervals
from core.runout.line import Array, ShaftLine
from core.runout.station_result import StationFit
from core.runout.swing import swings
from core.runout.verdict import Runout


def line_runouts(line: ShaftLine, fits: Sequence[StationFit] = ()) -> tuple[Runout, ...]:
    """Runout at each station of a line.

    `fits` : of the stations, in their order, when the line comes from readings; without them the
    sections are taken as round.
    """
    if fits and line.measured is None:
        return tuple(fit.runout for fit in fits)
    bend = round_runouts(line.ecc_in, line.covariance_in2)
    if not fits:
        return bend
    theta, cov = harmonics_on(line, fits)
    tir, around = swings(theta[None], cov[None], np.ones((1, len(fits))))
    return tuple(_whole(part, float(tir[n]), around[n].tolist()) for n, part in enumerate(bend))


def round_runouts(ecc_in: Array, cov_in2: Array) -> tuple[Runout, ...]:
    """Runout of round sections with eccentricities (n, 2) and covariances (n, 2, 2)."""
    size = 2 * np.hypot(ecc_in[:, 0], ecc_in[:, 1])
    low, high = tir_intervals(ecc_in[None], cov_in2[None], np.ones((1, size.size)))
    low, high = np.minimum(low, size), np.maximum(high, size)
    return tuple(
        Runout(tir, a, b, b, tir, a, b)
        for tir, a, b in zip(size.tolist(), low.tolist(), high.tolist(), strict=True)
    )


def harmonics_on(line: ShaftLine, fits: Sequence[StationFit]) -> tuple[Array, Array]:
    """Three harmonics (n, 6) of every station on a line and their covariances (n, 6, 6)."""
    theta = np.array([fit.theta_in[1:] for fit in fits])
    cov = np.array([fit.cov_in2 for fit in fits])
    if line.measured is None:
        return theta, cov
    theta[:, :2] = line.ecc_in
    own = np.ones(len(fits)) if line.own_share is None else line.own_share
    cov[:, :2, 2:] *= own[:, None, None]
    cov[:, 2:, :2] *= own[:, None, None]
    cov[:, :2, :2] = line.covariance_in2
    return theta, cov


def _whole(bend: Runout, tir_in: float, around: list[float]) -> Runout:
    low, likely, high = around
    return Runout(
        tir_in,
        max(0.0, min(low, tir_in)),
        max(high, tir_in),
        max(likely, tir_in),
        bend.bend_tir_in,
        bend.bend_low_in,
        bend.bend_high_in,
    )
