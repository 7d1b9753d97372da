"""Hold check: two sweeps of one state."""

from __future__ import annotations

import numpy as np
import pytest

from core.dial.sweep_fit import fit_sweep
from core.errors import BadShaft
from core.hold import compare_sweeps
from core.shaftline import ShaftLine
from core.simulate import TrueBend, TrueShaft, read_sweep

ROLLERS = (20.0, 100.0)
STATIONS = list(range(3, 120, 6))
EIGHT = np.radians(np.arange(0, 360, 45))


def line(kappa: float, seed: int, rollers: tuple[float, float] = ROLLERS) -> ShaftLine:
    shaft = TrueShaft(120.0, bends=(TrueBend(60, (kappa, 0.001)),))
    rng = np.random.default_rng(seed)
    return fit_sweep(read_sweep(shaft, rollers, STATIONS, EIGHT, rng=rng)).line


def test_held_shafts_are_called_held_19_times_in_20() -> None:
    held = [compare_sweeps(line(0.001, s), line(0.001, 1000 + s)).word for s in range(40)]
    assert held.count("held") >= 35


def test_moved_says_where_how_much_and_which_way() -> None:
    check = compare_sweeps(line(0.001, 1), line(0.0012, 2))
    assert check.word == "moved"
    assert check.worst.station_in == pytest.approx(60, abs=6)
    # 0.2 mrad at mid span of 80 in: 0.0002 * 40 * 40 / 80 = 4 thou, to the high side (-kappa).
    assert check.worst.moved_in == pytest.approx(0.004, abs=0.0008)
    assert check.worst.low_in < 0.004 < check.worst.high_in
    assert np.cos(check.worst.toward_rad) < -0.95
    assert check.worst.real
    assert check.worst.tir_change_in > 0.004
    assert "Moved" in check.words


def test_interval_of_a_move_far_from_zero_is_two_sigma() -> None:
    x = np.array([10.0, 40.0, 60.0, 80.0])
    sigma, supports = np.full(4, 1e-4), np.array([20.0, 100.0])
    still = ShaftLine(x, np.zeros((4, 2)), sigma, supports)
    step = np.zeros((4, 2))
    step[2] = [0.003, 0.004]
    check = compare_sweeps(still, ShaftLine(x, step, sigma, supports))
    assert check.worst.moved_in == pytest.approx(0.005)
    half = 1.96 * 1e-4 * np.sqrt(2)
    assert check.worst.low_in == pytest.approx(0.005 - half, abs=3e-6)
    assert check.worst.high_in == pytest.approx(0.005 + half, abs=3e-6)
    assert [move.real for move in check.moves] == [False, False, True, False]
    # Four stations, 2.5 % for all of them: chi squared of 2 at 0.00625 is 10.15.
    assert check.could_hide_in == pytest.approx(np.sqrt(10.15 * 2) * 1e-4, rel=1e-3)


def test_held_says_what_could_hide() -> None:
    check = compare_sweeps(line(0.001, 1), line(0.001, 2))
    assert check.word == "held"
    assert 0.0003 < check.could_hide_in < 0.002
    assert check.words.startswith("Held")
    assert len(check.moves) == len([s for s in STATIONS if min(abs(s - r) for r in ROLLERS) > 0.25])


def test_a_drift_of_the_whole_shaft_too_small_for_any_station_is_seen() -> None:
    a = line(0.001, 1)
    step = np.tile([0.00035, 0.0], (a.station_in.size, 1))
    still = ShaftLine(a.station_in, a.ecc_in, a.sigma_in, a.rollers_in, a.cov_in2)
    moved = ShaftLine(a.station_in, a.ecc_in + step, a.sigma_in, a.rollers_in, a.cov_in2)
    check = compare_sweeps(still, moved)
    assert not any(move.real for move in check.moves)
    assert check.word == "moved"


def test_rollers_elsewhere_the_second_time() -> None:
    assert compare_sweeps(line(0.001, 1), line(0.001, 2, (27.0, 93.0))).word == "held"


def test_nothing_in_common() -> None:
    a = line(0.001, 1)
    other = ShaftLine(a.station_in + 1.0, a.ecc_in, a.sigma_in, a.rollers_in, a.cov_in2)
    with pytest.raises(BadShaft, match="no station in common"):
        compare_sweeps(a, other)
