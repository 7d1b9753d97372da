"""Lengths and clocks as typed: understood or refused by name, never misread."""

from __future__ import annotations

import math
import subprocess
import sys

import pytest

from core.base.dial_unit import show_dial_in
from core.base.errors import BadNumber
from core.base.units import (
    Unit,
    format_angle,
    format_clock,
    format_dial,
    format_from_to,
    format_in_unit,
    format_inch,
    format_length,
    format_mm,
    format_size,
    format_station,
    in_shop_unit,
    number_text,
    parse_clock_rad,
    parse_length_in,
    parse_number,
    parse_place_in,
)


@pytest.mark.parametrize(
    ("text", "unit", "inches"),
    [
        ("1.75", "in", 1.75),
        (" 1.75 in ", "in", 1.75),
        ('1-3/4"', "in", 1.75),
        ("1-3/4", "in", 1.75),
        ("1 3/4", "in", 1.75),
        ("1 - 3/4", "in", 1.75),
        ("3/4", "in", 0.75),
        ("7/4", "in", 1.75),
        ("-1-3/4", "in", -1.75),
        ("1½", "in", 1.5),
        ("1 ½", "in", 1.5),
        ("½", "in", 0.5),
        ("2⅝ in", "in", 2.625),
        ("1⁄4", "in", 0.25),
        ("−5", "thou", -0.005),
        ("–5", "thou", -0.005),
        ("+12.5", "thou", 0.0125),
        ("12.5 thou", "in", 0.0125),
        ("1/2 thou", "in", 0.0005),
        ("25.4 mm", "in", 1.0),
        ("25.4MM", "in", 1.0),
        ("25.4", "mm", 1.0),
        ("0,125", "in", 0.125),
        (",5", "in", 0.5),
        ("5.", "in", 5.0),
        ("1,25", "in", 1.25),
        ("12,5", "thou", 0.0125),
        ("1,2500", "in", 1.25),
        ("1100,125", "in", 1100.125),
        ("-0,12", "thou", -0.00012),
        ("0", "thou", 0.0),
        ("5″", "thou", 5.0),
    ],
)
def test_understood(text: str, unit: Unit, inches: float) -> None:
    assert parse_length_in(text, unit) == pytest.approx(inches, rel=1e-15, abs=0)


@pytest.mark.parametrize(
    ("text", "unit", "says"),
    [
        ("", "in", "empty"),
        ("   ", "in", "empty"),
        ("abc", "in", "not a number"),
        ("in", "in", "not a number"),
        ("nan", "in", "not a number"),
        ("inf", "in", "not a number"),
        ("-inf", "in", "not a number"),
        ("1e9", "in", "in full"),
        ("1E-3", "in", "in full"),
        ("1000000000", "in", "out of range"),
        ("1" * 30, "in", "far too large"),
        ("1" * 5000, "in", "too many digits"),
        ("1,250", "in", "1.250 or as 1250"),
        ("12,500 thou", "in", "12.500 or as 12500"),
        ("1.250,5", "in", "more than one comma or point"),
        ("1,250.5", "in", "more than one comma or point"),
        ("1,2,3", "in", "more than one comma or point"),
        ("1.2.3", "in", "not a number"),
        ("--5", "in", "not a number"),
        ("5-", "in", "not a number"),
        (".", "in", "not a number"),
        ("-", "in", "not a number"),
        ("1_000", "in", "not a number"),
        ("٣", "in", "not a number"),
        ("1 2", "in", "not a number"),
        ("0x10", "in", "not a number"),
        ("6 ft", "in", "feet"),
        ("2'6\"", "in", "feet"),
        ("1/3", "in", "3ths"),
        ("1/0", "in", "0ths"),
        ("1-4/4", "in", "whole inch"),
        ("1/2/3", "in", "not a fraction"),
        ("1.5/2", "in", "not a fraction"),
        ("⅓", "in", "not a number"),
        ("3/4", "thou", "part of an inch"),
        ("1-3/4", "mm", "part of an inch"),
        ("5 furlongs", "in", "not a number"),
        ("1\x00", "in", "not a number"),
    ],
)
def test_refused_by_name(text: str, unit: Unit, says: str) -> None:
    with pytest.raises(BadNumber, match=says.replace("(", r"\(")) as caught:
        parse_length_in(text, unit, what="Reading")
    message = str(caught.value)
    assert message.startswith("Reading")
    assert len(message) < 200
    assert message.isprintable()


def test_range_is_said_in_the_unit_typed() -> None:
    with pytest.raises(BadNumber, match="-500 to 500 thou"):
        parse_length_in("700", "thou", least_in=-0.5, most_in=0.5)


