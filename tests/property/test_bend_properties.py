"""What must not change the bends: the clock zero, the scale, the end counted from, the rollers."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from core.bends.find import Bend, find_bends
from core.bends.shapes import lift
from core.runout.line import ShaftLine

X = np.arange(3.0, 112.0, 6.0)
SIGMA_IN = 0.00014
FAR_ENOUGH_IN = 0.01
FEW = settings(max_examples=12, deadline=None)

places = st.sampled_from(
    [(31.0,), (50.7,), (25.2, 58.3), (40.1, 77.7), (22.5, 49.9, 80.2), (34.4, 61.1, 86.6)]
)
sizes = st.floats(0.002, 0.010)
seeds = st.integers(0, 10_000)
turns = st.floats(0.0, 6.28)


def bent(place: tuple[float, ...], size: float, seed: int) -> tuple[np.ndarray, np.ndarray]:
    """Corners, and their vectors turned this way and that."""
    clock = np.random.default_rng(seed).uniform(0, 2 * np.pi, len(place))
    return np.array(place), size * np.column_stack([np.cos(clock), np.sin(clock)])


def line_of(
    corner: np.ndarray, kappa: np.ndarray, seed: int, rollers: tuple[float, float] = (12.0, 96.0)
) -> ShaftLine:
    """The line seen from the rollers, with the same noise for the same seed."""
    supports = np.array(rollers)
    noise = np.random.default_rng(seed).normal(0, SIGMA_IN, (X.size, 2))
    ecc = lift(X, corner, corner, supports) @ kappa + noise
    return ShaftLine(X, ecc, np.full(X.size, SIGMA_IN), supports)


def same(one: tuple[Bend, ...], other: tuple[Bend, ...], near_in: float = FAR_ENOUGH_IN) -> bool:
    return len(one) == len(other) and all(
        abs(a.station_in - b.station_in) < near_in + 0.02 * a.station_u95_in
        for a, b in zip(one, other, strict=True)
    )


@pytest.mark.slow
@FEW
@given(places, sizes, seeds, turns)
def test_turning_the_clock_zero_turns_the_vectors(
    place: tuple[float, ...], size: float, seed: int, turn: float
) -> None:
    line = line_of(*bent(place, size, seed), seed)
    matrix = np.array([[np.cos(turn), -np.sin(turn)], [np.sin(turn), np.cos(turn)]])
    turned = ShaftLine(X, line.ecc_in @ matrix.T, line.sigma_in, line.rollers_in)
    here, there = find_bends(line).bends, find_bends(turned).bends
    assert same(here, there)
    for one, other in zip(here, there, strict=True):
        assert np.allclose(matrix @ one.kappa_rad, other.kappa_rad, atol=2e-5)


@pytest.mark.slow
@FEW
@given(places, sizes, seeds)
def test_counting_from_the_other_end_mirrors_the_stations(
    place: tuple[float, ...], size: float, seed: int
) -> None:
    line = line_of(*bent(place, size, seed), seed)
    flipped = ShaftLine(
        114.0 - X[::-1], line.ecc_in[::-1], line.sigma_in[::-1], 114.0 - line.rollers_in
    )
    here, there = find_bends(line).bends, find_bends(flipped).bends
    assert len(here) == len(there)
    for one, other in zip(here, there[::-1], strict=True):
        assert abs(one.station_in - (114.0 - other.station_in)) < FAR_ENOUGH_IN
        assert np.allclose(one.kappa_rad, other.kappa_rad, atol=2e-5)


@pytest.mark.slow
@FEW
@given(places, seeds, st.floats(0.3, 3.0))
def test_scaling_line_and_noise_scales_the_vectors_alone(
    place: tuple[float, ...], seed: int, scale: float
) -> None:
    line = line_of(*bent(place, 0.004, seed), seed)
    scaled = ShaftLine(X, scale * line.ecc_in, scale * line.sigma_in, line.rollers_in)
    here, there = find_bends(line).bends, find_bends(scaled).bends
    assert same(here, there)
    for one, other in zip(here, there, strict=True):
        assert np.allclose(scale * one.kappa_rad, other.kappa_rad, atol=3e-5)


@pytest.mark.slow
@FEW
@given(places, sizes, seeds)
def test_other_rollers_find_the_same_bends(
    place: tuple[float, ...], size: float, seed: int
) -> None:
    """The same shaft on other rollers, read anew: equal within the doubt of both."""
    corner, kappa = bent(place, size, seed)
    here = find_bends(line_of(corner, kappa, seed)).bends
    there = find_bends(line_of(corner, kappa, seed + 1, (18.0, 108.0))).bends
    assert len(here) == len(there) == len(place)
    for one, other in zip(here, there, strict=True):
        doubt = 2 * (one.station_u95_in + other.station_u95_in)
        assert abs(one.station_in - other.station_in) < doubt
        assert np.allclose(one.kappa_rad, other.kappa_rad, atol=3e-4)
