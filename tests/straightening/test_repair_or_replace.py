"""Repair or replace: costs, break-even, stop reasons, words for the owner."""

from __future__ import annotations

from dataclasses import replace
from math import inf, pi

import pytest

from core.base.errors import ShaftlogError
from core.straightening.repair_or_replace import (
    Bar,
    Effort,
    KnownWork,
    PriceLine,
    Prices,
    crack_stops,
    decide,
    line_words,
    repeat_stops,
    worn_stops,
)

PRICES = Prices(
    labour_rate=100.0, consumables=40.0, bar_per_lb=12.0, machining=600.0, freight=150.0
)
BAR = Bar(2.0, 118.0, 0.285)
EFFORT = Effort(7, 9, 2.0, 2.6)


def test_costs_by_hand() -> None:
    told = decide(EFFORT, PRICES, BAR, known_work=[KnownWork("coupling face", 0.5, 30.0)])
    assert told.repair_cost == pytest.approx(2.0 * 100 + 40 + 50 + 30)
    assert told.repair_90 == pytest.approx(told.repair_cost + 60)
    weight = pi / 4 * 4 * 120 * 0.285  # 107.44 lb
    assert told.replace_cost == pytest.approx(round(weight, 1) * 12 + 750, abs=0.01)
    assert told.break_even_hours == pytest.approx((told.replace_cost - 120) / 100)
    assert told.word == "repair"


def test_at_break_even_both_cost_the_same() -> None:
    hours = decide(EFFORT, PRICES, BAR).break_even_hours
    even = decide(Effort(9, 12, hours, hours), PRICES, BAR)
    assert even.repair_cost == pytest.approx(even.replace_cost, abs=1.0)
    less = decide(Effort(9, 12, hours - 0.1, hours - 0.1), PRICES, BAR)
    more = decide(Effort(9, 12, hours + 0.1, hours + 0.1), PRICES, BAR)
    assert (less.word, more.word) == ("repair", "replace")


def test_a_risky_repair_leaves_the_choice_to_the_owner() -> None:
    told = decide(Effort(20, 60, 10.0, 30.0), PRICES, BAR)
    assert told.word == "either"
    assert "The choice is yours" in told.text


def test_a_crack_ends_the_repair_however_cheap() -> None:
    told = decide(EFFORT, PRICES, BAR, stops=crack_stops(["propeller keyway and its end"]))
    assert told.word == "replace"
    assert "There is a crack at the propeller keyway" in told.text
    assert "We recommend a new shaft" in told.text
    assert "Straightening should take" not in told.text


def test_wear_under_the_limit_ends_it_too() -> None:
    stops = worn_stops([("bearing", 1.9890, 1.9900), ("shaft log", 1.9990, 1.9900)])
    assert len(stops) == 1
    assert "1.9890" in stops[0].say
    assert decide(EFFORT, PRICES, BAR, stops=stops).word == "replace"


def test_an_old_repair_is_a_caution_only() -> None:
    stops = repeat_stops([43.5, 80.0], [45.0, 20.0], 2.0)
    assert [s.kind for s in stops] == ["straightened before"]
    assert "43.5 in" in stops[0].say
    told = decide(EFFORT, PRICES, BAR, stops=stops)
    assert told.word == "repair"
    assert "straightened before" in told.text
    assert repeat_stops([43.5], [], 2.0) == ()


def test_the_text_carries_every_figure_the_owner_hears() -> None:
    told = decide(EFFORT, PRICES, BAR, n_bends=2, worst_tir_in=0.144)
    for word in (
        "144 thou", "2 bends", "7 to 9 hits", "2.0 hours", "no more than 2.6",
        f"{told.repair_cost:,.0f}", f"{told.replace_cost:,.0f}", "machining",
        f"{told.break_even_hours:.1f} hours", "We recommend the repair",
    ):  # fmt: skip
        assert word in told.text
    assert "nan" not in told.text


def test_the_price_of_the_repair_names_the_work_in_it() -> None:
    few = decide(EFFORT, PRICES, BAR).text
    assert "for straightening, penetrant and consumables; work not named here" in few
    assert "whole repair" not in few
    more = decide(EFFORT, PRICES, BAR, known_work=[KnownWork("coupling face", 0.5, 30.0)]).text
    assert "penetrant and consumables, coupling face; work" in more


def test_quote_lines_add_up() -> None:
    told = decide(EFFORT, PRICES, BAR)
    assert told.repair_lines[0] == PriceLine("straightening, bench hours", 2.0, 100.0)
    assert told.repair_cost == sum(line.amount for line in told.repair_lines)
    assert next(line.label for line in told.replace_lines) == "bar, lb"


def test_free_labour_never_breaks_even() -> None:
    told = decide(EFFORT, replace(PRICES, labour_rate=0.0), BAR)
    assert told.break_even_hours == inf
    assert "inf" not in told.text


def test_known_work_dearer_than_a_new_shaft() -> None:
    told = decide(EFFORT, PRICES, BAR, known_work=[KnownWork("new taper", price=5000.0)])
    assert told.break_even_hours == 0.0
    assert told.word == "replace"


@pytest.mark.parametrize(
    ("effort", "prices", "bar", "match"),
    [
        (EFFORT, replace(PRICES, labour_rate=-1.0), BAR, "labour rate"),
        (EFFORT, replace(PRICES, freight=float("nan")), BAR, "freight"),
        (EFFORT, PRICES, replace(BAR, diameter_in=0.0), "diameter"),
        (EFFORT, PRICES, replace(BAR, density_lb_in3=0.0), "density"),
        (Effort(3, 2, 2.0, 1.0), PRICES, BAR, "upside down"),
    ],
)
def test_bad_figures_are_refused(effort: Effort, prices: Prices, bar: Bar, match: str) -> None:
    with pytest.raises(ShaftlogError, match=match):
        decide(effort, prices, bar)


def test_free_labour_with_known_work_dearer_than_a_new_shaft() -> None:
    """Nothing to go on: no hour of straightening is cheap enough when the rest costs too much."""
    told = decide(
        EFFORT,
        replace(PRICES, labour_rate=0.0),
        BAR,
        known_work=[KnownWork("new taper", price=5000.0)],
    )
    assert told.break_even_hours == 0.0
    assert told.word == "replace"


def test_the_penetrant_check_is_still_spoken_of_only_while_a_repair_may_follow() -> None:
    says = "Every reckoning ends if the penetrant check finds a crack."
    assert says in decide(EFFORT, PRICES, BAR).text
    assert says in decide(Effort(20, 60, 10.0, 30.0), PRICES, BAR).text
    cracked = decide(EFFORT, PRICES, BAR, stops=crack_stops(["taper"])).text
    dear = decide(Effort(20, 60, 90.0, 99.0), PRICES, BAR).text
    for text in (cracked, dear):
        assert says not in text
        assert text.endswith("Prices before tax.")


def test_a_price_line_states_hours_as_a_quantity_not_over_money() -> None:
    told = decide(EFFORT, PRICES, BAR, known_work=[KnownWork("new taper", hours=1.5)])
    words = [line_words(line.label, line.quantity) for line in told.repair_lines]
    assert words[0] == "straightening, 2 h"
    assert words[-1] == "new taper, 1.5 h"
    assert not any("hours" in word for word in words)
    assert line_words("bar, of S31600, lb", 60.0) == "bar, of S31600, 60 lb"
    assert line_words("freight", 1) == "freight"
