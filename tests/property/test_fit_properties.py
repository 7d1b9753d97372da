"""Fits and lines: what must not depend on how the numbers were laid out."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from core.runout.harmonics import Priors, harmonics
from core.runout.hold_check import compare_sweeps
from core.runout.intervals import tir_interval
from core.runout.line import ShaftLine
from core.runout.plunger import FAR_OUT_IN
from core.runout.station_fit import fit_station
from core.runout.verdict import judge

seeds = st.integers(0, 10**6)
angles = st.floats(-10, 10)


def station(seed: int) -> tuple[np.ndarray, np.ndarray]:
    """Clocks and readings of a random clean station, full or partial roll."""
    rng = np.random.default_rng(seed)
    clock = rng.uniform(0, 2 * np.pi) + np.linspace(0, rng.uniform(3.2, 5.8), rng.integers(7, 14))
    theta = rng.normal(0, [5, 6, 6, 0.3, 0.3, 0.15, 0.15]) / 1000
    return clock, harmonics(clock) @ theta + rng.normal(0, 0.0002, clock.size)


def fitted(clock: np.ndarray, reading: np.ndarray, **how):  # type: ignore[no-untyped-def]
    return fit_station(clock, reading, resolution_in=0.0001, **how)


def turn(angle: float) -> np.ndarray:
    return np.array([[math.cos(angle), -math.sin(angle)], [math.sin(angle), math.cos(angle)]])


def line(seed: int, n: int = 12) -> ShaftLine:
    rng = np.random.default_rng(seed)
    x = np.sort(rng.choice(np.arange(1.0, 119.0), n, replace=False))
    ecc = rng.normal(0, 0.01, (n, 2))
    return ShaftLine(x, ecc, rng.uniform(1e-4, 3e-4, n), np.array([x[2] + 0.4, x[-2] - 0.4]))


@pytest.mark.slow
@settings(max_examples=40)
@given(seeds, angles)
def test_turning_the_zero_turns_every_vector(seed: int, angle: float) -> None:
    clock, reading = station(seed)
    old, new = fitted(clock, reading), fitted(clock + angle, reading)
    assert np.allclose(new.ecc_in, turn(angle) @ old.ecc_in, rtol=0, atol=1e-10)
    assert np.allclose(new.oval_in, turn(2 * angle) @ old.oval_in, rtol=0, atol=1e-10)
    assert np.allclose(new.lobes_in, turn(3 * angle) @ old.lobes_in, rtol=0, atol=1e-10)
    spread = turn(angle) @ old.ecc_cov_in2 @ turn(angle).T
    assert np.allclose(new.ecc_cov_in2, spread, rtol=1e-6, atol=1e-16)
    assert math.isclose(new.tir_in, old.tir_in, abs_tol=1e-10)
    assert math.isclose(new.tir_low_in, old.tir_low_in, abs_tol=1e-8)
    assert math.isclose(new.tir_high_in, old.tir_high_in, abs_tol=1e-8)
    assert [(s.index, s.kind) for s in new.slips] == [(s.index, s.kind) for s in old.slips]


@settings(max_examples=40)
@given(seeds)
def test_reversing_the_direction_mirrors(seed: int) -> None:
    clock, reading = station(seed)
    old, new = fitted(clock, reading), fitted(-clock, reading)
    assert np.allclose(new.ecc_in, old.ecc_in * [1, -1], rtol=0, atol=1e-10)
    assert math.isclose(new.tir_in, old.tir_in, abs_tol=1e-10)
    assert new.left_out == old.left_out
    assert math.isclose(new.tir_low_in, old.tir_low_in, abs_tol=1e-9)
    assert math.isclose(new.tir_high_in, old.tir_high_in, abs_tol=1e-9)


@settings(max_examples=40)
@given(seeds, st.floats(0.1, 10))
def test_scaling_scales(seed: int, scale: float) -> None:
    """As long as the section does not run so far out that its own size tells."""
    clock, reading = station(seed)
    assume(np.ptp(reading) * scale < 2 * FAR_OUT_IN)

    def fit(s: float):  # type: ignore[no-untyped-def]
        return fit_station(
            clock,
            reading * s,
            resolution_in=0.0001 * s,
            repeatability_in=0.0002 * s,
            priors=Priors(0.0004 * s, 0.0002 * s),
            right=range(clock.size),
        )

    old, new = fit(1.0), fit(scale)
    assert np.allclose(new.ecc_in, scale * old.ecc_in, rtol=1e-6, atol=1e-12)
    for name in ("tir_in", "tir_low_in", "tir_high_in", "ecc_sigma_in", "shown_tir_in"):
        assert math.isclose(getattr(new, name), scale * getattr(old, name), rel_tol=1e-4)


@pytest.mark.slow
@settings(max_examples=40)
@given(seeds, st.randoms(use_true_random=False))
def test_the_order_of_readings_does_not_matter(seed: int, shuffle) -> None:  # type: ignore[no-untyped-def]
    clock, reading = station(seed)
    order = list(range(clock.size))
    shuffle.shuffle(order)
    everything = range(clock.size)
    old = fitted(clock, reading, right=everything)
    new = fitted(clock[order], reading[order], right=everything)
    assert np.allclose(new.ecc_in, old.ecc_in, rtol=0, atol=1e-10)
    assert math.isclose(new.tir_low_in, old.tir_low_in, abs_tol=1e-10)
    assert np.allclose(new.residual_in, old.residual_in[order], rtol=0, atol=1e-10)


@settings(max_examples=40)
@given(seeds, st.floats(-0.5, 0.5))
def test_where_the_dial_was_set_to_zero_does_not_matter(seed: int, offset: float) -> None:
    clock, reading = station(seed)
    everything = range(clock.size)
    old = fitted(clock, reading, right=everything)
    new = fitted(clock, reading + offset, right=everything)
    assert np.allclose(new.ecc_in, old.ecc_in, rtol=0, atol=1e-9)
    assert math.isclose(new.mean_in, old.mean_in + offset, abs_tol=1e-9)


@settings(max_examples=30)
@given(seeds, st.integers(0, 20), st.sampled_from([0.05, -0.05, 0.1, -0.1, 0.013]))
def test_one_large_slip_hardly_moves_the_answer(seed: int, index: int, slip: float) -> None:
    rng = np.random.default_rng(seed)
    clock = np.linspace(0, 2 * np.pi, 12, endpoint=False)
    true = np.array([0.004, -0.007])
    reading = harmonics(clock)[:, 1:3] @ true + rng.normal(0, 0.0002, 12)
    reading[index % 12] += slip
    fit = fitted(clock, reading)
    assert index % 12 in fit.left_out
    assert np.abs(fit.ecc_in - true).max() < 0.0008


@settings(max_examples=40)
@given(seeds, st.floats(0.05, 0.95), st.floats(0.05, 0.95))
def test_moving_the_supports_and_back_is_the_identity(seed: int, p: float, q: float) -> None:
    shaft = line(seed)
    lo, hi = float(shaft.station_in[0]), float(shaft.station_in[-1])
    a, b = lo + p * (hi - lo), lo + q * (hi - lo)
    if abs(a - b) < 1:
        return
    there = shaft.referred_to(a, b)
    assert np.allclose(there.ecc_at(a), 0, atol=1e-12)
    assert np.allclose(there.ecc_at(b), 0, atol=1e-12)
    back = there.referred_to(*shaft.rollers_in.tolist())
    assert np.array_equal(back.ecc_in, shaft.ecc_in)
    assert np.array_equal(back.sigma_in, shaft.sigma_in)
    # Supports in the other order are the same supports.
    assert np.allclose(shaft.referred_to(b, a).ecc_in, there.ecc_in, rtol=0, atol=1e-12)


@settings(max_examples=40)
@given(seeds, angles)
def test_referring_and_turning_can_change_places(seed: int, angle: float) -> None:
    shaft = line(seed)
    a, b = float(shaft.station_in[1]), float(shaft.station_in[-1])
    spun = ShaftLine(
        shaft.station_in, shaft.ecc_in @ turn(angle).T, shaft.sigma_in, shaft.rollers_in
    )
    one, two = spun.referred_to(a, b), shaft.referred_to(a, b)
    assert np.allclose(one.ecc_in, two.ecc_in @ turn(angle).T, rtol=0, atol=1e-12)
    assert np.allclose(one.bend_tir_in, two.bend_tir_in, rtol=0, atol=1e-12)
    assert np.allclose(one.sigma_in, two.sigma_in)


@given(seeds)
def test_interval_is_ordered_and_widens_with_noise(seed: int) -> None:
    rng = np.random.default_rng(seed)
    ecc, root = rng.normal(0, 0.001, 2), rng.normal(0, 0.0003, (2, 2))
    cov = root @ root.T + np.eye(2) * 1e-10
    low, high = tir_interval(ecc, cov)
    wide_low, wide_high = tir_interval(ecc, 4 * cov)
    assert 0 <= low < high
    assert wide_high - wide_low > high - low


@given(st.floats(0, 0.01), st.floats(0, 0.01), st.floats(0, 0.01), st.floats(1e-5, 0.01))
def test_a_tighter_limit_never_makes_a_place_better(
    tir: float, down: float, up: float, limit: float
) -> None:
    order = ("not true", "too close to call", "true")
    low, high = max(0.0, tir - down), tir + up
    for rule in ("guarded", "simple"):
        words = [judge(tir, low, high, share * limit, rule) for share in (0.5, 1.0, 2.0)]
        ranks = [order.index(word) for word in words]
        assert ranks == sorted(ranks)
    if judge(tir, low, high, limit) == "true":
        assert judge(tir, low, high, limit, "simple") == "true"


@settings(max_examples=25)
@given(seeds)
def test_hold_check_is_even_handed(seed: int) -> None:
    a, b = line(seed), line(seed)
    same = compare_sweeps(a, b)
    assert same.word == "held"
    assert all(move.moved_in == 0 for move in same.moves)
    moved = ShaftLine(a.station_in, a.ecc_in * 1.5, a.sigma_in, a.rollers_in)
    there, back = compare_sweeps(a, moved), compare_sweeps(moved, a)
    assert there.word == back.word
    assert [m.moved_in for m in there.moves] == [m.moved_in for m in back.moves]
