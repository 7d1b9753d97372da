"""The closed loop in small: the claims of `tests.bench.closed_loop` on a few shafts."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from core.demo.simulate import read_sweep
from core.runout.station_fit import fit_station
from tests.bench.closed_loop import SCENARIOS, run, sharp
from tests.support.chasing import chase
from tests.support.fitted import straighten
from tests.support.simulated_bench import MARKS, Bench, Setup, fit_all

SHAFTS = 12


@pytest.mark.slow
def test_fewer_hits_and_minutes_than_chasing_and_no_failure() -> None:
    ours = run(SCENARIOS["main"], SHAFTS, straighten)
    rival = run(SCENARIOS["main"], SHAFTS, chase)
    assert all(o.finished for o in ours)
    assert max(o.worst_in for o in ours) < 0.0024
    assert sum(o.hits for o in ours) < 0.35 * sum(o.hits for o in rival)
    assert sum(o.minutes for o in ours) < 0.20 * sum(o.minutes for o in rival)


@pytest.mark.slow
@pytest.mark.parametrize("name", ["weak", "oval", "coarse", "bow", "dial"])
def test_other_shops_and_shafts_finish_too(name: str) -> None:
    told = run(SCENARIOS[name], 3, straighten)
    assert all(o.finished for o in told)
    assert max(o.worst_in for o in told) < 0.0025


def test_with_a_perfect_press_one_round_is_enough() -> None:
    """No scatter, no placing error: the fitted bends are taken out in one go, and at most a little
    more where a hit was expected to spread and these are sharp."""
    perfect = Setup(scatter=0.0, clock_sigma_rad=0.0, placing_sigma_in=0.0)
    for index in range(3):
        bench = Bench(sharp(np.random.default_rng(index), index), perfect, np.random.default_rng(1))
        assert straighten(bench)
        assert bench.hits <= 2 * (1 + index) + 1


def test_the_bench_counts_what_it_does() -> None:
    bench = Bench(sharp(np.random.default_rng(0), 0), Setup(), np.random.default_rng(1))
    bench.sweep()
    bench.hit(60.0, np.array([0.001, 0.0]))
    bench.read([45.0, 51.0, 57.0])
    assert bench.minutes == 6.0 + 1.5 * (bench.setup.stations_in.size + 3)


def test_the_quick_fit_of_the_bench_is_the_fit_of_the_program() -> None:
    setup = replace(Setup(), repeatability_in=0.0002)
    shaft = sharp(np.random.default_rng(3), 2)
    sweep = read_sweep(
        shaft, setup.rollers_in, setup.stations_in.tolist(), MARKS.tolist(),
        rng=np.random.default_rng(4),
    )  # fmt: skip
    ecc, sigma = fit_all(sweep)
    for k, station in enumerate(sweep.stations):
        fit = fit_station(
            station.clock_rad, station.reading_in, resolution_in=0.0005, repeatability_in=0.0002
        )
        np.testing.assert_allclose(ecc[k], fit.ecc_in, atol=2e-6)
        assert sigma[k] == pytest.approx(fit.ecc_sigma_in, rel=0.05)
