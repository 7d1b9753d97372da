"""Shapes of a centre line: zero at the rollers, a bow without length is a corner, true slopes."""

from __future__ import annotations

import numpy as np
import pytest

from core.bends.shapes import lift, plain_lift, plain_slopes

ROLLERS = np.array([12.0, 96.0])
X = np.linspace(0.0, 110.0, 23)


def one(value: float) -> np.ndarray:
    return np.array([value])


@pytest.mark.parametrize(("begin", "end"), [(40.0, 40.0), (30.0, 70.0), (2.0, 20.0)])
def test_a_shape_is_zero_at_the_rollers(begin: float, end: float) -> None:
    assert np.allclose(lift(ROLLERS, one(begin), one(end), ROLLERS), 0.0, atol=1e-12)


def test_a_corner_at_mid_span_lifts_by_a_quarter_of_the_span() -> None:
    """Chord geometry: a line pinned at both ends is off by a b / L per radian at its corner."""
    middle = one(54.0)
    assert lift(middle, middle, middle, ROLLERS)[0, 0] == pytest.approx(-42.0 * 42.0 / 84.0)


def test_a_bow_is_the_mean_of_the_corners_in_it() -> None:
    corners = 30.0 + (np.arange(4000) + 0.5) / 100.0
    mean = lift(X, corners, corners, ROLLERS).mean(axis=1)
    bow = lift(X, one(30.0), one(70.0), ROLLERS)[:, 0]
    assert np.allclose(bow, mean, atol=2e-5)


def test_a_short_bow_is_a_corner() -> None:
    corner = lift(X, one(50.0), one(50.0), ROLLERS)
    assert np.allclose(lift(X, one(49.999), one(50.001), ROLLERS), corner, atol=1e-3)


@pytest.mark.parametrize(("begin", "end"), [(41.0, 41.0), (31.0, 71.0)])
def test_slopes_are_those_of_the_lift(begin: float, end: float) -> None:
    h = 1e-6
    by_begin, by_end = plain_slopes(X, one(begin), one(end))
    if begin == end:
        moved = plain_lift(X, one(begin + h), one(end + h)) - plain_lift(X, one(begin), one(end))
        assert np.allclose(by_begin, moved / h, atol=1e-4)
        assert not by_end.any()
    else:
        at_begin = plain_lift(X, one(begin + h), one(end)) - plain_lift(X, one(begin), one(end))
        at_end = plain_lift(X, one(begin), one(end + h)) - plain_lift(X, one(begin), one(end))
        assert np.allclose(by_begin, at_begin / h, atol=1e-4)
        assert np.allclose(by_end, at_end / h, atol=1e-4)
