"""Two tapers set against each other: over the length they share, from either end."""

from __future__ import annotations

import math

import pytest

from core.fitting.coupling.bore import DiameterReading, fit
from core.fitting.coupling.taper import TaperFit


def part(size: float, per_ft: float, depths: tuple[float, ...]) -> list[DiameterReading]:
    """Diameters of an even taper, `size` at depth 0, across two clocks."""
    return [
        DiameterReading(d, clock, size + per_ft / 12 * d)
        for d in depths
        for clock in (0.0, math.pi / 2)
    ]


def taper(bore: list[DiameterReading], seat: list[DiameterReading]) -> TaperFit:
    found = fit(bore=bore, seat=seat, kind="tapered", wanted_interference_in=0.0015).taper
    assert found is not None
    return found


@pytest.mark.parametrize(
    ("bore_at", "seat_at"),
    [
        ((0.0, 1.0, 2.0, 3.0), (0.0, 1.0, 2.0, 3.0)),
        ((0.0, 1.0, 2.0, 3.0), (1.0, 2.0, 3.0, 4.0, 5.0)),
        ((1.0, 2.0, 3.0, 4.0, 5.0), (0.0, 1.0, 2.0, 3.0)),
        ((0.0, 1.5, 3.0, 5.0), (0.5, 2.0, 3.5)),
    ],
)
def test_gap_and_first_touch_over_the_depths_both_were_measured_at(
    bore_at: tuple[float, ...], seat_at: tuple[float, ...]
) -> None:
    """Diameters differ by a + b x: the gap grows by b times the common length (geometry)."""
    found = taper(part(1.502, 0.756, bore_at), part(1.500, 0.750, seat_at))
    low, high = max(bore_at[0], seat_at[0]), min(bore_at[-1], seat_at[-1])
    per_in = 0.006 / 12
    assert found.mismatch_in_per_ft == pytest.approx(0.006)
    assert found.gap_in == pytest.approx(per_in * (high - low))
    # the small end is tightest: 2 thou and what the steeper bore has gained till there
    assert found.first_touch_in == pytest.approx((0.002 + per_in * low) / (0.750 / 12))
    assert found.draw_up_in == pytest.approx(0.0015 / 0.0625)


@pytest.mark.parametrize("seat_at", [(0.0, 1.0, 2.0, 3.0), (0.0, 1.0, 3.0, 4.5)])
def test_a_slower_bore_touches_at_the_large_end_first(seat_at: tuple[float, ...]) -> None:
    found = taper(part(1.502, 0.744, (0.0, 1.0, 2.0, 3.0)), part(1.500, 0.750, seat_at))
    assert found.first_touch_in == pytest.approx((0.002 - 3 * 0.006 / 12) / (0.750 / 12))
    assert "large end" in found.angle_words
