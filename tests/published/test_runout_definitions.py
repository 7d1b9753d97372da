"""What the dial shows of a section that is eccentric and out of round, against published relations.

TIR is the full movement of the indicator over one turn, roundness and coaxiality of the section
together (circular run-out, ISO 1101; full indicator movement, ASME Y14.5: from memory). The figures
below are derived in the reference set: closed form, no printed table; the row of the 90 degree vee
equals the table remembered from ISO 4292.
"""

from __future__ import annotations

import numpy as np
import pytest

from core.runout.station_fit import fit_station
from core.runout.swing import full_turn
from tests.bench.world.rig import Rig, Setup, Wheel
from tests.bench.world.shaft import Roundness, Shaft

ROLLERS = (20.0, 80.0)

# Reading e cos t + a cos 2 (t - p): a / e, p in degrees, TIR / e.
SWINGS = [
    (0.0, 0, 2.0),
    (0.25, 0, 2.0),
    (0.25, 45, 2.2018),
    (0.5, 0, 2.25),
    (0.5, 45, 2.5981),
    (1.0, 0, 3.125),
    (1.0, 45, 3.5203),
]
# Reading over profile amplitude by number of lobes, dial on the bisector of a vee or two wheels:
# 1 + (-1)^n cos(n g) / cos(g), g = 90 degrees less half the vee.
FACTORS = {60: {2: 0.0, 3: 3.0}, 90: {2: 1.0, 3: 2.0}, 120: {2: 1.577, 3: 1.0}}


@pytest.mark.parametrize(("oval", "at_deg", "tir"), SWINGS)
def test_swing_of_eccentricity_and_ovality(oval: float, at_deg: float, tir: float) -> None:
    twice = 2 * np.radians(at_deg)
    theta = np.array([[1.0, 0.0, oval * np.cos(twice), oval * np.sin(twice), 0.0, 0.0]])
    assert full_turn(theta)[0] == pytest.approx(tir, abs=6e-5)


@pytest.mark.parametrize(("oval", "at_deg", "tir"), SWINGS)
def test_the_fit_of_a_station_shows_that_swing(oval: float, at_deg: float, tir: float) -> None:
    clock = np.radians(np.arange(0, 360, 15))
    reading = 0.001 * (np.cos(clock) + oval * np.cos(2 * (clock - np.radians(at_deg))))
    fit = fit_station(clock, reading, resolution_in=1e-5, repeatability_in=1e-5)
    assert fit.tir_in == pytest.approx(0.001 * tir, rel=2e-3)
    assert fit.bend_tir_in == pytest.approx(0.002, rel=1e-6)
    assert fit.tir_low_in <= 0.001 * tir <= fit.tir_high_in


@pytest.mark.parametrize("vee_deg", FACTORS)
@pytest.mark.parametrize("lobes", [1, 2, 3])
def test_a_bar_read_at_its_own_support_shows_lobes_by_the_vee(vee_deg: int, lobes: int) -> None:
    off = np.radians(90 - vee_deg / 2)
    wheels = (Wheel(np.pi - off), Wheel(np.pi + off))
    none, some = np.zeros((1, 2)), np.array([[0.0005, 0.0]])
    shape = Roundness(np.zeros(1), some if lobes == 2 else none, some if lobes == 3 else none)
    setup = Setup(ROLLERS, ROLLERS, (20.0,), 16, 0.0, 0.0, wheels=(wheels, wheels))
    (station,) = Rig(Shaft(100.0, (), shape), setup, np.random.default_rng(1)).read([ROLLERS[0]])
    fit = fit_station(
        station.clock_rad, station.reading_in, resolution_in=1e-5, repeatability_in=1e-5
    )
    factor = 0.0 if lobes == 1 else FACTORS[vee_deg][lobes]
    shown = {1: fit.bend_tir_in / 2, 2: fit.ovality_in, 3: float(np.hypot(*fit.lobes_in))}[lobes]
    assert shown == pytest.approx(0.0005 * factor, abs=2e-6)
