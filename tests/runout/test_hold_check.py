"""Hold check: two sweeps of one state."""

from __future__ import annotations

import numpy as np
import pytest

from core.base.dial_unit import show_dial_in
from core.base.errors import BadShaft
from core.demo.simulate import TrueBend, TrueShaft, read_sweep
from core.runout.hold_check import HoldCheck, Move, compare_readings, compare_sweeps
from core.runout.line import ShaftLine
from core.runout.readings import StationReadings, SweepReadings
from core.runout.sweep_fit import fit_sweep
from tests.bench.hold_check import called_moved

ROLLERS = (20.0, 100.0)
STATIONS = list(range(3, 120, 6))
EIGHT = np.radians(np.arange(0, 360, 45))


def line(kappa: float, seed: int, rollers: tuple[float, float] = ROLLERS) -> ShaftLine:
    shaft = TrueShaft(120.0, bends=(TrueBend(60, (kappa, 0.001)),))
    rng = np.random.default_rng(seed)
    return fit_sweep(read_sweep(shaft, rollers, STATIONS, EIGHT, rng=rng)).line


@pytest.mark.slow
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
    # Four stations, 1.5 % for all of them: chi squared of 2 at 0.00375 is 11.17.
    assert check.could_hide_in == pytest.approx(np.sqrt(11.17 * 2) * 1e-4, rel=1e-3)


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


@pytest.mark.slow
def test_repeatability_not_told_is_learnt_from_the_marks_read_twice() -> None:
    """On a shaft far out of round: 1 in 30 is expected to be called moved; 5 or more, 1 in 500."""
    assert called_moved(30, 8, 0.0004, 0.0003, 0.0, compare_readings) <= 4 / 30
    assert called_moved(4, 8, 0.0004, 0.0003, 0.002, compare_readings) == 1.0


def test_same_marks_make_the_change_free_of_lobes_no_prior_expects() -> None:
    """Four lobes of 2 thou alias into nothing else: what is left is a change of exactly nothing."""
    marks = tuple(np.radians([0, 40, 80, 120, 160, 200, 240]).tolist())  # a keyway blocks the rest
    sweeps = [
        sweep_of(marks, [0.002 * np.cos(4 * m) + shift for m in marks]) for shift in (0, 0.01)
    ]
    check = compare_readings(*sweeps)
    assert check.word == "held"
    assert max(move.moved_in for move in check.moves) < 1e-9


def test_a_reading_set_aside_as_a_slip_is_not_compared() -> None:
    marks = tuple(EIGHT.tolist())
    good = [0.004 * np.cos(m) for m in marks]
    slipped = [value + 0.100 * (k == 3) for k, value in enumerate(good)]
    assert compare_readings(sweep_of(marks, good), sweep_of(marks, slipped)).word == "held"


def test_other_marks_or_rollers_the_second_time_fall_back_on_the_lines() -> None:
    shaft = TrueShaft(120.0, bends=(TrueBend(60, (0.001, 0.001)),))
    rng = np.random.default_rng(5)
    first = read_sweep(shaft, ROLLERS, STATIONS, EIGHT, rng=rng)
    turned = read_sweep(shaft, ROLLERS, STATIONS, EIGHT + 0.4, rng=rng)
    elsewhere = read_sweep(shaft, (27.0, 93.0), STATIONS, EIGHT, rng=rng)
    for second in (turned, elsewhere):
        lines = compare_sweeps(fit_sweep(first).line, fit_sweep(second).line)
        told = compare_readings(first, second)
        assert [m.moved_in for m in told.moves] == [m.moved_in for m in lines.moves]
        assert told.word == "held"


def sweep_of(marks: tuple[float, ...], readings: list[float]) -> SweepReadings:
    """The same readings at six stations."""
    station = [StationReadings(float(x), marks, tuple(readings)) for x in range(30, 90, 10)]
    return SweepReadings(tuple(station), ROLLERS)


def test_words_in_the_unit_of_the_shop() -> None:
    move = Move(30.0, 0.002, 0.001, 0.003, 0.0, 0.004, True)
    moved = HoldCheck("moved", (move,), move, 0.0005)
    assert "2.0 thou" in moved.words
    show_dial_in("mm")
    assert "0.051 mm" in moved.words
