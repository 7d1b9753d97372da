"""Station lists: even, inside the shaft, with every roller and riding area."""

from __future__ import annotations

import math
from itertools import pairwise

import pytest

from core.base.errors import BadShaft
from core.runout.stations import mark_list, station_list, with_station

AREAS = ((0.0, 5.0), (20.0, 32.0), (80.0, 90.0), (110.0, 120.0))


def test_every_area_and_roller_gets_a_station() -> None:
    stations = station_list(
        length_in=120.0, spacing_in=6.0, rollers_in=(24.0, 96.0), areas_in=AREAS
    )
    assert {24.0, 96.0} <= set(stations)
    for start, end in AREAS:
        assert any(start <= s <= end for s in stations)
    assert list(stations) == sorted(set(stations))
    assert all(0 < s < 120 for s in stations)
    gaps = [b - a for a, b in pairwise(stations)]
    assert max(gaps) <= 6.0 * 1.41
    assert min(gaps) >= 6.0 * 0.19


def test_an_even_list_without_areas() -> None:
    assert station_list(length_in=24.0, spacing_in=6.0) == (1.0, 6.0, 12.0, 18.0, 23.0)


@pytest.mark.parametrize(
    ("length", "spacing"),
    [(0.0, 6.0), (math.nan, 6.0), (math.inf, 6.0), (120.0, 0.0), (120.0, -1.0), (120.0, 0.01)],
)
def test_impossible_lists_are_refused(length: float, spacing: float) -> None:
    with pytest.raises(BadShaft):
        station_list(length_in=length, spacing_in=spacing)


def test_a_station_is_added_in_its_place() -> None:
    assert with_station((6.0, 12.0), 9.0, 120.0) == (6.0, 9.0, 12.0)
    assert with_station((12.0, 6.0), 9.0, 120.0) == (12.0, 9.0, 6.0)
    assert with_station((6.0, 18.0, 12.0), 9.0, 120.0) == (6.0, 18.0, 12.0, 9.0)
    for wrong in (-1.0, 121.0, 6.004):
        with pytest.raises(BadShaft):
            with_station((6.0, 12.0), wrong, 120.0)


def test_marks_are_even() -> None:
    assert mark_list(8) == (0.0, 45.0, 90.0, 135.0, 180.0, 225.0, 270.0, 315.0)
    with pytest.raises(BadShaft):
        mark_list(0)


def test_rollers_that_carry_no_shaft_are_refused_before_anything_is_read() -> None:
    with pytest.raises(BadShaft, match="1 in apart do not carry a shaft of 96 in"):
        station_list(length_in=96.0, spacing_in=6.0, rollers_in=(2.0, 3.0))
    assert station_list(length_in=96.0, spacing_in=6.0, rollers_in=(30.0, 43.0))
