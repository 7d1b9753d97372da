"""Bell mouths and taper of a part from its diameters: the doubt of an end, the slope."""

from __future__ import annotations

import math

import numpy as np
import pytest

from core.fitting.coupling.bore import DiameterReading, fit
from core.fitting.coupling.bore_shape import PartShape

U95_IN = 0.0003
DEPTHS = (0.0, 0.8, 1.5, 2.6, 3.0, 4.0)


def bore(sizes: list[float], depths: tuple[float, ...] = DEPTHS) -> PartShape:
    readings = [
        DiameterReading(depth, clock, size)
        for depth, size in zip(depths, sizes, strict=True)
        for clock in (0.0, math.pi / 2)
    ]
    found = fit(bore=readings, seat=readings, bore_u95_in=U95_IN).bore
    assert found is not None
    return found


def test_doubt_of_an_end_is_that_of_a_reading_against_the_line_through_the_others() -> None:
    """Prediction from a straight line: 1 + 1 / n + (x - mean)^2 / sum of squares (textbook)."""
    found = bore([2.0 + 0.001 * d for d in DEPTHS])
    inner = np.array(DEPTHS[1:-1])
    for end, depth in zip(found.ends, (DEPTHS[0], DEPTHS[-1]), strict=True):
        square = ((inner - inner.mean()) ** 2).sum()
        factor = 1 + 1 / inner.size + (depth - inner.mean()) ** 2 / square
        assert end.u95_in == pytest.approx(U95_IN * math.sqrt(factor))
        assert end.excess_in == pytest.approx(0.0, abs=1e-12)
        assert not end.seen


@pytest.mark.parametrize("mouth", [0, -1])
def test_excess_of_an_end_against_the_line_through_the_others(mouth: int) -> None:
    sizes = [2.0 + 0.001 * d for d in DEPTHS]
    sizes[mouth] += 0.002
    found = bore(sizes)
    assert found.ends[mouth].excess_in == pytest.approx(0.002)
    assert [end.seen for end in found.ends] == [mouth == 0, mouth == -1]
    # a bell mouth is not mistaken for taper
    assert found.taper_in_per_in == pytest.approx(0.001)


def test_taper_is_the_least_squares_slope_and_its_doubt() -> None:
    sizes = [2.0 + 0.001 * d for d in DEPTHS]
    wobble = np.array([0.0, 0.00004, -0.00003, 0.00002, -0.00004, 0.0])
    found = bore((np.array(sizes) + wobble).tolist())
    slope = np.polyfit(DEPTHS, np.array(sizes) + wobble, 1)[0]
    assert found.taper_in_per_in == pytest.approx(slope)
    square = ((np.array(DEPTHS) - np.mean(DEPTHS)) ** 2).sum()
    assert found.taper_u95_in_per_in == pytest.approx(U95_IN / math.sqrt(square))


def test_three_depths_take_the_least_bell_mouth() -> None:
    """Wider at one end: taper or bell mouth, the gentler slope is taken for taper."""
    found = bore([2.003, 2.001, 2.000], (0.0, 1.0, 2.0))
    assert [end.excess_in for end in found.ends] == pytest.approx([0.001, 0.0], abs=1e-12)
    both = bore([2.002, 2.000, 2.001], (0.0, 1.0, 2.0))
    assert [end.excess_in for end in both.ends] == pytest.approx([0.002, 0.001], abs=1e-12)
