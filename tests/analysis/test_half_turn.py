"""The half-turn test finds what wheels of the shaft's own diameter add, and takes it off."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from core.analysis.half_turn import StationTwice, WheelOffset, half_turn, half_turn_test
from core.base.errors import BadShaft
from core.runout.readings import StationReadings, SweepReadings
from core.runout.sweep_fit import fit_sweep
from tests.bench.world.kinds import eccentric, make

ROLLERS = (12.0, 84.0)
COV = np.eye(2) * 0.00014**2
FALSE_IN = np.array([[0.0004, -0.0002], [-0.0001, 0.0006]])


def twice(x: float, own: tuple[float, float], noise: np.ndarray) -> StationTwice:
    share = (x - 12) / 72
    wheels = (1 - share) * FALSE_IN[0] + share * FALSE_IN[1]
    return StationTwice(x, own + wheels + noise[0], COV, own - wheels + noise[1], COV)


def test_both_pairs_from_two_stations() -> None:
    still = np.zeros((2, 2))
    found = half_turn(ROLLERS, [twice(3.0, (0.01, 0), still), twice(93.0, (0, -0.02), still)])
    assert found.offset_in == pytest.approx(FALSE_IN)


def test_its_interval_holds_the_truth_19_times_in_20() -> None:
    rng = np.random.default_rng(5)
    inside = []
    for _ in range(400):
        noise = rng.normal(0, 0.00014, (2, 2, 2))
        found = half_turn(
            ROLLERS, [twice(3.0, (0.01, 0), noise[0]), twice(93.0, (0, -0.02), noise[1])]
        )
        inside.append(np.abs(found.offset_in - FALSE_IN) <= found.u95_in[:, None])
    assert np.mean(inside) == pytest.approx(0.95, abs=0.02)


def test_two_stations_close_together_are_refused() -> None:
    still = np.zeros((2, 2))
    with pytest.raises(BadShaft, match="far apart"):
        half_turn(ROLLERS, [twice(40.0, (0, 0), still), twice(46.0, (0, 0), still)])
    with pytest.raises(BadShaft, match="far apart"):
        half_turn(ROLLERS, [])


def swept(rig, stations) -> SweepReadings:  # type: ignore[no-untyped-def]
    read = [StationReadings(s.station_in, s.clock_rad, s.reading_in) for s in rig.read(stations)]
    return SweepReadings(tuple(read), rig.setup.told_in)


def found_by_test(index: int) -> tuple[np.ndarray, np.ndarray, WheelOffset]:
    """True line, and worst error of the line before and after the correction (thou)."""
    rng = np.random.default_rng(index)
    world = eccentric(rng, make("zone0", 31, index), 0.0008, 1.0)
    rig = world.rig()
    sweep = swept(rig, world.setup.stations_in)
    for pair in (0, 1):
        rig.turn_wheel(pair, 0)
        rig.turn_wheel(pair, 1)
    listed = world.setup.stations_in
    found = half_turn_test(sweep, swept(rig, (listed[0], listed[-1])))
    before = fit_sweep(sweep)
    line = fit_sweep(replace(sweep, wheels=found.part)).line
    truth = world.shaft.centre_in(line.station_in, world.setup.rollers_in)
    return np.abs(before.line.ecc_in - truth), np.abs(line.ecc_in - truth), found


def test_the_correction_brings_the_line_to_the_truth() -> None:
    results = [found_by_test(index) for index in range(6)]
    plain, corrected = (np.mean([np.sqrt((r[k] ** 2).mean()) for r in results]) for k in (0, 1))
    assert plain > 0.00025
    assert corrected < 0.6 * plain
    assert all(any(found.found) for _, _, found in results)
    assert "TIR at" in results[0][2].words


def test_true_wheels_are_said_to_be_so() -> None:
    found = WheelOffset(ROLLERS, np.zeros((2, 2)), np.eye(4) * 1e-8)
    assert found.words == "The half-turn test shows no eccentric wheel."
