"""A verdict names the station whose reading would tell more."""

from __future__ import annotations

import numpy as np

from core.analysis.area_verdicts import judge_areas
from core.runout.line import ShaftLine
from core.runout.verdict import Area

X = np.array([3.0, 9.0, 15.0, 33.0, 39.0, 45.0])


def read_in(from_in: float, to_in: float) -> float | None:
    line = ShaftLine(X, np.zeros((X.size, 2)), np.full(X.size, 1e-4), np.array([5.0, 42.0]))
    (verdict,) = judge_areas([Area("a", "bearing", from_in, to_in, 0.002)], line)
    return verdict.read_in


def test_a_station_is_named_where_none_was_read() -> None:
    assert read_in(20.0, 30.0) == 25.0
    assert read_in(33.0, 55.0) == 50.0
    assert 15.0 < (read_in(12.0, 36.0) or 0.0) < 33.0


def test_no_station_is_named_for_an_area_that_is_settled() -> None:
    assert read_in(34.0, 44.0) is None
