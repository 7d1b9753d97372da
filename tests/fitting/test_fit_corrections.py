"""Keys on tapers and in short hubs, oval bores, tapers that cannot sit where they were measured."""

from __future__ import annotations

import math

import pytest

from core.base.errors import ShaftlogError
from core.fitting.coupling.bore import fit
from core.fitting.coupling.bore_shape import DiameterReading, measure_part
from core.fitting.keys.strength import working_length_in
from tui.widgets.field import FieldSpec


@pytest.mark.parametrize(
    ("round_ends", "hub_in", "carries_in"),
    [
        (0, 2.5, 2.5),
        (1, 2.5, 2.25),
        (2, 2.5, 2.25),
        (2, 2.9, 2.5),
        (1, 3.5, 2.75),
        (2, None, 2.5),
    ],
)
def test_a_round_end_inside_the_hub_carries_less(
    round_ends: int, hub_in: float | None, carries_in: float
) -> None:
    """A key of 1/2 x 3 in; geometry: each round end inside the hub takes off half the width."""
    found = working_length_in(
        key_length_in=3.0, width_in=0.5, hub_length_in=hub_in, round_ends=round_ends
    )
    assert found == pytest.approx(carries_in)


def test_a_key_of_round_ends_alone_is_refused() -> None:
    with pytest.raises(ShaftlogError, match="no straight length"):
        working_length_in(key_length_in=0.5, width_in=0.5, hub_length_in=None, round_ends=2)


def oval(clocks_deg: tuple[float, ...], *, most_at_deg: float = 30.0) -> list[DiameterReading]:
    """An oval of 2.00 thou on 2 in: d = mean + 1 thou x cos 2(t - most)."""
    return [
        DiameterReading(
            1.0, math.radians(c), 2.0 + 0.001 * math.cos(2 * math.radians(c - most_at_deg))
        )
        for c in clocks_deg
    ]


@pytest.mark.parametrize(
    "clocks", [(0.0, 60.0, 120.0), (0.0, 45.0, 90.0), (10.0, 70.0, 100.0, 150.0)]
)
def test_three_clocks_solve_the_ellipse(clocks: tuple[float, ...]) -> None:
    part = measure_part("bore", oval(clocks), 0.0002)
    assert part is not None
    assert part.ovality_in == pytest.approx(0.002, abs=1e-9)
    assert part.least_in == pytest.approx(1.999, abs=1e-9)
    assert part.most_in == pytest.approx(2.001, abs=1e-9)
    assert part.ovality_solved
    assert "oval 2.0 thou" in part.words
    assert "or more" not in part.words


def test_two_clocks_say_what_they_cannot_see() -> None:
    part = measure_part("bore", oval((0.0, 90.0), most_at_deg=45.0), 0.0002)
    assert part is not None
    assert not part.ovality_solved
    assert any("an oval half way between not seen" in words for words in part.missing)


def test_clocks_too_close_together_solve_nothing() -> None:
    part = measure_part("bore", oval((0.0, 8.0, 16.0)), 0.0002)
    assert part is not None
    assert not part.ovality_solved
    assert part.most_in - part.least_in < 0.001


def taper(setback_in: float | None, wanted_in: float | None = None):  # type: ignore[no-untyped-def]
    """3/4 in per foot; the bore a hair smaller, so that the hub touches 0.005 in before flush."""
    per_in = 0.0625
    depths = (0.5, 2.0, 3.5)

    def readings(start_in: float) -> list[DiameterReading]:
        return [
            DiameterReading(x, math.radians(c), start_in + per_in * x)
            for x in depths
            for c in (0.0, 90.0)
        ]

    return fit(
        bore=readings(1.875 + 0.005 * per_in),
        seat=readings(1.875),
        kind="tapered",
        setback_in=setback_in,
        wanted_interference_in=wanted_in,
        blue_share=0.9,
    )


def test_first_touch_and_setback_are_compared() -> None:
    """0.060 in inside measured, 0.005 in beyond by the diameters: 65 thou apart, 4 on diameter."""
    found = taper(0.060)
    assert found.taper is not None
    assert found.taper.first_touch_in == pytest.approx(0.005, abs=1e-6)
    assert found.verdict.word == "not right"
    assert "0.060 in inside" in found.verdict.words
    assert "0.065 in apart, 4.1 thou" in found.verdict.words


@pytest.mark.parametrize(
    ("setback_in", "wanted_in"), [(None, None), (-0.005, None), (-0.013, 0.001)]
)
def test_a_setback_at_first_touch_or_drawn_up_is_right(
    setback_in: float | None, wanted_in: float | None
) -> None:
    assert taper(setback_in, wanted_in).verdict.word == "right"


def test_a_word_that_fits_several_materials_chooses_none() -> None:
    """'steel' typed for a hub is no stainless grade."""
    choices = (
        ("S30400", "stainless steel 18-8"),
        ("S31600", "stainless steel with molybdenum"),
        ("G10450", "carbon steel"),
    )
    field = FieldSpec("hub", "Hub material", "pick", "", choices=choices)
    assert field.best_match("steel") == ""
    assert field.parse("steel") == "steel"
    assert "3 fit" in field.match_words("steel")
    assert field.best_match("carbon") == "G10450"
    assert field.best_match("s30400") == "S30400"
