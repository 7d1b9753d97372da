"""Press strokes: warnings, spacing, limits of the theory, bad input."""

from __future__ import annotations

import itertools
from dataclasses import replace

import pytest

from core.base.errors import ShaftlogError
from core.straightening.press import (
    PLASTIC_RATIO,
    check_blocks_on_shaft,
    hits_to_share,
    span_for_capacity_in,
    stroke_for_set,
    warnings,
)

BAR = (2.0, 24.0, 28e6, 60e3)


def test_more_set_needs_more_load_and_travel() -> None:
    strokes = [stroke_for_set(*BAR, a) for a in (1e-4, 1e-3, 3e-3, 1e-2, 2e-2, 4e-2)]
    for low, high in itertools.pairwise(strokes):
        assert low.load_lbf <= high.load_lbf
        assert low.travel_in < high.travel_in
        assert low.stays_in < high.stays_in
    assert strokes[-1].moment_ratio == pytest.approx(PLASTIC_RATIO)


def test_past_the_limit_the_rest_of_the_angle_is_a_hinge() -> None:
    folded = [stroke_for_set(*BAR, a) for a in (0.030, 0.031)]
    assert folded[1].load_lbf == folded[0].load_lbf
    # a hinge of 1 mrad at mid-span lowers it by 1 mrad * 12 in / 2
    assert folded[1].travel_in - folded[0].travel_in == pytest.approx(0.006)
    assert folded[1].stays_in - folded[0].stays_in == pytest.approx(0.006)


def test_below_yield_it_all_comes_back() -> None:
    stroke = stroke_for_set(*BAR, 0.0)
    assert (stroke.set_rad, stroke.stays_in) == (0.0, 0.0)
    assert stroke.springs_back_in == stroke.travel_in
    assert "all come back" in warnings(stroke)[0]
    assert stroke.yields_at_travel_in == pytest.approx(stroke.travel_in, rel=1e-6)
    assert stroke.load_lbf == pytest.approx(stroke.yields_at_lbf, rel=1e-6)


def test_near_the_plastic_limit_share_it() -> None:
    stroke = stroke_for_set(*BAR, 0.012)
    said = warnings(stroke)
    count = hits_to_share(stroke)
    assert f"{count} hits" in said[0]
    assert not warnings(stroke_for_set(*BAR, 0.012 / count))
    assert warnings(stroke_for_set(*BAR, 0.012 / (count - 1)))


def test_over_capacity_names_a_spacing_that_does() -> None:
    stroke = stroke_for_set(*BAR, 0.001)
    capacity = stroke.load_lbf / 2
    span = span_for_capacity_in(stroke, capacity)
    assert span is not None
    assert stroke_for_set(2.0, span, 28e6, 60e3, 0.001).load_lbf == pytest.approx(capacity)
    assert f"{span + 0.05:.1f} in apart" in warnings(stroke, capacity_lbf=capacity)[0]
    assert span_for_capacity_in(stroke, 10.0) is None
    assert "No block spacing" in warnings(stroke, capacity_lbf=10.0)[0]
    assert not warnings(stroke, capacity_lbf=stroke.load_lbf * 1.01)


def test_short_span_is_named() -> None:
    assert "dent" in warnings(stroke_for_set(2.0, 7.0, 28e6, 60e3, 1e-4))[-1]


@pytest.mark.parametrize("position", range(4))
@pytest.mark.parametrize("value", [0.0, -1.0, float("nan"), float("inf")])
def test_zero_span_zero_yield_and_the_like_are_refused(position: int, value: float) -> None:
    bar = list(BAR)
    bar[position] = value
    with pytest.raises(ShaftlogError, match="above zero"):
        stroke_for_set(*bar, 0.001)


@pytest.mark.parametrize("angle", [-0.001, float("nan")])
def test_a_negative_angle_is_refused(angle: float) -> None:
    with pytest.raises(ShaftlogError, match="angle"):
        stroke_for_set(*BAR, angle)


def test_blocks_must_stand_under_the_shaft() -> None:
    assert check_blocks_on_shaft(50.0, 20.0, 100.0) == (40.0, 60.0)
    with pytest.raises(ShaftlogError, match="not on the shaft"):
        check_blocks_on_shaft(101.0, 20.0, 100.0)
    with pytest.raises(ShaftlogError, match="do not fit"):
        check_blocks_on_shaft(50.0, 101.0, 100.0)
    with pytest.raises(ShaftlogError, match="above zero"):
        check_blocks_on_shaft(50.0, 0.0, 100.0)
    with pytest.raises(ShaftlogError, match="room for 12 in"):
        check_blocks_on_shaft(6.0, 20.0, 100.0)


def test_capacity_must_be_a_number_above_zero() -> None:
    with pytest.raises(ShaftlogError, match="capacity"):
        warnings(replace(stroke_for_set(*BAR, 0.001), load_lbf=1e9), capacity_lbf=0.0)


def test_past_and_close_to_the_load_that_folds_the_shaft() -> None:
    """Angle that stays when the section goes all plastic: 0.3293 span ky (module's formula)."""
    full = 0.3293 * BAR[1] * BAR[3] / (BAR[2] * BAR[0] / 2)
    assert "This is past the load that folds" in warnings(stroke_for_set(*BAR, 1.01 * full))[0]
    assert "This is close to the load that folds" in warnings(stroke_for_set(*BAR, 0.9 * full))[0]