@pytest.mark.parametrize(
    ("text", "degrees"),
    [
        ("0", 0),
        ("45", 45),
        ("22,5", 22.5),
        ("360", 0),
        ("90 deg", 90),
        ("90°", 90),
        ("359.5", 359.5),
    ],
)
def test_clock(text: str, degrees: float) -> None:
    assert parse_clock_rad(text) == pytest.approx(math.radians(degrees), abs=1e-12)


@pytest.mark.parametrize("text", ["", "-1", "361", "x", "1e1", "nan", "3 in", "°"])
def test_clock_refused(text: str) -> None:
    with pytest.raises(BadNumber, match="clock"):
        parse_clock_rad(text)


def test_plain_number() -> None:
    assert parse_number("2,5") == 2.5
    assert parse_number("-3") == -3.0
    for text in ("", "2,500", "x", "1e3", "9" * 30, "2000000"):
        with pytest.raises(BadNumber):
            parse_number(text)


def test_formats() -> None:
    assert format_dial(0.00125) == "1.2 thou"
    assert format_dial(-0.00001) == "0.0 thou"
    assert format_inch(1.75) == "1.7500 in"
    assert format_mm(1.0) == "25.400 mm"
    assert format_in_unit(0.001, "mm") == "0.025 mm"
    assert format_in_unit(0.001, "thou") == "1.0 thou"
    assert format_in_unit(0.001, "in", 3) == "0.001 in"
    assert format_size(1.75) == "1-3/4 in"
    assert format_size(-0.75, unit=False) == "-3/4"
    assert format_size(2.0) == "2 in"
    assert format_size(0.0) == "0 in"
    assert format_size(1.7512) == "1.7512 in"
    assert format_clock(math.radians(359.7)) == "0 deg"
    assert format_clock(math.radians(-45), unit="°") == "315°"
    assert format_clock(math.radians(22.5), 1) == "22.5 deg"
    assert format_angle(0.0042) == "4.2 mrad"


@pytest.mark.parametrize(
    ("unit", "places"),
    [
        ("thou", ("13.78 in", "12 to 24.5 in", "1.7500 in", "at 12.5 in", "2 to 3 in")),
        ("mm", ("350 mm", "304.8 to 622.3 mm", "44.450 mm", "at 317.5 mm", "50.8 to 76.2 mm")),
    ],
)
def test_a_place_along_the_shaft_is_shown_in_the_unit_of_the_shop(
    unit: str, places: tuple[str, ...]
) -> None:
    show_dial_in(unit)
    assert places == (
        format_station(350 / 25.4),
        format_from_to(12, 24.5),
        format_length(1.75),
        in_shop_unit("at 12.5 in"),
        in_shop_unit("2 to 3 in"),
    )
    assert in_shop_unit("3/4 in per foot, 1 in 40") == "3/4 in per foot, 1 in 40"


def test_a_number_as_typed_has_no_exponent_and_keeps_its_cents() -> None:
    """Found: a price of 1234567 stood in its field as 1.23457e+06, 123456.78 as 123457."""
    typed = {1234567.0: "1234567", 123456.78: "123456.78", 100.0: "100", -0.0: "0", None: ""}
    assert {value: number_text(value) for value in typed} == typed
    assert number_text(100.0, 0) == "100"


def test_a_runout_inside_a_text_is_no_place() -> None:
    """Found: 'a runout below 0.005 in' was 'below 0.1 mm'."""
    show_dial_in("mm")
    assert (
        in_shop_unit("a runout below 0.005 in is reached") == "a runout below 0.127 mm is reached"
    )
    assert in_shop_unit("0.0005 to 0.001 in") == "0.013 to 0.025 mm"
    assert in_shop_unit("at 0.5 in") == "at 12.7 mm"
    assert in_shop_unit("hit at 0 in") == "hit at 0 mm"


@pytest.mark.parametrize(
    ("unit", "typed", "inches"),
    [
        ("mm", "350", 350 / 25.4),
        ("mm", "14 in", 14.0),
        ("thou", "350 mm", 350 / 25.4),
        ("thou", "14", 14.0),
        ("in", "14", 14.0),
    ],
)
def test_a_typed_place_is_in_the_unit_of_the_shop(unit: str, typed: str, inches: float) -> None:
    show_dial_in(unit)
    assert parse_place_in(typed) == pytest.approx(inches, abs=1e-12)


def test_typing_starts_without_numpy() -> None:
    code = (
        "import sys, core.base.units, core.runout.verdict, core.base.errors\n"
        "assert 'numpy' not in sys.modules"
    )
    subprocess.run([sys.executable, "-c", code], check=True)


@pytest.mark.parametrize("text", ["seven", "hello", "3e", "e5", "1e5e5"])
def test_a_word_is_not_told_to_be_written_without_an_e(text: str) -> None:
    with pytest.raises(BadNumber, match="not a number"):
        parse_number(text)
    for written in ("1e5", "2.5e-3"):
        with pytest.raises(BadNumber, match="in full, without an e"):
            parse_number(written)
