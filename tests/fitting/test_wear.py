"""Wear of a riding area: hand-worked lines, few points, built-up places."""

from __future__ import annotations

import math

import pytest

from core.base.errors import BadReadings, ShaftlogError
from core.fitting.shaft.wear import GREW_IN, MIKE_IN, Miked, wear_of


def test_two_visits_rest_on_the_mike_alone() -> None:
    # 4 thou in 4 years; half width 2.228 (Student, 10) x 0.3 x sqrt(2) / 4 = 0.2363 thou a year.
    found = wear_of([Miked(4.0, 1.746), Miked(0.0, 1.750)], least_in=1.744)
    assert found.rate_in == pytest.approx(0.001)
    assert found.rate_u95_in == pytest.approx(2.2281 * MIKE_IN * math.sqrt(2) / 4, rel=1e-3)
    assert found.clear
    assert found.reached is not None
    assert found.reached.at_years == pytest.approx(6.0)
    assert found.reached.earliest_years < 6.0 < (found.reached.latest_years or 0)


def test_wear_within_the_mike_is_not_clear_and_has_no_latest_day() -> None:
    found = wear_of([Miked(0.0, 1.7500), Miked(1.0, 1.7498)], least_in=1.74)
    assert not found.clear
    assert found.reached is not None
    assert found.reached.latest_years is None
    # The steep edge: 0.2 + 0.9452 thou a year from near 1.7499; 10 thou take some 9 years.
    assert found.reached.earliest_years == pytest.approx(9.1, abs=0.2)


def test_a_third_visit_on_the_line_makes_it_surer() -> None:
    two = wear_of([Miked(0.0, 1.750), Miked(4.0, 1.746)])
    three = wear_of([Miked(0.0, 1.750), Miked(2.0, 1.748), Miked(4.0, 1.746)])
    scattered = wear_of([Miked(0.0, 1.750), Miked(2.0, 1.751), Miked(4.0, 1.746)])
    assert three.rate_in == pytest.approx(0.001)
    assert two.rate_u95_in is not None
    assert (three.rate_u95_in or 1) < two.rate_u95_in < (scattered.rate_u95_in or 0)


def test_one_visit_or_one_day_has_no_rate() -> None:
    one = wear_of([Miked(3.0, 1.75)], least_in=1.74)
    assert (one.rate_in, one.reached, one.clear) == (None, None, False)
    assert wear_of([Miked(3.0, 1.75), Miked(3.1, 1.749)]).rate_in is None


def test_a_place_that_grew_was_built_up_and_starts_again() -> None:
    taken = [Miked(0, 1.750), Miked(3, 1.744), Miked(3.01, 1.750), Miked(7, 1.746)]
    found = wear_of(taken)
    assert found.built_up
    assert [m.at_years for m in found.used] == [3.01, 7]
    assert found.rate_in == pytest.approx(0.004 / 3.99)
    grown = wear_of([Miked(0, 1.750), Miked(3, 1.750 + GREW_IN * 0.99)], least_in=1.7)
    assert not grown.built_up
    assert grown.reached is None


def test_bad_diameters_are_refused_in_words() -> None:
    with pytest.raises(BadReadings, match="Measure it first"):
        wear_of([])
    with pytest.raises(ShaftlogError, match="diameter"):
        wear_of([Miked(0, -1.0)])
    with pytest.raises(ShaftlogError, match="least diameter"):
        wear_of([Miked(0, 1.0)], least_in=math.nan)
