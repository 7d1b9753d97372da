"""Figures typed in another unit are asked about."""

from __future__ import annotations

import pytest

from core.fitting.measured.unit_check import unit_doubt, unit_doubts


@pytest.mark.parametrize(
    ("typed", "unit"), [(44.45, "millimetres"), (1750.0, "thou"), (17.5, "point"), (0.175, "point")]
)
@pytest.mark.parametrize("nominal", [1.75, 1.7508])
def test_likely_reading(typed: float, unit: str, nominal: float) -> None:
    doubt = unit_doubt(typed, nominal)
    assert doubt is not None
    assert unit in doubt.unit
    assert doubt.likely_in == pytest.approx(1.75)
    assert doubt.sentence.endswith("1.7500 in.")


@pytest.mark.parametrize("typed", [1.75, 1.7508, 1.70, 1.85])
def test_good_figures_are_not_asked_about(typed: float) -> None:
    assert unit_doubt(typed, 1.75) is None


@pytest.mark.parametrize("typed", [0.0, -1.75, float("nan"), float("inf"), 1.2, 5.0])
def test_figures_no_unit_explains(typed: float) -> None:
    doubt = unit_doubt(typed, 1.75)
    assert doubt is not None
    assert doubt.likely_in is None
    assert doubt.sentence


@pytest.mark.parametrize(("typed", "likely"), [(44.45, 1.75), (1750.0, 1.75), (76.2, 3.0)])
def test_without_a_nominal_the_range_of_shafts_decides(typed: float, likely: float) -> None:
    doubt = unit_doubt(typed)
    assert doubt is not None
    assert doubt.likely_in == pytest.approx(likely)
    assert unit_doubt(1.75) is None


def test_among_alike_figures_the_odd_one_is_found() -> None:
    doubts = unit_doubts([1.7501, 1.7502, 44.45, 1.7500])
    assert [doubt.value_in for doubt in doubts] == [44.45]
    assert unit_doubts([]) == ()
