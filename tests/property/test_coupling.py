"""What must hold for every bore, key, face and press fit."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from core.base.errors import ShaftlogError
from core.fitting.coupling.bore import DiameterReading, fit
from core.fitting.coupling.face import fit_face
from core.fitting.coupling.fits import all_limits
from core.fitting.coupling.press_fit import press_fit
from core.fitting.keys.trial_checks import keyseat_depth, standard_key
from core.fitting.measured.band import Band, judge_band
from core.fitting.measured.unit_check import unit_doubt
from core.fitting.shaft.sizing import critical_rpm, shaft_diameter_in

sizes = st.floats(0.75, 6.0)
thou = st.floats(-0.003, 0.003)
quick = settings(max_examples=60, deadline=None)


def part(base: float, wobble: list[float]) -> list[DiameterReading]:
    depths = (0.0, 1.0, 2.0)
    clocks = (0.0, math.pi / 2)
    places = [(depth, clock) for depth in depths for clock in clocks]
    return [DiameterReading(d, c, base + w) for (d, c), w in zip(places, wobble, strict=True)]


six = st.lists(st.floats(-0.001, 0.001), min_size=6, max_size=6)


@pytest.mark.slow
@quick
@given(sizes, thou, six, six)
def test_least_mean_most_are_in_order_and_shift_with_the_bore(base, gap, hole, seat) -> None:
    found = fit(bore=part(base + gap, hole), seat=part(base, seat))
    more = fit(bore=part(base + gap + 0.001, hole), seat=part(base, seat))
    assert found.clearance is not None
    assert more.clearance is not None
    assert found.clearance.least_in <= found.clearance.mean_in + 1e-12
    assert found.clearance.mean_in <= found.clearance.most_in + 1e-12
    for name in ("least_in", "mean_in", "most_in"):
        shift = getattr(more.clearance, name) - getattr(found.clearance, name)
        assert shift == pytest.approx(0.001, abs=1e-9)


@quick
@given(sizes, six, st.permutations(range(6)))
def test_order_of_readings_does_not_matter(base, hole, order) -> None:
    readings = part(base, hole)
    one = fit(bore=readings, seat=part(base, [0.0] * 6))
    two = fit(bore=[readings[i] for i in order], seat=part(base, [0.0] * 6))
    assert one.bore is not None
    assert two.bore is not None
    assert one.bore.taper_in_per_in == pytest.approx(two.bore.taper_in_per_in, abs=1e-12)
    assert one.clearance == two.clearance


@quick
@given(thou, st.floats(0, 0.002), thou, st.floats(0, 0.002), st.floats(0.0001, 0.001))
def test_guarded_verdicts_never_contradict_simple_ones(low, width, least, spread, u95) -> None:
    band = Band(low, low + width, "band")
    most = least + spread
    simple = judge_band(least_in=least, most_in=most, band=band, u95_in=u95, rule="simple").word
    guarded = judge_band(least_in=least, most_in=most, band=band, u95_in=u95).word
    inside = low <= least and most <= low + width
    if abs(least - low) > 1e-8 and abs(most - low - width) > 1e-8:
        assert (simple == "right") == inside
    if guarded == "right":
        assert simple == "right"
    if guarded in {"too tight", "too loose"}:
        assert simple in {guarded, "tight and loose"}


@quick
@given(sizes, st.sampled_from([25.4, 1000.0]), st.floats(-0.02, 0.02))
def test_a_wrong_unit_is_always_asked_about(size, factor, off) -> None:
    typed = size * (1 + off) * factor
    doubt = unit_doubt(typed, size)
    assert doubt is not None
    assert doubt.likely_in == pytest.approx(size * (1 + off))
    assert unit_doubt(size * (1 + off), size) is None


presses = {
    "diameter_in": st.floats(0.5, 6.0),
    "wall": st.floats(0.1, 3.0),
    "interference_in": st.floats(1e-5, 0.01),
    "hollow": st.floats(0.0, 0.9),
}


@quick
@given(**presses)
def test_press_fit_scales(diameter_in, wall, interference_in, hollow) -> None:
    def at(scale: float, more: float):
        return press_fit(
            diameter_in=diameter_in * scale,
            hub_outside_in=(diameter_in + 2 * wall) * scale,
            shaft_bore_in=hollow * diameter_in * scale,
            interference_in=interference_in * more,
            hub_e_psi=16e6,
            shaft_e_psi=28e6,
            hub_poisson=0.33,
            length_in=1.0,
        )

    once = at(1, 1)
    assert at(1, 2).pressure_psi == pytest.approx(2 * once.pressure_psi)
    assert at(2, 2).pressure_psi == pytest.approx(once.pressure_psi)
    assert once.pressure_psi > 0
    assert once.hub.hoop_psi > once.pressure_psi
    assert once.hub.hoop_psi < once.hub.mises_psi <= once.hub.tresca_psi
    low, high = once.push_lbf
    assert 0 < low < high


@quick
@given(**presses)
def test_hub_and_shaft_together_take_up_the_interference(
    diameter_in, wall, interference_in, hollow
) -> None:
    """Compatibility: growth of the bore plus shrinking of the shaft = interference."""
    outside, bore = diameter_in + 2 * wall, hollow * diameter_in
    found = press_fit(
        diameter_in=diameter_in,
        hub_outside_in=outside,
        shaft_bore_in=bore,
        interference_in=interference_in,
        hub_e_psi=16e6,
        shaft_e_psi=28e6,
        hub_poisson=0.33,
        shaft_poisson=0.28,
    )
    p = found.pressure_psi
    grows = diameter_in / 16e6 * (found.hub.hoop_psi + 0.33 * p)
    shrinks = -diameter_in / 28e6 * (found.shaft.hoop_psi + 0.28 * p)
    assert grows + shrinks == pytest.approx(interference_in, rel=1e-9)


@quick
@given(st.floats(0.32, 7.5))
def test_every_shaft_has_a_b17_key_that_fits(diameter) -> None:
    key = standard_key(diameter_in=diameter)
    assert 0.15 < key.width_in / diameter < 0.42
    assert 0 < key.depth.shaft_s_in < diameter < key.depth.hub_t_in


@quick
@given(st.floats(0.5, 6), st.floats(0.05, 0.45), st.floats(0.05, 0.4))
def test_keyseat_depths_leave_the_allowance(diameter, wide, high) -> None:
    """T - S is the key's height plus the allowance, whatever the size."""
    width, height = wide * diameter, high * diameter
    plain = keyseat_depth(diameter_in=diameter, width_in=width, height_in=height)
    taper = keyseat_depth(diameter_in=diameter, width_in=width, height_in=height, taper_key=True)
    assert plain.hub_t_in - plain.shaft_s_in == pytest.approx(height + 0.005)
    assert plain.hub_t_in - taper.hub_t_in == pytest.approx(0.025)


