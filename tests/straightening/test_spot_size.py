"""The size of a heat spot follows the bend; heated fibres stay under the ceiling."""

from __future__ import annotations

from math import radians

import pytest

from core.straightening.heat_spots import SpotSize, ceiling_rad, size_for
from core.straightening.response import HEAT, STARTS
from tests.bench.world.heat import EXPANSION, Torch, spot_curvature


def ceiling(size: SpotSize) -> float:
    return ceiling_rad(2.0, size, rise_f=1100, expansion_per_f=6.7e-6, e_psi=29e6, yield_psi=48e3)


@pytest.mark.parametrize("wanted", [0.0002, 0.0005, 0.001, 0.0015])
def test_the_spot_is_expected_to_take_out_what_is_wanted(wanted: float) -> None:
    size = size_for(wanted, 0.3, ceiling)
    assert 0.3 * ceiling(size) == pytest.approx(wanted, rel=1e-6)


def test_a_large_bend_gets_equal_spots_and_a_small_one_no_speck() -> None:
    size = size_for(0.01, 0.3, ceiling)
    assert size.arc_rad == pytest.approx(radians(120))
    spots = 0.01 / (0.3 * ceiling(size))
    assert spots == pytest.approx(round(spots))
    assert size_for(1e-6, 0.3, ceiling).length_in == 0.5


def test_a_bar_that_only_springs_back_has_a_size_too() -> None:
    assert size_for(0.001, 0.3, lambda _: 0.0) == SpotSize()


@pytest.mark.slow
@pytest.mark.parametrize("diameter_in", [1.5, 3.0])
def test_heated_fibres_reach_a_share_of_the_ceiling_whatever_the_diameter(
    diameter_in: float,
) -> None:
    bar = {"expansion_per_f": EXPANSION / 1.8, "e_psi": 29e6, "yield_psi": 48e3}
    most = ceiling_rad(diameter_in, SpotSize(1.0, radians(60)), rise_f=1080, **bar)
    left = 25.4 * spot_curvature(25.4 * diameter_in, 330.0, Torch(620.0))
    assert left / most == pytest.approx(STARTS[HEAT].mean, abs=0.1)


@pytest.mark.slow
def test_rotation_grows_with_temperature_as_printed_of_heated_plates() -> None:
    low, high = (spot_curvature(50.8, 330.0, Torch(t)) for t in (480.0, 620.0))
    assert high > 1.2 * low
