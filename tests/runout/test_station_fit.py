"""One station: the fit, its interval, and what it refuses."""

from __future__ import annotations

import math

import numpy as np
import pytest

from core.base.errors import BadReadings
from core.runout.harmonics import Priors, evidence, harmonics, prepare, shares
from core.runout.readings import QuickReading
from core.runout.station_fit import fit_quick, fit_station
from core.runout.swing import full_turn
from tests.bench.tir_coverage import Trials, coverage

EIGHT = np.radians(np.arange(0, 360, 45))
PARTIAL = np.radians(np.arange(0, 226, 25))


def curve(clock: np.ndarray, *theta_thou: float) -> np.ndarray:
    return harmonics(clock) @ (np.array(theta_thou) / 1000)


@pytest.mark.parametrize("clock", [EIGHT, PARTIAL], ids=["full", "partial"])
def test_perfect_readings_give_the_vector_back(clock: np.ndarray) -> None:
    fit = fit_station(clock, curve(clock, 3, 4, -5, 0, 0, 0, 0), resolution_in=0.0001)
    assert fit.ecc_in == pytest.approx([0.004, -0.005], abs=1e-9)
    assert fit.mean_in == pytest.approx(0.003, abs=1e-9)
    assert fit.tir_in == pytest.approx(2 * math.hypot(0.004, 0.005), abs=1e-9)
    assert fit.high_spot_rad == pytest.approx(math.atan2(-5, 4) % (2 * math.pi))
    assert fit.tir_low_in < fit.tir_in < fit.tir_high_in
    assert fit.slips == ()
    assert np.abs(fit.residual_in).max() < 1e-9


def test_shown_tir_is_what_the_dial_showed() -> None:
    reading = curve(EIGHT + 0.3, 0, 10, 0, 0, 0, 0, 0)
    fit = fit_station(EIGHT, reading, resolution_in=0.0001)
    assert fit.shown_tir_in == pytest.approx(np.ptp(reading))
    assert fit.tir_in == pytest.approx(0.020, abs=1e-6)
    assert fit.shown_tir_in < fit.tir_in


def test_ovality_is_told_from_the_bend() -> None:
    reading = curve(np.radians(np.arange(0, 360, 22.5)), 0, 5, 0, 0.6, -0.8, 0, 0)
    fit = fit_station(np.radians(np.arange(0, 360, 22.5)), reading, resolution_in=0.0001)
    assert fit.ecc_in == pytest.approx([0.005, 0], abs=1e-6)
    assert fit.ovality_in == pytest.approx(0.001, rel=0.05)
    assert math.cos(2 * fit.ovality_rad) == pytest.approx(0.6, abs=0.01)
    whole = full_turn(np.array([[5, 0, 0.6, -0.8, 0, 0]]) / 1000)[0]
    assert fit.tir_in == pytest.approx(whole, rel=0.01)
    assert fit.bend_tir_in == pytest.approx(0.010, abs=1e-6)
    assert fit.tir_in > fit.bend_tir_in + 0.0005
    assert fit.out_of_round_in == pytest.approx(0.002, rel=0.05)


def test_swing_of_a_known_curve() -> None:
    grid = np.linspace(0, 2 * np.pi, 200001)
    for theta in ((0, 5, 2, 1, -1, 0.5, 0.3), (1, 0, 0, 1, 0, 0, 0), (0, 100, 30, 0.1, 0, 0, 0)):
        assert full_turn(np.array([theta[1:]], float))[0] == pytest.approx(
            np.ptp(harmonics(grid) @ np.array(theta, float)), rel=1e-7
        )


def test_more_readings_sharpen_like_the_square_root() -> None:
    def sigma(marks: int) -> float:
        clock = np.linspace(0, 2 * np.pi, marks, endpoint=False)
        return fit_station(
            clock, 0 * clock, resolution_in=0.0, repeatability_in=0.0003
        ).ecc_sigma_in

    assert sigma(16) / sigma(64) == pytest.approx(2.0, rel=0.01)
    assert sigma(16) == pytest.approx(0.0003 * math.sqrt(2 / 16), rel=0.01)