@quick
@given(st.floats(0, 6.28), st.floats(0.0005, 0.02), st.integers(4, 16), st.floats(-3, 3))
def test_face_turns_with_the_shaft(high, tir, marks, turn) -> None:
    clock = np.arange(marks) * 2 * np.pi / marks
    reading = tir / 2 * np.cos(clock - high)
    one = fit_face(clock_rad=clock, reading_in=reading, radius_in=2, rim_radius_in=3)
    two = fit_face(clock_rad=clock + turn, reading_in=reading, radius_in=2, rim_radius_in=3)
    assert one.tir_in == pytest.approx(tir, rel=1e-3)
    assert two.tir_in == pytest.approx(one.tir_in, rel=1e-6)
    assert math.cos(two.high_spot_rad - one.high_spot_rad - turn) == pytest.approx(1)
    assert one.tir_low_in <= one.tir_in <= one.tir_high_in


@quick
@given(st.floats(10, 2000), st.floats(200, 4000), st.floats(2e4, 1e5), st.floats(1, 8))
def test_diameter_grows_with_power_and_falls_with_speed(power, rpm, yield_psi, factor) -> None:
    def at(p: float, n: float) -> float:
        return shaft_diameter_in(
            power_hp=p, shaft_rpm=n, torsional_yield_psi=yield_psi, safety_factor=factor
        )

    assert at(8 * power, rpm) == pytest.approx(2 * at(power, rpm))
    assert at(power, 8 * rpm) == pytest.approx(at(power, rpm) / 2)


@quick
@given(st.floats(0.5, 6), st.floats(10, 200))
def test_whirl_goes_with_one_over_span_squared(diameter, span) -> None:
    def at(length: float) -> float:
        return critical_rpm(diameter_in=diameter, span_in=length, e_psi=28e6, density_lb_in3=0.285)

    assert at(span) == pytest.approx(4 * at(2 * span))


@quick
@given(st.floats(allow_nan=True, allow_infinity=True), st.floats(allow_nan=True))
def test_any_figures_give_an_answer_or_a_plain_refusal(diameter, outside) -> None:
    good = 1e-6 <= diameter < outside <= 1200 and outside - diameter > 1e-4
    try:
        found = press_fit(
            diameter_in=diameter,
            hub_outside_in=outside,
            interference_in=0.001,
            hub_e_psi=29e6,
            shaft_e_psi=29e6,
        )
    except ShaftlogError:
        assert not good or diameter <= 1e-4
    else:
        assert good
        assert math.isfinite(found.pressure_psi)


def test_every_class_has_least_below_most() -> None:
    for limits in all_limits():
        assert limits.clearance_min_in <= limits.clearance_max_in
        assert limits.hole_low_in <= limits.hole_high_in
        assert limits.shaft_low_in <= limits.shaft_high_in
        assert limits.over_in < limits.to_incl_in
        assert limits.source
        assert limits.status
