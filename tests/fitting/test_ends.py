"""Measured shaft ends against the standard, parts to offer, the order sheet."""

from __future__ import annotations

import pytest

from core.base.errors import ShaftlogError
from core.fitting.shaft.ends import (
    FIGURES,
    compare_end,
    hub_draw,
    identify_taper,
    metric_end,
    standard_end,
)
from core.fitting.shaft.parts import UNVERIFIED, order_sheet, parts_to_offer

END = standard_end(diameter_in=1.75)


def test_measured_end_against_the_standard() -> None:
    found = compare_end(
        measured={
            "small end": 1.4360,
            "taper length": 5.02,
            "keyway width": 0.4390,
            "keyway side depth": 0.220,
            "thread diameter": 1.0,
        },
        standard=END,
    )
    words = {line.what: line.word for line in found}
    assert words == {
        "small end": "under",
        "taper length": "near",
        "keyway width": "over",
        "keyway side depth": "within",
        "thread diameter": "off",
        "threads per inch": "not measured",
        "thread length": "no figure",
        "hub small end": "not measured",
        "hub draw": "not measured",
    }
    assert "from memory" in next(x.words for x in found if x.what == "thread diameter")


def test_unknown_names_and_bad_figures_are_refused() -> None:
    with pytest.raises(ShaftlogError, match="Known"):
        compare_end(measured={"colour": 1.0}, standard=END)
    with pytest.raises(ShaftlogError, match="above zero"):
        compare_end(measured={"small end": -1.0}, standard=END)


@pytest.mark.parametrize("size", [1.6, 0.5, 44.45, -2.0, float("nan")])
def test_sizes_not_in_the_table(size: float) -> None:
    with pytest.raises(ShaftlogError):
        standard_end(diameter_in=size)


def test_metric_sizes_not_in_the_table() -> None:
    assert metric_end(diameter_mm=25).figure("taper length").status.endswith("low confidence")
    with pytest.raises(ShaftlogError, match="only 25 and 30"):
        metric_end(diameter_mm=40)


@pytest.mark.parametrize(
    ("small", "name"), [(1.4375, "1:16"), (1.25, "1:10"), (1.3333, "1:12"), (1.60, "")]
)
def test_which_taper(small: float, name: str) -> None:
    found = identify_taper(large_in=1.75, small_in=small, length_in=5.0)
    assert name in found.name
    assert bool(found.name) == bool(name)


def test_taper_refusals() -> None:
    with pytest.raises(ShaftlogError, match="Swap"):
        identify_taper(large_in=1.4, small_in=1.75, length_in=5)
    with pytest.raises(ShaftlogError, match="above zero"):
        identify_taper(large_in=1.75, small_in=1.4, length_in=0)


def test_hub_draw() -> None:
    good = hub_draw(shaft_small_end_in=1.4375, hub_small_end_in=1.4219, standard=END)
    assert good.draw_in == pytest.approx(0.25, abs=0.001)
    worn = hub_draw(shaft_small_end_in=1.4375, hub_small_end_in=1.4400, standard=END)
    assert worn.draw_in < 0
    assert "bottom" in worn.words


def test_parts_that_are_there_are_not_offered() -> None:
    everything = parts_to_offer(standard=END, diameter_in=1.75)
    fewer = parts_to_offer(standard=END, diameter_in=1.75, present=["Key", "cotter pin"])
    assert {p.name for p in everything} - {p.name for p in fewer} == {"key", "cotter pin"}
    nut = next(p for p in everything if p.name == "propeller nut")
    assert UNVERIFIED in nut.size
    assert "from memory" in nut.size
    key = next(p for p in everything if p.name == "key")
    assert "differ" in key.size
    assert "measure" in parts_to_offer(standard=None)[0].size


def test_order_sheet_marks_every_figure_that_was_not_measured() -> None:
    lines = order_sheet(
        known={"shaft diameter": "1.7500 in"}, measured={"small end": 1.4375}, standard=END
    )
    by_name = {line.what: line for line in lines}
    assert {line.what for line in lines if line.verified} == {"shaft diameter", "small end"}
    for line in lines:
        assert (UNVERIFIED in line.text) != line.verified
        assert len(line.text) <= 80, line.text
    assert "from memory" in by_name["thread diameter"].text
    assert "measure before ordering" in by_name["overall length"].text
    assert {name for name in FIGURES if not name.startswith("hub")} <= set(by_name)


def test_order_sheet_without_a_standard_stays_open() -> None:
    lines = order_sheet(known={}, measured={}, standard=None)
    assert not any(line.verified or line.value for line in lines)


def word_of(what: str, value: float) -> str:
    (line,) = [x for x in compare_end(measured={what: value}, standard=END) if x.measured]
    return line.word


def test_a_length_is_near_within_a_thirty_second() -> None:
    """As a rule reads it; common practice, no source."""
    taper = {5.0: "near", 5.02: "near", 5.03125: "near", 5.04: "off", 4.96: "off", 6.0: "off"}
    assert {length: word_of("taper length", length) for length in taper} == taper


def test_a_size_without_limits_is_near_within_five_thou() -> None:
    """Common practice, no source."""
    thread = END.figure("thread diameter")
    assert thread is not None
    assert thread.nominal is not None
    off = {0.004: "near", -0.004: "near", 0.006: "off", -0.006: "off"}
    assert {x: word_of("thread diameter", thread.nominal + x) for x in off} == off


@pytest.mark.parametrize("size", [0.75, 1.0, 1.75, 2.5, 4.0, 5.5])
def test_every_nominal_lies_between_its_limits(size: float) -> None:
    for figure in standard_end(diameter_in=size).figures:
        if figure.low is not None and figure.high is not None:
            assert figure.nominal is not None
            assert figure.low <= figure.nominal <= figure.high


def test_the_side_depth_of_the_keyway_is_told_as_the_middle_of_its_limits() -> None:
    depth = END.figure("keyway side depth")
    assert depth is not None
    assert depth.low is not None
    assert depth.high is not None
    assert depth.nominal == pytest.approx((depth.low + depth.high) / 2)


@pytest.mark.parametrize(("off", "known"), [(0.0114, True), (-0.0114, True), (0.0121, False)])
def test_a_taper_is_known_within_its_slack_and_the_doubt_of_both_diameters(
    off: float, known: bool
) -> None:
    """Two diameters of +-0.0005 over 5 in: 12 root 2 0.0005 / 5 = 0.0017 in per foot on 0.010."""
    small = 1.75 - 5.0 * (0.750 + off) / 12
    found = identify_taper(large_in=1.75, small_in=small, length_in=5.0, u95_in=0.0005)
    assert bool(found.name) == known
