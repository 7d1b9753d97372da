"""Bends spread over a plastic zone: one bend, at its middle, with an honest interval."""

from __future__ import annotations

import numpy as np
import pytest

from core.bends.find import BendReport, find_bends
from core.bends.zones import LONGEST_ZONE_IN
from core.runout.line import ShaftLine
from tests.bench.world.shaft import Shaft, Zone

X = np.arange(3.0, 96.0, 6.0)
ROLLERS = (14.0, 80.0)
SIGMA_IN = 0.00015


def report(*zones: Zone, seed: int = 1) -> BendReport:
    ecc = Shaft(96.0, zones).centre_in(X, ROLLERS)
    ecc = ecc + np.random.default_rng(seed).normal(0, SIGMA_IN, ecc.shape)
    return find_bends(ShaftLine(X, ecc, np.full(X.size, SIGMA_IN), np.array(ROLLERS)))


@pytest.mark.parametrize("peaked", [False, True])
@pytest.mark.parametrize("length_in", [4.0, 8.0, 12.0])
@pytest.mark.parametrize("middle_in", [39.0, 40.4, 42.0])
def test_a_spread_bend_is_one_bend_at_its_middle(
    middle_in: float, length_in: float, peaked: bool
) -> None:
    found = report(Zone(middle_in, (0.005, -0.004), length_in, peaked))
    (bend,) = found.bends
    assert bend.kind == "sharp"
    assert abs(bend.station_in - middle_in) <= min(1.5 * bend.station_u95_in, 0.25)
    assert found.scatter_ratio < 1.5
    assert not found.outlier_stations_in


def test_the_length_of_an_even_zone_is_in_the_fitted_line() -> None:
    found = report(Zone(40.4, (0.005, -0.004), 8.0, peaked=False))
    assert found.shapes_in[0] == pytest.approx([36.4, 44.4], abs=0.3)


def test_a_spread_bend_is_said_to_be_one_and_a_sharp_one_is_not() -> None:
    even, sharp = (report(Zone(40.4, (0.005, -0.004), w, peaked=False)) for w in (8.0, 0.0))
    assert even.notes == ("The bend at 40.4 in is not a sharp one: it is spread over about 8 in.",)
    assert sharp.notes == ()


def test_three_spread_bends_a_foot_apart_are_three() -> None:
    """Each taken for a sharp corner would push the others off their places."""
    true = (Zone(33.0, (0.006, 0.0), 8.0), Zone(46.5, (0.0, 0.005), 8.0, False),
            Zone(60.0, (-0.004, 0.005), 8.0))  # fmt: skip
    found = report(*true)
    assert [b.station_in for b in found.bends] == pytest.approx([33.0, 46.5, 60.0], abs=0.2)


def test_a_dog_leg_is_not_one_zone() -> None:
    """Two bends in one gap that go different ways stay a region of more than one."""
    (bend,) = report(Zone(40.2, (0.008, 0.0)), Zone(43.8, (0.0, 0.004))).bends
    assert bend.kind == "region"


def test_a_bow_of_feet_stays_a_bow() -> None:
    (bend,) = report(Zone(45.0, (0.004, 0.002), 30.0, peaked=False)).bends
    assert bend.kind == "bow"
    assert bend.to_in - bend.from_in > LONGEST_ZONE_IN
