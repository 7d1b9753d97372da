"""What a setting changes on its example, and values out of the usual."""

from __future__ import annotations

from dataclasses import asdict, replace
from datetime import date

import pytest

from core.base.dial_unit import show_dial_in
from core.book.settings import FIELDS, ShopSettings
from core.jobs.shop.examples import example
from core.jobs.shop.unusual import USUAL, unusual

TODAY = date(2026, 11, 29)
FIRST = ShopSettings()
FIGURES = {
    field.name: value
    for field in FIELDS
    if isinstance(value := getattr(FIRST, field.name), int | float) and not isinstance(value, bool)
}
NO_EXAMPLE = {"backups_kept"}


@pytest.mark.parametrize("name", sorted(set(FIGURES) - NO_EXAMPLE))
def test_another_figure_makes_another_example(name: str) -> None:
    grown = replace(FIRST, **{name: type(FIGURES[name])((FIGURES[name] or 0.002) * 3)})
    assert example(name, FIRST, TODAY)
    assert example(name, grown, TODAY) != example(name, FIRST, TODAY)


@pytest.mark.parametrize(
    ("name", "changed", "said"),
    [
        ("limit_taper_in", {"acceptance_rule": "simple"}, "known to 1.0 to 2.2, is then 'true'"),
        ("limit_taper_in", {}, "is then 'too close to call'"),
        ("marks", {"marks": 4}, "4 marks can miss up to 29 %"),
        ("date_order", {"date_order": "day first"}, "12 Oct 2027"),
        ("date_order", {}, "Thu 10 Dec"),
        ("hold_hours", {"hold_hours": 12.0}, "from 04:00 the next day"),
        ("press_capacity_lbf", {"press_capacity_lbf": 5000.0}, "NOT ENOUGH"),
        ("bore_clearance_most_in", {}, "the bore may be 2.0000 to 2.0010 in"),
        ("resolution_in", {}, "show 0.50 thou"),
    ],
)
def test_the_example_says_what_the_shop_will_see(
    name: str, changed: dict[str, object], said: str
) -> None:
    shop = ShopSettings(**(asdict(FIRST) | changed))  # type: ignore[arg-type]
    assert said in example(name, shop, TODAY)


def test_examples_of_a_metric_shop_are_metric() -> None:
    show_dial_in("mm")
    said = [example(field.name, replace(FIRST, unit="mm"), TODAY) for field in FIELDS]
    assert not [words for words in said if " thou" in words and "typed for a reading" not in words]


def test_the_first_values_are_usual() -> None:
    assert [name for name in USUAL if unusual(name, getattr(FIRST, name))] == []


@pytest.mark.parametrize(
    ("name", "value", "likely", "unit"),
    [
        ("limit_taper_in", 0.05, 0.05 / 25.4, "mm"),
        ("resolution_in", 0.01, 0.01 / 25.4, "mm"),
        ("repeatability_in", 0.2, 0.0002, "thou"),
        ("spacing_in", 150.0, 150 / 25.4, "mm"),
        ("hold_hours", 0.5, None, ""),
        ("marks", 3, None, ""),
    ],
)
def test_a_value_out_of_the_usual_is_asked_about(
    name: str, value: float, likely: float | None, unit: str
) -> None:
    doubt = unusual(name, value)
    assert doubt is not None
    assert doubt.likely == (None if likely is None else pytest.approx(likely))
    assert unit in doubt.likely_words
    assert "out of the usual" in doubt.sentence


def test_a_metric_shop_is_asked_about_the_units_that_it_does_not_read() -> None:
    """Found: 2 mm for a limit was 'typed in mm: 0.079 mm'; a spacing of 6 was not in inches."""
    show_dial_in("mm")
    limit, spacing = unusual("limit_taper_in", 2 / 25.4), unusual("spacing_in", 6 / 25.4)
    assert limit is not None
    assert limit.likely_words == "It was typed in thou: 0.051 mm"
    assert spacing is not None
    assert (spacing.likely, spacing.likely_words) == (6.0, "It was typed in inches: 152.4 mm")


def test_prices_and_words_have_no_usual_range() -> None:
    assert not [n for n in ("labour_rate", "shop_name", "bell") if unusual(n, 99999.0)]
