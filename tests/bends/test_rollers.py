"""Rollers stated off their places: the bends stay where they are, and the tape is asked for."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from core.bends.find import BendReport, find_bends
from core.runout.line import ShaftLine
from core.straightening.plan import plan_round
from tests.bench.world.shaft import Shaft, Zone

X = np.arange(3.0, 96.0, 6.0)
ROLLERS = np.array([14.0, 80.0])
SIGMA_IN = 0.00015
BENT = (Zone(35.0, (0.006, 0.002)), Zone(58.0, (-0.001, 0.005)))


def line(*zones: Zone, stated: tuple[float, float] = (14.0, 80.0), seed: int = 1) -> ShaftLine:
    ecc = Shaft(96.0, zones).centre_in(X, (14.0, 80.0))
    ecc = ecc + np.random.default_rng(seed).normal(0, SIGMA_IN, ecc.shape)
    return ShaftLine(X, ecc, np.full(X.size, SIGMA_IN), np.array(stated))


def places(report: BendReport) -> list[float]:
    return [bend.station_in for bend in report.bends]


@pytest.mark.parametrize("stated", [(13.0, 80.0), (15.0, 80.0), (14.0, 79.0), (14.0, 81.0)])
def test_a_roller_stated_an_inch_off_makes_no_bends(stated: tuple[float, float]) -> None:
    report = find_bends(line(*BENT, stated=stated))
    assert places(report) == pytest.approx([35.0, 58.0], abs=0.15)
    assert report.scatter_ratio < 1.3
    wrong = [r for r, true in zip(report.rollers, (14.0, 80.0), strict=True) if r.stated_in != true]
    right = [r for r, true in zip(report.rollers, (14.0, 80.0), strict=True) if r.stated_in == true]
    assert wrong[0].misplaced
    assert wrong[0].fitted_in == pytest.approx(round(wrong[0].fitted_in), abs=0.2)
    assert not right[0].misplaced
    assert any("Measure it" in note for note in report.notes)


@pytest.mark.parametrize("seed", range(6))
def test_rollers_where_they_are_stated_are_left_alone(seed: int) -> None:
    assert not [r for r in find_bends(line(*BENT, seed=seed)).rollers if r.misplaced or r.words]


def test_a_bend_beside_a_roller_asks_for_the_tape() -> None:
    report = find_bends(line(Zone(16.2, (0.006, 0.0))))
    assert report.rollers[0].bend_in == pytest.approx(16.2, abs=0.3)
    assert any("close to the roller at 14" in note for note in report.notes)


def test_a_straight_shaft_says_nothing_of_its_rollers() -> None:
    report = find_bends(line())
    assert not report.bends
    assert not report.notes


def test_hits_go_to_the_bends_and_not_to_the_roller() -> None:
    read = line(*BENT, stated=(15.0, 80.0))
    assert [hit.station_in for hit in plan_round(read)] == pytest.approx([35.0, 58.0], abs=0.5)


@pytest.mark.slow
def test_a_roller_known_for_sure_is_taken_at_its_word() -> None:
    sure = replace(line(*BENT, stated=(15.0, 80.0)), roller_sigma_in=0.0)
    report = find_bends(sure)
    assert len(report.bends) > 2 or report.scatter_ratio > 2
    assert not any(roller.misplaced for roller in report.rollers)
