"""Heat spots: the ceiling, where they go, when the bar is cold."""

from __future__ import annotations

from math import pi, radians, sin

import numpy as np
import pytest

from core.base.errors import BadReadings, ShaftlogError
from core.straightening.heat_spots import (
    BESIDE_IN,
    CLEAR_OF_RIDING_IN,
    LEFT_IN,
    HeatedSpot,
    SpotSize,
    ceiling_rad,
    cooling,
    plan_spot,
    settling_min,
    slowest_decay_min,
    wait_between_min,
)
from core.straightening.response import Response

STEEL = {"expansion_per_f": 6.5e-6, "e_psi": 29e6, "yield_psi": 48e3}
KNOWN = Response(0.7, 0.1, 0.4, n_hits=10)


def test_the_ceiling_is_strain_times_length_times_first_moment_over_inertia() -> None:
    """First moment of the heated part by numerical integration of the section."""
    size = SpotSize(1.0, radians(60), 0.5)
    edge = np.linspace(-1, 1, 1601)
    y, z = np.meshgrid((edge[:-1] + edge[1:]) / 2, (edge[:-1] + edge[1:]) / 2)
    r, clock = np.hypot(y, z), np.arctan2(z, y)
    heated = (r <= 1) & (r >= 0.5) & (np.abs(clock) <= radians(30))
    first_moment = (y * heated).sum() * (edge[1] - edge[0]) ** 2
    strain = 6.5e-6 * 1000 - 48e3 / 29e6
    expected = strain * 1.0 * first_moment / (pi / 4)
    assert ceiling_rad(2.0, size, rise_f=1000, **STEEL) == pytest.approx(expected, rel=2e-3)


def test_larger_spots_on_thinner_bars_take_out_more() -> None:
    base = ceiling_rad(2.0, SpotSize(), rise_f=1000, **STEEL)
    assert ceiling_rad(2.0, SpotSize(2.0), rise_f=1000, **STEEL) == pytest.approx(2 * base)
    wide = ceiling_rad(2.0, SpotSize(1.0, radians(120)), rise_f=1000, **STEEL)
    assert wide == pytest.approx(base * sin(radians(60)) / sin(radians(15)))
    # the same share of depth: Q goes with the cube, I with the fourth power
    assert ceiling_rad(4.0, SpotSize(), rise_f=1000, **STEEL) == pytest.approx(base / 2)


@pytest.mark.parametrize(
    "wrong", [{"rise_f": -1.0}, {"yield_psi": 0.0}, {"expansion_per_f": float("nan")}]
)
def test_no_spot_from_figures_that_cannot_be(wrong: dict[str, float]) -> None:
    with pytest.raises(ShaftlogError, match="above zero"):
        ceiling_rad(2.0, SpotSize(), **{"rise_f": 900.0, **STEEL, **wrong})


def test_a_spot_too_large_is_refused() -> None:
    with pytest.raises(ShaftlogError, match="at most 2 in long"):
        ceiling_rad(2.0, SpotSize(3.0), rise_f=900, **STEEL)


def plan(angle: float = 0.004, response: Response = KNOWN, **more: object) -> object:
    return plan_spot(
        40.0, (-angle, 0.0), 0.0, 0.001, SpotSize(), diameter_in=2.0, response=response, **more
    )


def test_a_spot_keeps_clear_and_is_read_before_the_next() -> None:
    found = plan(0.002, keep_clear_in=[(30.0, 39.0)])
    assert found.total_spots == 3  # 2 mrad by 0.7 of 1 mrad each
    assert found.station_in - 0.5 >= 39.0 + CLEAR_OF_RIDING_IN
    assert any("3 spots by the record: one now" in note for note in found.notes)


def test_metal_heated_before_is_not_heated_again_but_the_other_side_is() -> None:
    before = HeatedSpot(40.0, 0.0, SpotSize())
    assert abs(plan(heated=[before]).station_in - 40.0) >= 1.0 + BESIDE_IN
    other_side = HeatedSpot(40.0, pi, SpotSize())
    assert plan(heated=[other_side]).station_in == 40.0


