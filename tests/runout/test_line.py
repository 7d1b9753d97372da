"""The shaft line: zero at the supports, chords, uncertainty carried along."""

from __future__ import annotations

import numpy as np
import pytest

from core.base.errors import BadShaft
from core.runout.line import ShaftLine

X = np.array([6.0, 12, 18, 30, 42, 60, 78, 90, 102, 114])


def line_of(e: np.ndarray, sigma: float = 0.0001) -> ShaftLine:
    return ShaftLine(X, e, np.full(X.size, sigma), np.array([20.0, 100.0]))


def bent() -> ShaftLine:
    y = np.stack([0.004 * np.maximum(0, X - 40), -0.002 * np.maximum(0, X - 70)], axis=1)
    ends = np.array([[0, 0], [0.004 * 60, -0.002 * 30]])
    share = ((X - 20) / 80)[:, None]
    return line_of(y - (1 - share) * ends[0] - share * ends[1])


def test_tir_is_twice_the_eccentricity() -> None:
    line = line_of(np.tile([0.003, 0.004], (X.size, 1)))
    assert line.bend_tir_in == pytest.approx(np.full(X.size, 0.010))
    assert line.high_spot_rad == pytest.approx(np.full(X.size, np.arctan2(4, 3)))


def test_zero_at_the_new_supports() -> None:
    line = bent().referred_to(12.0, 102.0)
    assert line.ecc_in[[1, 8]] == pytest.approx(np.zeros((2, 2)), abs=1e-15)
    assert line.ecc_at(12.0) == pytest.approx([0, 0], abs=1e-15)
    assert line.rollers_in == pytest.approx([12.0, 102.0])


def test_a_straight_shaft_stays_straight_on_any_supports() -> None:
    # Seen from rollers away from its ends a straight line through zero is zero everywhere.
    line = line_of(np.zeros((X.size, 2)))
    assert line.referred_to(30.0, 60.0).ecc_in == pytest.approx(np.zeros((X.size, 2)))


def test_new_supports_show_the_bend_by_hand() -> None:
    # One corner of 4 mrad at 60 in, rollers at 20 and 100: e(60) = -0.004 * 40 * 40 / 80 = -0.08.
    e = 0.004 * np.maximum(0, X - 60) - 0.004 * 40 * (X - 20) / 80
    line = line_of(np.stack([e, 0 * e], axis=1))
    assert line.ecc_at(60.0)[0] == pytest.approx(-0.08)
    # Seen from 42 and 78, half the arms: e(60) = -0.004 * 18 * 18 / 36 = -0.036.
    assert line.referred_to(42, 78).ecc_in[5, 0] == pytest.approx(-0.036)


def test_back_again_is_the_measured_line_itself() -> None:
    line = bent()
    moved = line.referred_to(33.0, 95.0)
    assert moved.referred_to(20.0, 100.0) is line
    assert moved.referred_to(100.0, 20.0) is line
    assert moved.referred_to(12.0, 60.0).ecc_in == pytest.approx(line.referred_to(12, 60).ecc_in)


def test_the_supports_uncertainty_is_carried_to_every_station() -> None:
    moved = bent().referred_to(12.0, 102.0)
    assert moved.sigma_in[1] == pytest.approx(0.0, abs=1e-12)
    # Half way between two supports known to 0.1 thou: sqrt(1 + 1/4 + 1/4) times as uncertain.
    share = (60 - 12) / 90
    assert moved.sigma_in[5] == pytest.approx(1e-4 * np.sqrt(1 + share**2 + (1 - share) ** 2))
    # Overhang: farther than the support itself.
    assert moved.sigma_in[9] > moved.sigma_in[5]


def test_point_between_stations() -> None:
    line = bent()
    ecc, cov = line.point_at(36.0)
    assert ecc == pytest.approx((line.ecc_in[3] + line.ecc_in[4]) / 2)
    assert cov == pytest.approx(np.eye(2) * 1e-8 / 2)
    moved = line.referred_to(12.0, 102.0)
    assert moved.point_at(60.0)[0] == pytest.approx(moved.ecc_in[5])
    assert moved.point_at(60.0)[1] == pytest.approx(moved.covariance_in2[5])
    at_roller, spread = line.point_at(20.0)
    assert at_roller == pytest.approx([0, 0])
    assert spread == pytest.approx(np.zeros((2, 2)))


def test_refused() -> None:
    e = np.zeros((X.size, 2))
    sigma = np.full(X.size, 1e-4)
    with pytest.raises(BadShaft, match="one place"):
        ShaftLine(X, e, sigma, np.array([20.0, 20.0]))
    with pytest.raises(BadShaft, match="one place"):
        bent().referred_to(50, 50)
    with pytest.raises(BadShaft, match="outside"):
        bent().referred_to(50, 150)
    with pytest.raises(BadShaft, match="rise"):
        ShaftLine(X[::-1], e, sigma, np.array([20.0, 100.0]))
    with pytest.raises(BadShaft, match="eccentricity vector"):
        ShaftLine(X, e[:3], sigma, np.array([20.0, 100.0]))
    with pytest.raises(BadShaft, match="two roller"):
        ShaftLine(X, e, sigma, np.array([20.0]))
