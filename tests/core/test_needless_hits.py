"""Hits that would do harm are never planned: a section off centre is no bend, a jog is no bend.

Truth known by geometry: straight pieces and corners, read with noise.
"""

from __future__ import annotations

import math

import numpy as np
import pytest

from core.dial.harmonics import Array
from core.shaftline import ShaftLine
from core.straighten import plan_round

ROLLERS = np.array([12.0, 108.0])
STATIONS = np.arange(0.0, 121.0, 6.0)
FINE = np.linspace(0.0, 120.0, 481)
SIGMA_IN = 0.00012


def line_at(places: Array, bends: list[tuple[float, Array]]) -> Array:
    """Centres (n, 2) of a shaft of straight pieces that lies on the rollers."""
    at = np.array([12.0, 108.0])

    def raw(x: Array) -> Array:
        return sum(
            (np.outer(np.maximum(x - station, 0.0), kappa) for station, kappa in bends),
            np.zeros((x.size, 2)),
        )

    ends = raw(at)
    share = ((places - at[0]) / (at[1] - at[0]))[:, None]
    return raw(places) - (1 - share) * ends[0] - share * ends[1]


def read(bends: list[tuple[float, Array]], rng: np.random.Generator) -> ShaftLine:
    """The line as a sweep shows it."""
    noise = rng.normal(0, SIGMA_IN, (STATIONS.size, 2))
    sigma = np.full(STATIONS.size, SIGMA_IN)
    return ShaftLine(STATIONS, line_at(STATIONS, bends) + noise, sigma, ROLLERS)


def toward(clock: float) -> Array:
    return np.array([math.cos(clock), math.sin(clock)])


@pytest.mark.parametrize("off_in", [0.0015, 0.003, 0.02])
def test_a_section_off_centre_on_a_straight_shaft_is_not_hit(off_in: float) -> None:
    """A worn or built-up journal; its neighbours are where they should be, so nothing is bent."""
    rng = np.random.default_rng(3)
    planned = 0
    for _ in range(12):
        line = read([], rng)
        ecc = line.ecc_in.copy()
        ecc[rng.integers(3, 18)] += off_in * toward(rng.uniform(0, 2 * math.pi))
        line = ShaftLine(line.station_in, ecc, line.sigma_in, line.rollers_in)
        planned += bool(plan_round(line, limit_in=0.002))
    assert planned <= 1


def test_a_bent_overhang_is_hit_though_only_the_last_station_shows_it() -> None:
    line = read([(111.0, 0.004 * toward(1.0))], np.random.default_rng(5))
    hits = plan_round(line, limit_in=0.002)
    assert hits
    assert abs(hits[0].station_in - 111.0) < 6.0


def test_a_round_never_leaves_a_jog_worse_than_it_was() -> None:
    """Three opposed bends close together: taking out one of them alone throws the ends about."""
    rng = np.random.default_rng(9)
    for _ in range(25):
        start, gap = rng.uniform(20, 80), rng.uniform(4, 12)
        kappa = rng.uniform(0.002, 0.012) * toward(rng.uniform(0, 2 * math.pi))
        bends = [(start, kappa), (start + gap, -2 * kappa), (start + 2 * gap, kappa)]
        hits = plan_round(read(bends, rng), limit_in=0.002)
        after = line_at(FINE, bends + [(hit.station_in, -hit.kappa_rad) for hit in hits])
        before = np.hypot(*line_at(FINE, bends).T).max()
        assert np.hypot(*after.T).max() <= 1.02 * max(before, 0.001)
