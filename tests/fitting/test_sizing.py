"""Sizing: whirl margin, refusals."""

from __future__ import annotations

import pytest

from core.base.errors import ShaftlogError
from core.fitting.shaft import sizing

BRONZE = {"e_psi": 16e6, "density_lb_in3": 0.304}


def span(**more):
    return sizing.bearing_span(**{"diameter_in": 1.0, "shaft_rpm": 2000.0, **BRONZE, **more})


def test_the_formula_span_has_no_margin_and_the_text_says_so() -> None:
    found = span(span_in=40.95)
    assert found.margin == pytest.approx(1.0, abs=0.003)
    assert any("no margin" in note for note in found.notes)
    assert found.with_margin_in < found.formula_in


def test_span_with_margin_has_that_margin() -> None:
    wanted = span(wanted_margin=1.5)
    again = span(span_in=wanted.with_margin_in, wanted_margin=1.5)
    assert again.margin == pytest.approx(1.5)
    assert "in order" in span(span_in=20.0).words


@pytest.mark.parametrize(
    ("length", "words"),
    [(None, "not given"), (45.0, "whirl:"), (38.0, "too little"), (30.0, "in order")],
)
def test_span_words(length, words: str) -> None:
    assert words in span(span_in=length).words


def test_existing_safety_factor() -> None:
    size = sizing.shaft_diameter_in(
        power_hp=100, shaft_rpm=1000, torsional_yield_psi=70000, safety_factor=4
    )
    factor = sizing.safety_factor_of(
        diameter_in=size, power_hp=100, shaft_rpm=1000, torsional_yield_psi=70000
    )
    assert factor == pytest.approx(4)


@pytest.mark.parametrize("bad", [0.0, -5.0, float("nan"), float("inf")])
def test_figures_that_cannot_be(bad: float) -> None:
    with pytest.raises(ShaftlogError, match="power"):
        sizing.torque_lbf_in(power_hp=bad, shaft_rpm=1000)
    with pytest.raises(ShaftlogError, match="span"):
        span(span_in=bad)
    with pytest.raises(ShaftlogError, match="safety factor"):
        sizing.shaft_diameter_in(power_hp=1, shaft_rpm=1, torsional_yield_psi=1, safety_factor=bad)


def test_unknown_rules_sizes_and_blades() -> None:
    with pytest.raises(ShaftlogError):
        sizing.sizing_rules("moon")
    with pytest.raises(ShaftlogError, match="largest"):
        sizing.next_size_in(7.0)
    with pytest.raises(ShaftlogError, match="blades"):
        sizing.rule_of_thumb_diameter_in(propeller_diameter_in=24, blades=5, high_strength=False)
