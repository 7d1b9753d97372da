"""Forces, stresses and the like: shown and typed in the unit of the shop, kept in one."""

from __future__ import annotations

from collections.abc import Iterator

import pytest

from core.base.dial_unit import show_dial_in
from core.base.errors import BadNumber
from core.base.quantities import (
    FORCE,
    MASS_DENSITY,
    MODULUS,
    POWER,
    PRICE_BY_WEIGHT,
    STRESS,
    TEMPERATURE,
    TORQUE,
    WEIGHT,
    Quantity,
    in_shop_figures,
)
from core.base.units import parse_number

ALL = (FORCE, STRESS, MODULUS, TORQUE, TEMPERATURE, POWER, WEIGHT, PRICE_BY_WEIGHT, MASS_DENSITY)


@pytest.fixture(autouse=True)
def _inch_shop() -> Iterator[None]:
    show_dial_in("thou")
    yield
    show_dial_in("thou")


# Values by the definitions (NIST SP 811, appendix B.8), to the digits shown.
@pytest.mark.parametrize(
    ("quantity", "kept", "inch", "metric"),
    [
        (FORCE, 40_000.0, "40,000 lbf", "177.9 kN"),
        (STRESS, 45_000.0, "45,000 psi", "310.3 MPa"),
        (MODULUS, 29e6, "29,000,000 psi", "199.9 GPa"),
        (TORQUE, 12_000.0, "1,000 lbf ft", "1,356 N m"),
        (TEMPERATURE, 900.0, "900 F", "482 C"),
        (TEMPERATURE, 32.0, "32 F", "0 C"),
        (POWER, 300.0, "300 hp", "223.7 kW"),
        (WEIGHT, 220.0, "220 lb", "99.8 kg"),
        (PRICE_BY_WEIGHT, 12.0, "12.00 per lb", "26.46 per kg"),
        (MASS_DENSITY, 0.2833, "0.2833 lb/in3", "7,842 kg/m3"),
    ],
)
def test_a_figure_is_shown_in_the_unit_of_the_shop(
    quantity: Quantity, kept: float, inch: str, metric: str
) -> None:
    assert quantity.text(kept) == inch
    show_dial_in("mm")
    assert quantity.text(kept) == metric


@pytest.mark.parametrize(
    ("quantity", "typed", "in_inch_shop", "in_metric_shop"),
    [
        (FORCE, "2000 lbf", 2000.0, 2000.0),
        (FORCE, "9 kN", 2023.281, 2023.281),
        (FORCE, "9kn", 2023.281, 2023.281),
        (FORCE, "9000 N", 2023.281, 2023.281),
        (FORCE, "9", 9.0, 2023.281),
        (STRESS, "310,5 MPa", 45034.2, 45034.2),
        (STRESS, "45 ksi", 45_000.0, 45_000.0),
        (STRESS, "310 N/mm2", 44961.7, 44961.7),
        (MODULUS, "200 GPa", 29_007_547.5, 29_007_547.5),
        (MODULUS, "200000 MPa", 29_007_547.5, 29_007_547.5),
        (TEMPERATURE, "500 \u00b0C", 932.0, 932.0),
        (TEMPERATURE, "-5 C", 23.0, 23.0),
        (TEMPERATURE, "900 F", 900.0, 900.0),
        (TEMPERATURE, "400", 400.0, 752.0),
        (POWER, "315 hp", 315.0, 315.0),
        (POWER, "223.7 kW", 299.987, 299.987),
        (PRICE_BY_WEIGHT, "26.46 per kg", 12.002, 12.002),
    ],
)
def test_a_typed_unit_is_understood_in_both_kinds_of_shop(
    quantity: Quantity, typed: str, in_inch_shop: float, in_metric_shop: float
) -> None:
    assert quantity.parse(typed) == pytest.approx(in_inch_shop, rel=1e-5)
    show_dial_in("mm")
    assert quantity.parse(typed) == pytest.approx(in_metric_shop, rel=1e-5)


@pytest.mark.parametrize("unit", ["thou", "mm"])
@pytest.mark.parametrize("quantity", ALL, ids=lambda q: q.words)
def test_what_a_field_shows_is_read_back_as_the_same_figure(quantity: Quantity, unit: str) -> None:
    show_dial_in(unit)
    kept = quantity.parse("123.45")
    assert quantity.typed(kept) == "123.45"
    assert quantity.parse(quantity.typed(kept)) == pytest.approx(kept)
    assert quantity.typed(None) == ""


@pytest.mark.parametrize(
    ("typed", "words"),
    [
        ("", "Load is empty"),
        ("9 t", "'t' is not a unit of force here. Write lbf, kN or N."),
        ("9 psi", "'psi' is not a unit of force"),
        ("2,000 lbf", "can be read as 2.000 or as 2000"),
        ("nine", "not a unit of force"),
        ("5000 kN", "out of range: 0 to 4,448.22 kN is possible here"),
    ],
)
def test_what_cannot_be_read_is_refused_in_words(typed: str, words: str) -> None:
    show_dial_in("mm")
    with pytest.raises(BadNumber, match="Load") as refused:
        FORCE.parse(typed, least=0.0, most=1e6, what="Load")
    assert words in str(refused.value)


def test_a_large_range_is_written_out() -> None:
    """Found: '0 to 4.44822e+06 kN is possible here'."""
    show_dial_in("mm")
    for parse, words in ((FORCE.parse, "0 to 4,448,220 kN"), (parse_number, "0 to 1,000,000,000")):
        with pytest.raises(BadNumber, match=words):
            parse("99999999999", least=0.0, most=1e9)


def test_the_ends_of_the_range_can_be_typed_in_either_unit() -> None:
    show_dial_in("mm")
    assert FORCE.parse("1000000 lbf", least=0.0, most=1e6) == 1e6
    assert TEMPERATURE.parse("-73.3333333333 C", least=-100.0) == pytest.approx(-100.0)


@pytest.mark.parametrize(
    ("printed", "metric"),
    [
        ("steel welds; 50 to 125 F", "steel welds; 10 to 52 C"),
        ("heated above 1000 F since", "heated above 538 C since"),
        (
            "toward the 55 to 62 ksi of annealed bar",
            "toward the 379.2 to 427.5 MPa of annealed bar",
        ),
        ("11000000 psi (79 GPa)", "75,842.3 MPa (79 GPa)"),
        ("No figure, 3 Forgings", "No figure, 3 Forgings"),
    ],
)
def test_figures_inside_a_printed_text(printed: str, metric: str) -> None:
    assert in_shop_figures(printed) == printed
    show_dial_in("mm")
    assert in_shop_figures(printed) == metric
