"""Press fits: refusals, words, hollow shafts, heat."""

from __future__ import annotations

import math

import pytest

from core.base.errors import ShaftlogError
from core.fitting.coupling.press_fit import CAUTIONS, press_fit
from core.fitting.coupling.warm_fit import slip_on_heat

STEEL = {"hub_e_psi": 29e6, "shaft_e_psi": 29e6}


def press(**more):
    sizes = {"diameter_in": 2.0, "hub_outside_in": 4.0, "interference_in": 0.002}
    return press_fit(**{**STEEL, **sizes, **more})


@pytest.mark.parametrize(
    ("bad", "says"),
    [
        ({"hub_outside_in": 2.0}, "no wall"),
        ({"hub_outside_in": 1.5}, "not smaller"),
        ({"hub_outside_in": -4.0}, "above zero"),
        ({"diameter_in": -2.0}, "above zero"),
        ({"diameter_in": float("nan")}, "above zero"),
        ({"shaft_bore_in": 2.0}, "no wall"),
        ({"shaft_bore_in": -0.5}, "no wall"),
        ({"interference_in": -0.001}, "clearance"),
        ({"interference_in": float("inf")}, "clearance"),
        ({"hub_e_psi": 0.0}, "modulus"),
        ({"hub_poisson": 0.6}, "poisson"),
        ({"length_in": 0.0}, "length"),
        ({"hub_yield_psi": -1.0}, "yield"),
        ({"friction_low": 0.3, "friction_high": 0.1}, "friction"),
    ],
)
def test_bad_input_is_refused_in_plain_words(bad, says: str) -> None:
    with pytest.raises(ShaftlogError, match=says):
        press(**bad)


def test_missing_figures_cost_their_answers() -> None:
    bare = press()
    assert bare.push_lbf is None
    assert bare.torque_lbf_in is None
    assert bare.hub_yield_share is None
    assert "cannot say" in bare.hub_words
    assert "cannot say" in bare.torque_words
    assert len(bare.missing) == 4
    full = press(
        length_in=3.0, hub_yield_psi=45000, shaft_yield_psi=60000, engine_torque_lbf_in=5000
    )
    assert not full.missing


def test_force_and_torque_hang_together() -> None:
    fit = press(length_in=3.0)
    area = math.pi * 2.0 * 3.0
    low, high = fit.push_lbf
    assert low == pytest.approx(0.04 * fit.pressure_psi * area)
    assert high == pytest.approx(0.20 * fit.pressure_psi * area)
    assert fit.torque_lbf_in == pytest.approx((low, high))  # radius is 1 in


@pytest.mark.parametrize(
    ("torque", "words"),
    [(1000.0, "even at low"), (40000.0, "may or may not"), (1e6, "does not hold")],
)
def test_torque_words(torque: float, words: str) -> None:
    assert words in press(length_in=3.0, engine_torque_lbf_in=torque).torque_words


def test_yield_words_name_the_criterion() -> None:
    assert "von Mises" in press(hub_yield_psi=100000).hub_words
    over = press(interference_in=0.004, hub_yield_psi=30000)
    assert over.hub_yield_share > 1
    assert "it yields" in over.hub_words


def test_equilibrium_and_criteria() -> None:
    fit = press()
    # Mean hoop stress times wall carries pressure times radius (force balance of a half hub).
    p, d, o = fit.pressure_psi, 2.0, 4.0
    at_outside = 2 * p * d**2 / (o**2 - d**2)
    assert fit.hub.hoop_psi == pytest.approx(at_outside + p)
    assert fit.hub.tresca_psi == pytest.approx(fit.hub.hoop_psi + p)
    assert fit.hub.mises_psi < fit.hub.tresca_psi
    assert fit.hub.growth_in == pytest.approx(at_outside / 29e6 * o)


def test_hollow_shaft_grips_less_and_is_stressed_more() -> None:
    solid, hollow = press(), press(shaft_bore_in=1.0)
    assert hollow.pressure_psi < solid.pressure_psi
    assert hollow.shaft.tresca_psi > solid.shaft.tresca_psi
    assert hollow.shaft.tresca_psi == pytest.approx(2 * hollow.pressure_psi * 4 / 3)


@pytest.mark.parametrize(
    ("interference", "words"),
    [
        (-0.01, "no heat"),
        (0.0, "Boiling"),
        (0.002, "Hotter than boiling"),
        (0.004, "lose its temper"),
    ],
)
def test_heat_words(interference: float, words: str) -> None:
    heat = slip_on_heat(
        diameter_in=2.0,
        interference_in=interference,
        hub_expansion_per_f=6.5e-6,
        slip_clearance_in=0.001,
    )
    assert words in heat.caution


def test_cautions_defer_to_the_authorities() -> None:
    assert any("class society" in text for text in CAUTIONS)
