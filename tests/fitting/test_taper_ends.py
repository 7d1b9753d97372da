"""Where a taper touches first when an end of the bore is belled or tight (geometry)."""

from __future__ import annotations

import pytest

from tests.fitting.test_taper_fit import part, taper

DEPTHS = (0.5, 1.25, 2.0, 2.75, 3.5)
PER_FT = 0.75


def changed(at: dict[float, float], size: float) -> list:  # type: ignore[type-arg]
    """A bore of an even taper with some depths wider (or narrower) by so much."""
    even = part(size, PER_FT, DEPTHS)
    return [type(r)(r.depth_in, r.clock_rad, r.value_in + at.get(r.depth_in, 0.0)) for r in even]


@pytest.mark.parametrize("belled", [{}, {0.5: 0.010}, {3.5: 0.010}, {0.5: 0.010, 3.5: 0.010}])
def test_a_bell_mouth_touches_nowhere(belled: dict[float, float]) -> None:
    found = taper(changed(belled, 1.801), part(1.8, PER_FT, DEPTHS))
    assert found.first_touch_in == pytest.approx(0.001 / (PER_FT / 12), abs=1e-6)
    assert "tight" not in found.angle_words


@pytest.mark.parametrize(("end_in", "name"), [(0.5, "face end"), (3.5, "hub end")])
def test_a_tight_end_touches_first(end_in: float, name: str) -> None:
    found = taper(changed({end_in: -0.003}, 1.801), part(1.8, PER_FT, DEPTHS))
    assert found.first_touch_in == pytest.approx(-0.002 / (PER_FT / 12), abs=1e-6)
    assert f"bore is tight at the {name} and touches there first" in found.angle_words


def test_a_swollen_seat_touches_first() -> None:
    found = taper(part(1.801, PER_FT, DEPTHS), changed({0.5: 0.004}, 1.8))
    assert found.first_touch_in == pytest.approx(-0.003 / (PER_FT / 12), abs=1e-6)
    assert "seat is tight at the face end" in found.angle_words