def test_partial_roll_is_less_certain() -> None:
    full = fit_station(EIGHT, curve(EIGHT, 0, 4, 0, 0, 0, 0, 0), resolution_in=0.0005)
    half = np.radians(np.arange(0, 181, 22.5))
    part = fit_station(half, curve(half, 0, 4, 0, 0, 0, 0, 0), resolution_in=0.0005)
    assert part.ecc_sigma_in > 2 * full.ecc_sigma_in
    width = [f.bend_tir_high_in - f.bend_tir_low_in for f in (part, full)]
    assert width[0] > 1.5 * width[1]


def test_interval_never_goes_below_zero_and_holds_the_estimate() -> None:
    rng = np.random.default_rng(2)
    for _ in range(50):
        reading = np.round(rng.normal(0, 0.0003, 8) / 0.0005) * 0.0005
        fit = fit_station(EIGHT, reading, resolution_in=0.0005)
        assert 0 <= fit.tir_low_in <= fit.tir_in <= fit.tir_likely_in <= fit.tir_high_in
        assert 0 <= fit.bend_tir_low_in <= fit.bend_tir_in <= fit.bend_tir_high_in


@pytest.mark.slow
@pytest.mark.parametrize("tir_thou", [0.5, 200.0])
@pytest.mark.parametrize("roll", [(180, 22.5), (315, 45)])
def test_interval_is_right_about_95_times_in_100(
    tir_thou: float, roll: tuple[float, float]
) -> None:
    trials = Trials(tir_in=tir_thou / 1000, roll=roll)
    whole, bend = coverage(250, 11, trials)
    # 95 % less three binomial standard deviations; the programs in tests/bench are sharper.
    assert bend.right > 0.905
    assert whole.right > (0.905 if roll[0] >= 270 else 0.88)


def test_a_clock_is_known_only_when_the_vector_is_clear_of_the_noise() -> None:
    def known(tir_thou: float, seed: int) -> bool:
        noise = np.random.default_rng(seed).normal(0, 0.0002, 8)
        reading = tir_thou / 2000 * np.cos(EIGHT - 1) + noise
        return fit_station(
            EIGHT, reading, resolution_in=0.0005, repeatability_in=0.0002
        ).high_spot_known

    assert sum(known(0.0, seed) for seed in range(100)) <= 10
    assert all(known(2.0, seed) for seed in range(100))


def test_noise_unknown_is_learnt_from_the_residuals() -> None:
    rng = np.random.default_rng(5)
    clock = np.linspace(0, 2 * np.pi, 48, endpoint=False)
    for sigma in (0.0001, 0.0008):
        reading = 0.01 * np.cos(clock) + rng.normal(0, sigma, clock.size)
        fit = fit_station(clock, reading, resolution_in=0.0001)
        assert fit.repeatability_in == pytest.approx(sigma, rel=0.4)


def test_unknown_noise_is_a_mixture() -> None:
    rng = np.random.default_rng(9)
    reading = curve(EIGHT, 0, 4, -1, 0, 0, 0, 0) + rng.normal(0, 0.0003, 8)
    marks = prepare(tuple(EIGHT.tolist()), 0.0005, None, Priors())
    share = shares(evidence(marks, reading))
    assert share.sum() == pytest.approx(1.0)
    each = np.array([gain @ reading for gain in marks.gain])
    mean = sum(w * t for w, t in zip(share, each, strict=True))
    cov = sum(
        w * (c + np.outer(t - mean, t - mean))
        for w, c, t in zip(share, marks.cov_in2, each, strict=True)
    )
    fit = fit_station(EIGHT, reading, resolution_in=0.0005)
    assert fit.theta_in == pytest.approx(mean, abs=1e-12)
    assert fit.ecc_cov_in2 == pytest.approx(cov[1:3, 1:3], rel=1e-9)
    assert fit.oval_cov_in2 == pytest.approx(cov[3:5, 3:5], rel=1e-9)


