"""Press strokes: laws that must hold for any bar."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.straightening.press import PLASTIC_RATIO, span_for_capacity_in, stroke_for_set, warnings

diameters = st.floats(0.5, 8.0)
spans = st.floats(6.0, 80.0)
moduli = st.floats(14e6, 31e6)
yields = st.floats(15e3, 160e3)
angles = st.floats(1e-6, 0.05)
bars = st.tuples(diameters, spans, moduli, yields)


@pytest.mark.slow
@given(bars, angles)
def test_a_stroke_is_what_it_says(bar: tuple[float, float, float, float], angle: float) -> None:
    stroke = stroke_for_set(*bar, angle)
    assert stroke.set_rad == pytest.approx(angle, rel=1e-6)
    assert 1.0 <= stroke.moment_ratio <= PLASTIC_RATIO * (1 + 1e-12)
    assert 0 < stroke.stays_in < stroke.travel_in
    # a set spread over the span lowers the middle by less than a hinge of that angle would
    assert stroke.stays_in <= angle * stroke.span_in / 4 * (1 + 1e-9)
    assert all(warnings(stroke, capacity_lbf=20e3))


@given(bars, angles, st.floats(0.1, 10.0))
def test_scaling_all_lengths(
    bar: tuple[float, float, float, float], angle: float, scale: float
) -> None:
    """The same shape made larger: same ratio, lengths x scale, load x scale squared."""
    d, span, e, sy = bar
    one, two = stroke_for_set(*bar, angle), stroke_for_set(d * scale, span * scale, e, sy, angle)
    assert two.moment_ratio == pytest.approx(one.moment_ratio, rel=1e-9)
    assert two.travel_in == pytest.approx(one.travel_in * scale, rel=1e-7)
    assert two.load_lbf == pytest.approx(one.load_lbf * scale**2, rel=1e-7)


@given(bars, angles, st.floats(0.2, 5.0))
def test_scaling_modulus_and_yield_together(
    bar: tuple[float, float, float, float], angle: float, scale: float
) -> None:
    d, span, e, sy = bar
    one, two = stroke_for_set(*bar, angle), stroke_for_set(d, span, e * scale, sy * scale, angle)
    assert two.travel_in == pytest.approx(one.travel_in, rel=1e-7)
    assert two.load_lbf == pytest.approx(one.load_lbf * scale, rel=1e-7)


@pytest.mark.slow
@given(bars, st.floats(1e-5, 0.02), st.floats(1.1, 3.0))
def test_a_longer_span_needs_less_load(
    bar: tuple[float, float, float, float], angle: float, longer: float
) -> None:
    d, span, e, sy = bar
    short, long = stroke_for_set(*bar, angle), stroke_for_set(d, span * longer, e, sy, angle)
    assert long.load_lbf < short.load_lbf
    found = span_for_capacity_in(short, long.load_lbf)
    assert found == pytest.approx(max(d, span * longer), rel=1e-4)
