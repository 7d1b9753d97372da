"""Bends to and fro in one plane, a line far off its fit, rollers that cannot be where they are said
to be: the search finds them all, or says what is wrong."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from core.base.errors import BadShaft
from core.bends.find import BendReport, find_bends
from core.demo.simulate import TrueBend, TrueShaft
from core.runout.line import ShaftLine
from core.straightening.plan import plan_round
from tests.bench.world.shaft import Shaft, Zone
from tests.support.bent_lines import ROLLERS, STATIONS, TWO, line_of


def to_and_fro(count: int, seed: int) -> TrueShaft:
    """Bends of 2 to 10 mrad in one plane, each against the one before, 12 in apart or more."""
    rng = np.random.default_rng([seed, count])
    room = 84.0 - 12.0 * (count - 1)
    places = 18.0 + np.sort(rng.uniform(0, room, count)) + 12.0 * np.arange(count)
    size = rng.uniform(0.002, 0.010, count) * (-1.0) ** np.arange(count)
    clock = rng.uniform(0, 2 * np.pi)
    plane = np.outer(size, [np.cos(clock), np.sin(clock)])
    bends = tuple(TrueBend(float(s), (k[0], k[1])) for s, k in zip(places, plane, strict=True))
    return TrueShaft(120.0, bends=bends)


@pytest.mark.slow
@pytest.mark.parametrize("count", [4, 5, 6, 7])
def test_bends_to_and_fro_are_all_found(count: int) -> None:
    found = [len(find_bends(line_of(to_and_fro(count, seed), seed)).bends) for seed in range(4)]
    assert found == [count] * 4


def crowded(seed: int, *bends: tuple[float, float, float]) -> BendReport:
    """Bends to and fro (middle in, length in, mrad), each against the one before, as read."""
    x, rollers = np.arange(3.0, 96.0, 6.0), (12.0, 75.0)
    turns = [(1e-3 * size * (-1) ** k, 0.0) for k, (_, _, size) in enumerate(bends)]
    zones = tuple(Zone(b[0], turn, b[1]) for b, turn in zip(bends, turns, strict=True))
    ecc = Shaft(96.0, zones).centre_in(x, rollers)
    ecc = ecc + np.random.default_rng(seed).normal(0, 1.5e-4, ecc.shape)
    return find_bends(ShaftLine(x, ecc, np.full(x.size, 1.5e-4), np.array(rollers)))


def test_bends_less_than_two_stations_apart_stay_bends_of_their_own() -> None:
    """Opposite ones were joined to one of no size, and open ones put where none explains."""
    true = ((16.5, 3.5, 4.0), (26.7, 2.2, 3.8), (36.9, 3.1, 7.6), (47.0, 3.7, 4.3),
            (57.6, 3.1, 5.7), (67.2, 1.9, 6.9))  # fmt: skip
    found = crowded(2, *true)
    assert [b.station_in for b in found.bends] == pytest.approx([b[0] for b in true], abs=1.0)
    assert [1e3 * b.angle_rad for b in found.bends] == pytest.approx([b[2] for b in true], rel=0.3)


def test_a_bow_and_a_corner_against_it_do_not_stand_for_bends_to_and_fro() -> None:
    true = ((22.2, 3.6, 2.7), (32.1, 3.1, 7.8), (41.9, 3.4, 4.6), (52.7, 3.9, 4.4),
            (62.1, 3.0, 7.9))  # fmt: skip
    assert [b.kind for b in crowded(3, *true).bends if b.kind == "bow"] == []


def test_a_fit_that_misses_the_bends_does_not_pass_for_noise() -> None:
    """The failed fit lies hundreds of sigmas off everywhere: the hits go by the readings."""
    line = line_of(to_and_fro(5, 1))
    straight = replace(line, ecc_in=np.zeros_like(line.ecc_in))
    assert plan_round(line, bends=find_bends(straight))


def test_a_line_surely_over_its_limit_is_hit_though_the_fit_is_inside() -> None:
    line = line_of(TrueShaft(120.0, bends=(TrueBend(60.0, (0.00006, 0.0)),)), sigma=1e-4)
    line = replace(line, sigma_in=np.full(line.station_in.size, 0.00012))
    report = find_bends(line)
    inside = replace(report, fitted=replace(line, ecc_in=0.6 * line.ecc_in))
    assert line.bend_tir_in.max() > 0.0024 > inside.fitted.bend_tir_in.max() / 0.8
    assert plan_round(line, bends=inside)


@pytest.mark.parametrize("rollers", [(10.0, 14.0), (-8.0, 90.0), (30.0, float("nan"))])
def test_rollers_that_carry_no_shaft_are_refused(rollers: tuple[float, float]) -> None:
    line = line_of(TWO)
    with pytest.raises(BadShaft, match=r"[Mm]easure"):
        find_bends(replace(line, rollers_in=np.array(rollers)))


@pytest.mark.slow
def test_no_region_ends_before_it_begins() -> None:
    """The line is not zero where the rollers are said to be: corners crowd, their order changes."""
    for seed in (0, 16):
        shaft = TrueShaft(120.0, bends=(TrueBend(20.0 + seed, (0.004, 0.0)),))
        line = replace(line_of(shaft, seed), rollers_in=np.array([12.0, 40.0]))
        for bend in find_bends(line).bends:
            assert bend.from_in <= bend.station_in <= bend.to_in


def test_a_bend_beyond_the_stations_asks_for_the_roller() -> None:
    """Told at 118, the far roller is at 108; the line must bend beyond the last station."""
    ecc = TWO.centre_in(STATIONS, ROLLERS)
    line = ShaftLine(STATIONS, ecc, np.full(STATIONS.size, 1e-4), np.array([12.0, 119.5]))
    report = find_bends(line)
    assert report.beyond_stations
    assert any("A roller stated wrong looks the same: measure it" in n for n in report.notes)
