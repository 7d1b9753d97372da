"""A station read the quick way: the doubt of swing and high spot, in closed form."""

from __future__ import annotations

import math

import numpy as np
import pytest

from core.runout.readings import QuickReading
from core.runout.station_fit import HIGH_SPOT_SIGMA_RAD, fit_quick

NOISE2 = 0.0003**2 + 0.0005**2 / 12


@pytest.mark.parametrize("tir_in", [0.0, 0.002, 0.020])
@pytest.mark.parametrize("high", [0.0, 2.0])
def test_doubt_along_and_across_the_high_spot(tir_in: float, high: float) -> None:
    """Half a difference of two readings: variance noise^2 / 2. Across, the arc of the clock too."""
    fit = fit_quick(QuickReading(tir_in, high), resolution_in=0.0005, repeatability_in=0.0003)
    along = np.array([math.cos(high), math.sin(high)])
    across = np.array([-along[1], along[0]])
    arc = tir_in / 2 * HIGH_SPOT_SIGMA_RAD
    assert fit.ecc_in == pytest.approx(tir_in / 2 * along)
    assert along @ fit.ecc_cov_in2 @ along == pytest.approx(NOISE2 / 2)
    assert across @ fit.ecc_cov_in2 @ across == pytest.approx(arc**2 + NOISE2 / 2)
    assert across @ fit.ecc_cov_in2 @ along == pytest.approx(0.0, abs=1e-15)


def test_upper_end_of_the_swing_is_that_of_a_difference_of_two_readings() -> None:
    fit = fit_quick(QuickReading(0.010, 1.0), resolution_in=0.0005, repeatability_in=0.0003)
    half = 1.96 * math.sqrt(2 * NOISE2)
    assert fit.tir_high_in == pytest.approx(0.010 + half)
    assert fit.tir_low_in == pytest.approx(0.010 - half), "the swing itself was read"
    assert fit.tir_in < fit.tir_likely_in < fit.tir_high_in
    assert 0.008 < fit.bend_tir_low_in < 0.010 - half, "part of the swing may be roundness"
    assert fit.bend_tir_in == 0.010
    assert fit.bend_tir_high_in == fit.tir_high_in
    small = fit_quick(QuickReading(0.0, 1.0), resolution_in=0.0005, repeatability_in=0.0003)
    assert small.tir_low_in == 0.0
