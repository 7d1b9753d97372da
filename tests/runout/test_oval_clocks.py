"""Which clocks can see an oval, and that the others are named (geometry of an ellipse)."""

from __future__ import annotations

import math

import pytest

from core.fitting.coupling.bore import BoreFit, DiameterReading, fit
from core.fitting.measured.band import Band

BAND = Band(0.0, 0.002, "the shop's")
OVAL_IN = 0.002


def told(*clocks_deg: float, depths: tuple[float, ...] = (0.5, 1.75, 3.0)) -> BoreFit:
    """A bore 4 thou oval, widest across 45 deg; a round seat 1 thou below its mean."""

    def part(oval_in: float, size_in: float) -> list[DiameterReading]:
        clocks = [math.radians(clock) for clock in clocks_deg]
        return [
            DiameterReading(x, c, size_in + oval_in * math.cos(2 * (c - math.pi / 4)))
            for x in depths
            for c in clocks
        ]

    return fit(bore=part(OVAL_IN, 2.001), seat=part(0.0, 2.0), nominal_in=2.0, band=BAND)


def test_two_clocks_say_what_they_cannot_see() -> None:
    found = told(0, 90)
    assert found.verdict.word == "right", "the oval is blind to these clocks"
    words = [words for words in found.missing if "oval half way" in words]
    assert [words.split(":")[0] for words in words] == ["bore", "seat"], "once for each part"
    assert all(len(words) < 76 for words in words)


@pytest.mark.parametrize("clocks", [(0, 45, 90), (0, 60, 120)])
def test_a_third_clock_sees_it(clocks: tuple[float, ...]) -> None:
    found = told(*clocks)
    assert not found.missing
    assert found.verdict.word not in {"right", "not measured"}
    assert found.bore is not None
    assert "oval" in found.bore.words


def test_one_clock_and_two_close_ones_have_their_own_words() -> None:
    assert not any(
        "half way" in words for clocks in ((0,), (0, 30)) for words in told(*clocks).missing
    )


def test_the_depths_are_named_when_only_some_have_two_clocks() -> None:
    mixed = [DiameterReading(x, math.radians(c), 2.0)
             for x, clocks in ((0.5, (0, 90)), (1.75, (0, 45, 90)), (3.0, (0, 45, 90)))
             for c in clocks]  # fmt: skip
    found = fit(bore=mixed, seat=mixed, nominal_in=2.0, band=BAND)
    assert len(found.missing) == 2
    assert all("at 0.50 in: two clocks" in words for words in found.missing)
