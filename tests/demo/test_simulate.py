"""The simulated shaft: geometry and readings."""

from __future__ import annotations

import numpy as np
import pytest

from core.demo.simulate import Blocked, TrueBend, TrueBow, TrueShaft, apply_hit, read_sweep
from tests.support.random_shafts import random_shaft

MARKS = tuple(np.radians(np.arange(0, 360, 45)).tolist())


def test_one_bend_is_a_broken_line_with_zeros_on_the_rollers() -> None:
    shaft = TrueShaft(100.0, bends=(TrueBend(50.0, (0.004, 0.0)),))
    ecc = shaft.centre_in([0, 20, 50, 80, 100], (20.0, 80.0))
    # bend 4 mrad at mid-span of 60 in: sag 4e-3 * 60 / 4 = 0.060 in on the high side (-kappa)
    np.testing.assert_allclose(ecc[:, 0], [0.04, 0, -0.06, 0, 0.04], atol=1e-12)
    assert shaft.worst_tir_in((20.0, 80.0)) == pytest.approx(0.12)


def test_a_bow_is_the_limit_of_many_small_bends() -> None:
    many = tuple(TrueBend(30 + (i + 0.5) * 0.04, (0.006 / 1000, 0.0)) for i in range(1000))
    x = np.linspace(0, 100, 21)
    bow = TrueShaft(100.0, bows=(TrueBow(30.0, 70.0, (0.006, 0.0)),)).centre_in(x, (10.0, 90.0))
    np.testing.assert_allclose(
        bow, TrueShaft(100.0, bends=many).centre_in(x, (10.0, 90.0)), atol=1e-8
    )


def test_readings_swing_by_twice_the_eccentricity() -> None:
    shaft = TrueShaft(100.0, bends=(TrueBend(50.0, (0.004, 0.0)),))
    sweep = read_sweep(
        shaft, (20.0, 80.0), [50.0], MARKS, resolution_in=0, repeatability_in=0,
        rng=np.random.default_rng(1),
    )  # fmt: skip
    readings = sweep.stations[0].reading_in
    assert max(readings) - min(readings) == pytest.approx(0.12)
    assert readings.index(max(readings)) == 4  # high spot opposite kappa: 180 degrees


def test_rolling_the_other_way_mirrors_the_clock() -> None:
    shaft = TrueShaft(100.0, bends=(TrueBend(50.0, (0.0, 0.004)),))
    ways = [
        read_sweep(
            shaft, (20.0, 80.0), [50.0], MARKS, resolution_in=0, repeatability_in=0,
            rng=np.random.default_rng(1), direction=d,
        ).stations[0].reading_in
        for d in (1, -1)
    ]  # fmt: skip
    np.testing.assert_allclose(ways[1], [ways[0][-i % 8] for i in range(8)])


def test_the_keyway_blocks_its_mark_and_the_dial_rounds() -> None:
    shaft = TrueShaft(100.0, keyways=(Blocked(0.0, 10.0),))
    sweep = read_sweep(shaft, (20.0, 80.0), [5.0, 50.0], MARKS, rng=np.random.default_rng(1))
    assert sweep.stations[0].blocked_rad == (0.0,)
    assert len(sweep.stations[0].reading_in) == 7
    assert len(sweep.stations[1].reading_in) == 8
    steps = np.array(sweep.stations[1].reading_in) / 0.0005
    np.testing.assert_allclose(steps, np.round(steps), atol=1e-9)


def test_a_perfect_hit_straightens_and_scatter_averages_out() -> None:
    shaft = TrueShaft(100.0, bends=(TrueBend(50.0, (0.003, -0.002)),))
    exact = {"scatter": 0.0, "clock_sigma_rad": 0.0, "placing_sigma_in": 0.0}
    hit = apply_hit(shaft, 50.0, (0.003, -0.002), rng=np.random.default_rng(1), **exact)
    assert hit.worst_tir_in((20.0, 80.0)) < 1e-12
    rng = np.random.default_rng(2)
    taken = [apply_hit(shaft, 50.0, (0.01, 0.0), rng=rng).bends[-1] for _ in range(4000)]
    sizes = [np.hypot(*b.kappa_rad) for b in taken]
    assert np.mean(sizes) == pytest.approx(0.01, rel=0.02)
    assert np.std(sizes) == pytest.approx(0.002, rel=0.06)
    assert np.std([b.station_in for b in taken]) == pytest.approx(0.25, rel=0.06)


def test_random_bends_keep_apart() -> None:
    rng = np.random.default_rng(3)
    for _ in range(200):
        at = [b.station_in for b in random_shaft(rng, 3).bends]
        assert np.diff(at).min() >= 12.0 - 1e-9
