"""The curve drawn round a station, and what the quick look at hits says of one far too strong."""

from __future__ import annotations

import numpy as np
import pytest

from core.bends.shapes import lift
from core.runout.curve import station_curve
from core.runout.readings import QuickReading
from core.runout.station_fit import fit_quick, fit_station
from core.straightening.doubts import doubts
from core.straightening.plan import PlannedHit
from tests.support.bent_lines import ROLLERS, STATIONS, TWO, line_of

EIGHT = np.arange(8) * np.pi / 4


def test_the_curve_runs_through_readings_without_noise() -> None:
    reading = 0.001 + 0.004 * np.cos(EIGHT - 1.0) + 0.0003 * np.cos(2 * EIGHT)
    fit = fit_station(EIGHT, reading, resolution_in=0.0, repeatability_in=0.00001)
    points = station_curve(fit, 8)
    assert [clock for clock, _ in points] == pytest.approx(EIGHT.tolist())
    assert [value for _, value in points] == pytest.approx(reading.tolist(), abs=2e-6)


def test_a_quick_station_is_drawn_as_its_circle() -> None:
    fit = fit_quick(QuickReading(0.010, 2.0), resolution_in=0.0005)
    clock, value = np.array(station_curve(fit)).T
    assert clock.size == 72
    assert np.ptp(value) == pytest.approx(0.010, rel=1e-3)
    assert value == pytest.approx(0.005 * np.cos(clock - 2.0))


@pytest.mark.parametrize(("station_in", "places"), [(111.0, (117.0,)), (60.0, (51.0, 63.0))])
def test_a_hit_far_too_strong_is_told_with_how_much_it_took_out(
    station_in: float, places: tuple[float, ...]
) -> None:
    """2.6 times what was planned, by the shape a hit has: of 6 in of lever beyond the hit all
    six count."""
    line = line_of(TWO, sigma=0.0)
    hit = PlannedHit(station_in, np.array([0.004, 0.0]))
    index = np.searchsorted(STATIONS, places)
    at = np.array([station_in])
    shape = lift(STATIONS[index], at, at, np.array(ROLLERS))
    found = line.ecc_in[index] - 2.6 * shape * hit.kappa_rad
    (said,) = doubts(line, [hit], places, found, 0.00001)
    assert "took out 2.6 times what was planned" in said
