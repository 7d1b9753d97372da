"""Wear lines against scipy.stats.linregress, and the band of the line by scipy alone."""

from __future__ import annotations

import math

import numpy as np
import pytest
import scipy

from core.base.student import student_quantile
from core.fitting.shaft.wear import Miked, wear_of

YEARS = (0.0, 1.7, 3.4, 5.0, 6.0, 8.2)
DIAMETERS_IN = (1.7495, 1.7471, 1.7462, 1.7440, 1.7433, 1.7412)
LEAST_IN = 1.7350


def taken() -> list[Miked]:
    return [Miked(t, d) for t, d in zip(YEARS, DIAMETERS_IN, strict=True)]


def test_rate_and_its_interval_are_those_of_plain_least_squares() -> None:
    # scipy.stats.linregress: slope and its standard error; scipy.stats.t for the edge.
    line = scipy.stats.linregress(YEARS, DIAMETERS_IN)
    found = wear_of(taken(), mike_worth=0.0)
    assert found.rate_in == pytest.approx(-line.slope, rel=1e-9)
    half = scipy.stats.t.ppf(0.975, len(YEARS) - 2) * line.stderr
    assert found.rate_u95_in == pytest.approx(half, rel=3e-3)


def test_least_diameter_is_reached_where_line_and_band_come_down_to_it() -> None:
    found = wear_of(taken(), mike_worth=0.0, least_in=LEAST_IN).reached
    assert found is not None
    assert found.latest_years is not None
    line = scipy.stats.linregress(YEARS, DIAMETERS_IN)
    assert line.intercept + line.slope * found.at_years == pytest.approx(LEAST_IN)
    # The textbook band of the mean of a regression line.
    n, middle = len(YEARS), np.mean(YEARS)
    spread = float(np.sum((np.array(YEARS) - middle) ** 2))
    s = line.stderr * math.sqrt(spread)
    edge = scipy.stats.t.ppf(0.975, n - 2)
    for at, side in ((found.earliest_years, -1), (found.latest_years, 1)):
        half = edge * s * math.sqrt(1 / n + (at - middle) ** 2 / spread)
        assert line.intercept + line.slope * at + side * half == pytest.approx(LEAST_IN, abs=5e-6)


@pytest.mark.parametrize(("freedom", "off"), [(3, 8e-3), (8, 2e-4), (11, 1e-4), (40, 1e-5)])
def test_edge_of_students_t(freedom: int, off: float) -> None:
    # scipy.stats.t
    assert student_quantile(freedom) == pytest.approx(scipy.stats.t.ppf(0.975, freedom), rel=off)
