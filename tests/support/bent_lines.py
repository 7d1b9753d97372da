"""Lines of simulated shafts that the tests of straightening share."""

from __future__ import annotations

import numpy as np

from core.demo.simulate import TrueBend, TrueShaft
from core.runout.line import ShaftLine

ROLLERS = (12.0, 108.0)
STATIONS = np.array(list(np.arange(3.0, 120.0, 6.0)))
SIGMA = 0.000125
EXACT = {"scatter": 0.0, "clock_sigma_rad": 0.0, "placing_sigma_in": 0.0}
TWO = TrueShaft(120.0, bends=(TrueBend(40.3, (0.006, 0.0)), TrueBend(77.8, (-0.001, 0.005))))


def line_of(shaft: TrueShaft, seed: int = 0, sigma: float = SIGMA) -> ShaftLine:
    noise = np.random.default_rng(seed).normal(0, sigma, (STATIONS.size, 2)) if sigma else 0.0
    ecc = shaft.centre_in(STATIONS, ROLLERS) + noise
    return ShaftLine(STATIONS, ecc, np.full(STATIONS.size, sigma or 1e-5), np.array(ROLLERS))


def read(shaft: TrueShaft, station_in: tuple[float, ...], seed: int = 1) -> np.ndarray:
    noise = np.random.default_rng(seed).normal(0, SIGMA, (len(station_in), 2))
    return shaft.centre_in(station_in, ROLLERS) + noise
