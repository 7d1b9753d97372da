"""Units: what is written is read back the same; what is typed is read exactly or refused."""

from __future__ import annotations

import math
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.base.errors import BadNumber, ShaftlogError
from core.base.units import (
    format_angle,
    format_clock,
    format_dial,
    format_inch,
    format_mm,
    format_size,
    parse_clock_rad,
    parse_length_in,
    parse_number,
)

ODD_CHARACTERS = (
    "0123456789.,-+/ \t\n\r\x00\x1b\x7f\x85\xa0°'\"%[]()_eEinfax"
    "½¼⅛⅓−–—⁄∕″′٣５²\u200b\u202e\u2028\ufeff\ud800🙂"
)
lengths = st.floats(-1000, 1000)


@given(lengths, st.integers(0, 6))
def test_written_lengths_read_back_to_the_last_place_shown(value: float, places: int) -> None:
    for write, last in ((format_dial, 1e-3), (format_inch, 1.0), (format_mm, 1 / 25.4)):
        text = write(value, places)
        back = parse_length_in(text)
        assert abs(back - value) <= 0.5000001 * last * 10.0**-places + 1e-12
        assert write(back, places) == text


@given(st.integers(-64 * 100, 64 * 100))
def test_sizes_in_64ths_are_exact(sixty_fourths: int) -> None:
    assert parse_length_in(format_size(sixty_fourths / 64)) == sixty_fourths / 64


@given(st.integers(0, 99), st.integers(1, 127), st.sampled_from([2, 4, 8, 16, 32, 64, 128]))
def test_mixed_fractions_are_exact(whole: int, top: int, bottom: int) -> None:
    if top >= bottom:
        return
    for text in (f"{whole}-{top}/{bottom}", f"{whole} {top}/{bottom}", f"{whole} {top}/{bottom}in"):
        assert parse_length_in(text) == float(whole + Fraction(top, bottom))


@given(st.decimals(-1000, 1000, places=4))
def test_decimals_are_the_nearest_float_in_every_unit(value) -> None:  # type: ignore[no-untyped-def]
    exact = Fraction(value)
    text = f"{value:f}"
    assert parse_length_in(text) == float(exact)
    assert parse_length_in(text, "thou") == float(exact / 1000)
    assert parse_length_in(text + " mm") == float(exact * 5 / 127)
    assert parse_number(text) == float(exact)


@given(st.decimals(-1000, 1000, places=4))
def test_a_decimal_comma_is_the_point_or_refused(value) -> None:  # type: ignore[no-untyped-def]
    text = f"{value:f}"
    assert parse_length_in(text.replace(".", ",")) == parse_length_in(text)


@given(st.integers(1, 999), st.integers(0, 999), st.sampled_from(["in", "thou", "mm"]))
def test_a_comma_that_may_divide_thousands_is_refused(front: int, back: int, unit) -> None:  # type: ignore[no-untyped-def]
    with pytest.raises(BadNumber, match=rf"{front}\.{back:03d} or as {front}{back:03d}"):
        parse_length_in(f"{front},{back:03d}", unit)


def outcome(parse, text: str) -> float | str:  # type: ignore[no-untyped-def]
    """The value, or the message of a refusal."""
    try:
        return parse(text)
    except ShaftlogError as refusal:
        return str(refusal)


@given(st.text(st.sampled_from(ODD_CHARACTERS), max_size=40))
def test_any_text_is_a_finite_number_or_a_plain_message(text: str) -> None:
    for parse in (parse_length_in, parse_clock_rad, parse_number):
        said = outcome(parse, text)
        if isinstance(said, str):
            assert said.isprintable()
            assert len(said) < 250
        else:
            assert math.isfinite(said)


@given(st.text(alphabet="0123456789.,-+/ \"'inthoum½¾e", max_size=12))
def test_number_like_texts_too(text: str) -> None:
    said = outcome(parse_length_in, text)
    if isinstance(said, float):
        assert math.isfinite(said)
        assert any(c.isdigit() or c in "½¾" for c in text)


@given(st.floats(0, 2 * math.pi), st.integers(0, 6))
def test_clocks_read_back(clock: float, places: int) -> None:
    text = format_clock(clock, places)
    back = parse_clock_rad(text)
    assert 0 <= back < 2 * math.pi
    assert abs(math.remainder(back - clock, 2 * math.pi)) <= math.radians(0.51 * 10.0**-places)


@given(st.floats(-1e-9, 1e-9))
def test_no_minus_zero_is_shown(value: float) -> None:
    assert "-" not in format_dial(value) + format_inch(value) + format_angle(value)