def test_closing_mark_measures_drift() -> None:
    reading = curve(EIGHT, 0, 4, 0, 0, 0, 0, 0)
    fit = fit_station(EIGHT, reading, resolution_in=0.0005, closing_in=float(reading[0]) - 0.003)
    assert fit.drift_in == pytest.approx(-0.003)
    assert fit_station(EIGHT, reading, resolution_in=0.0005).drift_in is None


@pytest.mark.parametrize(
    ("clock", "reading", "says"),
    [
        ([], [], "blocked"),
        ([0, 1, 2, 3], [0, 0, 0, 0], "5 different marks"),
        ([0, 1, 2, 3, 0, 1, 2, 3], [0] * 8, "here 4"),
        ([0, 1, 2], [0, 0], "as many clocks"),
        ([0, 1, 2, 3, 4], [0, 0, 0, 0, math.nan], "not a number"),
        ([0, 1, 2, 3, math.inf], [0, 0, 0, 0, 0], "not a number"),
        ([0, 1, 2, 3, 4], [0, 0, 0, 0, 1e9], "more than any dial"),
        ([0.01 * k for k in range(361)], [0] * 361, "too many"),
    ],
)
def test_refused(clock: list[float], reading: list[float], says: str) -> None:
    with pytest.raises(BadReadings, match=says):
        fit_station(clock, reading, resolution_in=0.0005)


@pytest.mark.parametrize(("resolution", "repeat"), [(-1, None), (math.nan, None), (0.0005, -1)])
def test_dial_figures_refused(resolution: float, repeat: float | None) -> None:
    with pytest.raises(BadReadings, match="Resolution"):
        fit_station(EIGHT, 0 * EIGHT, resolution_in=resolution, repeatability_in=repeat)


def test_a_perfect_dial_is_not_a_crash() -> None:
    fit = fit_station(EIGHT, 0 * EIGHT, resolution_in=0.0, repeatability_in=0.0)
    assert fit.tir_in == 0.0
    assert math.isfinite(fit.tir_high_in)


def test_quick_way() -> None:
    fit = fit_quick(QuickReading(0.012, math.radians(30)), resolution_in=0.0005)
    assert fit.ecc_in == pytest.approx(0.006 * np.array([math.cos(math.pi / 6), 0.5]))
    assert fit.tir_in == fit.bend_tir_in == fit.shown_tir_in == 0.012
    assert fit.quick
    assert fit.tir_low_in < 0.012 < fit.tir_high_in
    # Along the high spot the swing tells; across it the clock found by hand does.
    across = np.array([-0.5, math.cos(math.pi / 6)])
    assert across @ fit.ecc_cov_in2 @ across > (0.006 * math.radians(10)) ** 2 * 0.99
    noise = math.sqrt(0.0002**2 + 0.0005**2 / 12)
    fit = fit_quick(QuickReading(0.012, 0.0), resolution_in=0.0005, repeatability_in=0.0002)
    assert fit.tir_high_in - 0.012 == pytest.approx(1.96 * math.sqrt(2) * noise)
    assert fit.ecc_cov_in2[0, 0] == pytest.approx(noise**2 / 2)
    assert fit.ecc_sigma_in**2 == pytest.approx(np.trace(fit.ecc_cov_in2) / 2)
    assert fit.theta_in.shape == (7,)
    near_zero = fit_quick(QuickReading(0.0, 0.0), resolution_in=0.0005)
    assert near_zero.tir_low_in == near_zero.bend_tir_low_in == 0.0
    with pytest.raises(BadReadings, match="negative"):
        fit_quick(QuickReading(-0.001, 0.0), resolution_in=0.0005)
    with pytest.raises(BadReadings):
        fit_quick(QuickReading(math.nan, 0.0), resolution_in=0.0005)
