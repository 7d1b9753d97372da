"""Shaft sizing against worked examples.

Sources: Boat Mechanical Systems Handbook, formula 1-2 (diameter, metric form, propeller rule,
safety factors, shaft power); two boat-building pages (42 hp example, span formula); The Masthead
no. 18 p.15 (where 321000 comes from); ABYC P-6, July 2002 (two thirds rule); forum quotations
where said.
Tolerance: the last printed digit.
"""

from __future__ import annotations

import math

import pytest

from core.fitting.shaft import sizing


def test_403_hp_takes_1_74_in() -> None:
    size = sizing.shaft_diameter_in(
        power_hp=403, shaft_rpm=1050, torsional_yield_psi=70000, safety_factor=3.0
    )
    assert size == pytest.approx(1.74, abs=0.005)
    assert sizing.next_size_in(size) == 1.75


def test_metric_example_300_kw_takes_44_2_mm() -> None:
    size = sizing.shaft_diameter_in(
        power_hp=300 / 0.745700,
        shaft_rpm=1050,
        torsional_yield_psi=482000 / 6.894757,
        safety_factor=3.0,
    )
    assert size * 25.4 == pytest.approx(44.2, abs=0.05)


def test_42_hp_takes_1_in() -> None:
    size = sizing.shaft_diameter_in(
        power_hp=42, shaft_rpm=2000, torsional_yield_psi=20000, safety_factor=3
    )
    assert size == pytest.approx(1.0, abs=0.005)
    assert sizing.next_size_in(size) == 1.0


def test_where_321000_comes_from() -> None:
    assert 16 * sizing.TORQUE_PER_HP / math.pi == pytest.approx(320983.7, abs=0.1)
    assert round(320983.7, -3) == sizing.SIZING_CONSTANT
    assert 12 * 33000 / (2 * math.pi) == pytest.approx(sizing.TORQUE_PER_HP, abs=0.5)


def test_formula_puts_the_shaft_at_yield_over_safety() -> None:
    """The diameter formula and 16 T / (pi D^3) are the same statement."""
    size = sizing.shaft_diameter_in(
        power_hp=403, shaft_rpm=1050, torsional_yield_psi=70000, safety_factor=3.0
    )
    torque = sizing.torque_lbf_in(power_hp=403, shaft_rpm=1050)
    assert 16 * torque / (math.pi * size**3) == pytest.approx(70000 / 3, rel=1e-4)


@pytest.mark.parametrize(
    ("propeller", "blades", "strong", "printed"), [(24, 3, False, 1.71), (30, 4, True, 1.84)]
)
def test_propeller_rule(propeller: float, blades: int, strong: bool, printed: float) -> None:
    size = sizing.rule_of_thumb_diameter_in(
        propeller_diameter_in=propeller, blades=blades, high_strength=strong
    )
    assert size == pytest.approx(printed, abs=0.006)


@pytest.mark.parametrize(
    ("blades", "plain", "strong"), [(2, 14.5, 18.1), (3, 14.0, 17.5), (4, 13.1, 16.3)]
)
def test_propeller_divisors(blades: int, plain: float, strong: float) -> None:
    for high, divisor in ((False, plain), (True, strong)):
        size = sizing.rule_of_thumb_diameter_in(
            propeller_diameter_in=100, blades=blades, high_strength=high
        )
        assert size == pytest.approx(100 / divisor)


def test_bearing_span_of_3_ft_5_in() -> None:
    span = sizing.formula_span_in(diameter_in=1.0, shaft_rpm=2000, e_psi=16e6, density_lb_in3=0.304)
    assert span == pytest.approx(41, abs=0.5)
    assert span == pytest.approx(40.95, abs=0.005)


def test_span_constant_is_the_whirling_speed_itself() -> None:
    """3.21 is (pi / 2) sqrt(g) / 4 x 60 / 144 = 3.2151 rounded: no margin in the formula."""
    exact = math.pi / 2 * math.sqrt(sizing.GRAVITY_IN_S2) / 4 * 60 / 144
    assert exact == pytest.approx(3.2151, abs=0.00005)
    span = sizing.formula_span_in(diameter_in=1.0, shaft_rpm=2000, e_psi=16e6, density_lb_in3=0.304)
    critical = sizing.critical_rpm(diameter_in=1.0, span_in=span, e_psi=16e6, density_lb_in3=0.304)
    assert critical / 2000 == pytest.approx(3.2151 / 3.21, abs=1e-4)


@pytest.mark.parametrize(("diameter", "low", "high"), [(1.0, 20, 40), (1.5, 30, 60)])
def test_span_rule_of_20_to_40_diameters(diameter: float, low: float, high: float) -> None:
    span = sizing.bearing_span(
        diameter_in=diameter, shaft_rpm=1500, e_psi=28e6, density_lb_in3=0.285
    )
    assert (span.rule_low_in, span.rule_high_in) == pytest.approx((low, high))


def test_safety_factors() -> None:
    rules = {rule.case: (rule.low, rule.high) for rule in sizing.sizing_rules("safety_factor")}
    assert rules == {
        "light pleasure boat": (2.0, 2.0),
        "pleasure boat": (3.0, 3.0),
        "ocean passages": (3.5, 4.0),
        "racing boat": (4.0, 5.0),
        "duty in any weather": (5.0, 6.0),
        "passengers under survey": (7.5, 7.5),
    }


@pytest.mark.parametrize(
    ("tensile", "torsional"), [(30000, 20000), (105000, 70000), (60000, 40000), (100000, 67000)]
)
def test_two_thirds_rule(tensile: float, torsional: float) -> None:
    """Reproduces the boat-shaft table, which rounds 66 667 to 67 000."""
    value = sizing.torsional_yield_psi(tensile_yield_psi=tensile)
    assert value == pytest.approx(torsional, abs=500)


def test_shaft_power_share() -> None:
    assert sizing.shaft_power_hp(brake_power_hp=100) == pytest.approx(96.0)


def test_bearing_clearance_and_wear_rules_are_carried_with_their_contradiction() -> None:
    """1.25 in shaft 0.003 to 0.007 in (one quotation of ABYC P-6); other opinions beside it."""
    quoted = sizing.sizing_rules("bearing_clearance_in")[0]
    assert (quoted.low, quoted.high) == (0.003, 0.007)
    each = sizing.sizing_rules("bearing_clearance_per_in")[0]
    assert (each.low, each.high) == (0.001, 0.002)
    assert [rule.low for rule in sizing.sizing_rules("bearing_wear_in")] == [1 / 32, 1 / 8]
    assert "contradicted" in sizing.sizing_rules("bearing_wear_in")[0].status
    tolerance = sizing.sizing_rules("shaft_tolerance_in")[0]
    assert (tolerance.low, tolerance.high) == (-0.001, 0.002)
