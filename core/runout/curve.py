"""The fitted curve of one station as points all the way round, for drawing."""

from __future__ import annotations

import numpy as np

from core.runout.harmonics import TURN, harmonics
from core.runout.station_fit import StationFit


def station_curve(fit: StationFit, points: int = 72) -> tuple[tuple[float, float], ...]:
    """(clock, reading) pairs of the fitted curve, evenly spread over one turn.

    Clocks are radians from 0 up to 2 pi, readings inches. The curve is the harmonic model of
    `core.runout.harmonics` with the parameters of the fit; a station read the quick way gives the
    circle of its TIR and high spot.
    """
    clock = np.linspace(0, TURN, points, endpoint=False)
    theta = np.concatenate(([fit.mean_in], fit.ecc_in, fit.oval_in, fit.lobes_in))
    return tuple(zip(clock.tolist(), (harmonics(clock) @ theta).tolist(), strict=True))