def test_without_a_record_one_small_spot_then_read() -> None:
    found = plan(0.004, Response(1.0, 0.35, 0.4))
    assert "First spot small" in found.notes[0]


def test_a_first_spot_sized_for_half_the_bend_is_not_called_too_large() -> None:
    unknown = Response(1.0, 0.35, 0.4)
    assert not any("make it smaller" in note for note in plan(0.00198, unknown).notes)
    assert any("make it smaller" in note for note in plan(0.0015, unknown).notes)


def test_a_bend_inside_a_bearing_is_not_heated() -> None:
    with pytest.raises(ShaftlogError, match="Press it"):
        plan(keep_clear_in=[(20.0, 60.0)])


def test_a_spot_beside_the_bend_says_how_far_it_is() -> None:
    unknown = Response(1.0, 0.35, 0.4)
    found = plan(0.002, response=unknown, keep_clear_in=[(38.0, 43.0)])
    off = 40.0 - found.station_in
    assert off >= 2.5 + CLEAR_OF_RIDING_IN
    assert any(f"{off:.1f} in from the bend" in note for note in found.notes)
    near = plan(0.002, response=unknown)
    assert not any("from the bend" in note for note in near.notes)


def test_cold_is_two_readings_a_minute_apart_that_agree() -> None:
    assert not cooling([], [], 5e-4, 1.0).is_cold
    assert not cooling([0.0, 0.5], [0.010, 0.010], 5e-4, 1.0).is_cold
    assert not cooling([0.0, 1.0], [0.012, 0.010], 5e-4, 1.0).is_cold
    done = cooling([0.0, 1.0, 2.0, 3.1], [0.012, 0.0104, 0.0100, 0.0100], 5e-4, 1.0)
    assert done.is_cold
    assert done.cold_since_min == 3.1
    # back where it was by chance, but it went somewhere in between
    assert not cooling([0.0, 0.5, 1.0], [0.010, 0.014, 0.010], 5e-4, 1.0).is_cold
    with pytest.raises(BadReadings):
        cooling([1.0, 0.0], [0.0, 0.0], 5e-4, 1.0)


@pytest.mark.parametrize("dial_in", [0.0005, 0.0001])
def test_the_wait_leaves_no_more_bow_than_stated(dial_in: float) -> None:
    """Two graduations lost in the wait: of a bow that falls to 37 % in 20 minutes, and slower."""
    for decay in (20.0, slowest_decay_min(24.0, 4.15 / 25.4**2)):
        lost = LEFT_IN * (np.exp(wait_between_min(decay, dial_in) / decay) - 1)
        assert lost == pytest.approx(2 * dial_in)
    assert slowest_decay_min(24.0, 4.15 / 25.4**2) == settling_min(24.0, 4.15 / 25.4**2) > 20.0


def test_two_equal_readings_a_minute_apart_are_no_cold_bar() -> None:
    """A half-thou dial on a bow of 4 thou that falls to 37 % in 20 minutes: nothing warm passes."""
    apart = wait_between_min(20.0, 0.0005)
    minutes = np.arange(0.0, 120.0)
    bow = 0.004 * np.exp(-minutes / 20.0)
    shown = np.round(bow / 0.0005) * 0.0005
    assert shown[0] == shown[1]
    cold = [
        n
        for n in range(1, minutes.size)
        if cooling(minutes[:n].tolist(), shown[:n].tolist(), 0.0005, apart).is_cold
    ]
    assert bow[cold[0] - 1] <= LEFT_IN


def test_a_reading_that_moved_begins_the_wait_again() -> None:
    """What can call it cold is a reading `wait_min` after the first of those that agree."""
    assert cooling([0.0, 4.0], [0.010, 0.010], 5e-4, 14.0).read_again_min == 14.0
    assert cooling([0.0, 14.0], [0.016, 0.010], 5e-4, 14.0).read_again_min == 28.0
    agreed = cooling([0.0, 14.0, 20.0], [0.016, 0.0102, 0.010], 5e-4, 14.0)
    assert agreed.read_again_min == 28.0
    assert cooling([0.0, 14.0, 28.0], [0.016, 0.0102, 0.010], 5e-4, 14.0).is_cold
