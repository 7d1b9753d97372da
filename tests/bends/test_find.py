"""Bends found: number, place, interval; regions, bows, few stations, bad lines."""

from __future__ import annotations

import numpy as np
import pytest

from core.base.errors import ShaftlogError
from core.bends.find import BendReport, find_bends
from core.bends.shapes import lift
from core.runout.line import ShaftLine
from core.straightening.after_hits import expected_after
from core.straightening.plan import plan_round
from tests.bench.bends import CASES, bows, false_bends, one_gap, run

ROLLERS = np.array([12.0, 96.0])
SIGMA_IN = 0.00014
X = np.arange(3.0, 112.0, 6.0)


def shaped(
    corners: list[tuple[float, float, float, float]],
    *,
    x: np.ndarray = X,
    noise_in: float = SIGMA_IN,
    seed: int = 0,
) -> ShaftLine:
    """A line of (from, to, kappa toward 0, kappa toward 90)."""
    parts = np.array(corners).reshape(-1, 4)
    ecc = lift(x, parts[:, 0], parts[:, 1], ROLLERS) @ parts[:, 2:]
    ecc = ecc + np.random.default_rng(seed).normal(0.0, noise_in, ecc.shape)
    return ShaftLine(x, ecc, np.full(x.size, SIGMA_IN), ROLLERS)


def kinds(report: BendReport) -> list[str]:
    return [bend.kind for bend in report.bends]


@pytest.mark.slow
def test_the_design_row_on_a_few_shafts() -> None:
    """Small version of `tests.bench.bends`; margins for 40 shafts."""
    score = run(CASES[0], 40, seed=5)
    assert score.right >= 0.97
    assert score.median_in < 0.03
    assert 0.88 <= score.held <= 1.0


@pytest.mark.slow
def test_a_straight_shaft_has_no_bends() -> None:
    assert false_bends(25, seed=6) == 0.0


def test_place_vector_and_high_side_of_one_bend() -> None:
    (bend,) = find_bends(shaped([(40.0, 40.0, 0.003, 0.004)])).bends
    assert abs(bend.station_in - 40.0) < 3 * SIGMA_IN / 0.005
    assert bend.kappa_rad == pytest.approx([0.003, 0.004], abs=3e-5)
    assert bend.angle_rad == pytest.approx(0.005, abs=3e-5)
    assert bend.high_side_rad == pytest.approx(np.pi + np.arctan2(4, 3), abs=0.01)
    assert bend.resolved
    assert bend.from_in < bend.station_in < bend.to_in


def test_a_bow_is_told_as_one_bow() -> None:
    report = find_bends(shaped([(30.0, 78.0, 0.004, -0.002)]))
    assert kinds(report) == ["bow"]
    bow = report.bow
    assert bow is not None
    assert (bow.from_in, bow.to_in) == pytest.approx((30.0, 78.0), abs=1.0)
    assert bow.kappa_rad == pytest.approx([0.004, -0.002], abs=1e-4)
    assert not bow.resolved
    assert "bowed" in report.notes[0]


@pytest.mark.slow
def test_bows_and_bends_apart_on_a_few_shafts() -> None:
    good, error_in = bows(8, 7, (0.002, 0.008), with_bend=True)
    assert good >= 0.9
    assert error_in < 0.5


def test_a_bow_that_is_not_even_is_still_one_bow() -> None:
    """Its curvature rises and falls like a half sine."""
    corner = 20.0 + (np.arange(700) + 0.5) / 10.0
    share = np.sin(np.pi * (corner - 20.0) / 70.0)
    ecc = lift(X, corner, corner, ROLLERS) @ np.outer(share / share.sum(), [0.004, 0.0])
    ecc = ecc + np.random.default_rng(3).normal(0, SIGMA_IN, ecc.shape)
    report = find_bends(ShaftLine(X, ecc, np.full(X.size, SIGMA_IN), ROLLERS))
    assert kinds(report).count("bow") == 1
    assert len(report.bends) <= 3


def test_two_corners_in_one_gap_are_one_region() -> None:
    report = find_bends(shaped([(40.0, 40.0, 0.005, 0.0), (43.5, 43.5, 0.0, 0.006)]))
    assert kinds(report) == ["region"]
    (region,) = report.bends
    assert not region.resolved
    assert region.from_in <= 40.0 < 43.5 <= region.to_in
    assert region.kappa_rad == pytest.approx([0.005, 0.006], abs=1e-4)
    assert "more than one" in report.notes[0]


@pytest.mark.slow
def test_corners_in_one_gap_on_many_shafts_are_never_two() -> None:
    one, region = one_gap(15, 8)
    assert one == 1.0
    assert region > 0.6


def test_a_bend_with_one_station_beyond_it_is_a_region_that_holds_it() -> None:
    report = find_bends(shaped([(106.0, 106.0, 0.005, 0.0)]))
    assert kinds(report) == ["region"]
    assert report.bends[0].from_in < 106.0 < report.bends[0].to_in
    assert report.sharpen_at_in is not None
    assert 105.0 < report.sharpen_at_in < 111.0


@pytest.mark.slow
def test_the_station_to_add_sharpens() -> None:
    corners = [(40.0, 40.0, 0.0005, 0.0004), (66.0, 66.0, 0.004, 0.002)]
    before, after = [], []
    for seed in range(8):
        report = find_bends(shaped(corners, seed=seed))
        added = report.sharpen_at_in
        assert added is not None
        more = find_bends(shaped(corners, x=np.sort(np.append(X, added)), seed=seed))
        before.append(max(b.station_u95_in for b in report.bends))
        after.append(max(b.station_u95_in for b in more.bends))
    assert np.mean(after) < 0.85 * np.mean(before)


def test_other_supports_leave_the_bends_alone() -> None:
    line = shaped([(40.0, 40.0, 0.003, 0.004), (70.0, 70.0, -0.005, 0.0)])
    here, there = find_bends(line), find_bends(line.referred_to(3.0, 111.0))
    for one, other in zip(here.bends, there.bends, strict=True):
        assert one.station_in == other.station_in
        assert np.array_equal(one.kappa_rad, other.kappa_rad)


def test_the_fitted_line_is_drawn_from_any_supports() -> None:
    line = shaped([(40.0, 40.0, 0.003, 0.004), (70.0, 70.0, -0.005, 0.0)], noise_in=0.0)
    report = find_bends(line)
    assert report.fitted.ecc_in == pytest.approx(line.ecc_in, abs=1e-7)
    assert report.ecc_at([12.0, 96.0]) == pytest.approx(np.zeros((2, 2)), abs=1e-12)
    seen = report.ecc_at(line.station_in, (3.0, 111.0))
    assert seen == pytest.approx(line.referred_to(3.0, 111.0).ecc_in, abs=1e-7)


def test_a_line_after_hits_may_be_searched_too() -> None:
    """Its stations are no longer independent; what the hits left is found all the same."""
    line = shaped([(40.0, 40.0, 0.008, 0.0), (70.0, 70.0, 0.0, 0.006)])
    hits = plan_round(line, limit_in=0.002)
    after = expected_after(line, hits[:1])
    big = [b for b in find_bends(after).bends if b.angle_rad > 0.004]
    assert len(big) == len(hits) - 1


@pytest.mark.parametrize("count", [1, 2, 3, 4])
def test_few_stations_give_a_careful_answer(count: int) -> None:
    x = np.array([30.0, 60.0, 80.0, 104.0])[:count]
    report = find_bends(shaped([(50.0, 50.0, 0.004, 0.0)], x=x))
    assert report.bends
    assert any(bend.from_in <= 50.0 <= bend.to_in for bend in report.bends)


def test_no_noise_and_nothing_to_see() -> None:
    flat = ShaftLine(X, np.zeros((X.size, 2)), np.zeros(X.size), ROLLERS)
    assert find_bends(flat).bends == ()
    assert find_bends(flat).notes == ()


def test_two_hundred_thou() -> None:
    report = find_bends(shaped([(40.0, 40.0, 0.012, 0.0), (64.0, 64.0, 0.0, -0.02)]))
    assert [b.station_in for b in report.bends] == pytest.approx([40.0, 64.0], abs=0.05)
    assert report.scatter_ratio < 1.5


@pytest.mark.slow
def test_a_noisier_sweep_than_stated_is_said_and_sprouts_no_bends() -> None:
    report = find_bends(shaped([(40.0, 40.0, 0.005, 0.0)], noise_in=6 * SIGMA_IN))
    assert len(report.bends) == 1
    assert report.scatter_ratio > 3
    assert "times as far" in report.notes[0]
    assert report.bends[0].from_in < 40.0 < report.bends[0].to_in


def test_a_value_that_is_no_number_is_refused() -> None:
    ecc = np.zeros((X.size, 2))
    ecc[4, 1] = np.nan
    with pytest.raises(ShaftlogError, match="not a number"):
        find_bends(ShaftLine(X, ecc, np.full(X.size, SIGMA_IN), ROLLERS))


@pytest.mark.parametrize("index", [2, 9, 16])
def test_a_station_misread_as_a_whole_is_set_aside_and_told(index: int) -> None:
    corners = [(40.0, 40.0, 0.004, 0.003), (70.0, 70.0, 0.0, -0.006)]
    line = shaped(corners)
    ecc = line.ecc_in.copy()
    ecc[index] += [0.012, -0.006]
    report = find_bends(ShaftLine(X, ecc, line.sigma_in, ROLLERS))
    assert report.outlier_stations_in == (X[index],)
    assert [b.station_in for b in report.bends] == pytest.approx([40.0, 70.0], abs=0.2)
    assert "read it again" in report.notes[0]
    assert report.fitted.station_in.size == X.size


def test_close_bends_are_not_taken_for_a_misread_station() -> None:
    """Two bends with one station between, in one plane: the station between lies off the chord."""
    report = find_bends(shaped([(48.5, 48.5, 0.005, 0.0), (54.5, 54.5, 0.005, 0.0)]))
    assert report.outlier_stations_in == ()
    assert sum(b.kappa_rad for b in report.bends) == pytest.approx([0.010, 0.0], abs=2e-4)


@pytest.mark.slow
def test_noise_alone_sets_no_station_aside() -> None:
    report = find_bends(shaped([(40.0, 40.0, 0.005, 0.0)], noise_in=60 * SIGMA_IN, seed=4))
    assert report.outlier_stations_in == ()


def test_a_weak_corner_that_may_as_well_be_at_the_bend_is_no_bend_of_its_own() -> None:
    """One bend of 8.4 mrad at 43.8 in, the noise told too small at some stations."""
    thou = """8.919 -10.075 0.869 -0.692 -7.374 8.404 -14.784 18.229 -21.835 27.612 -29.297 37.010
        -36.687 46.460 -32.955 41.646 -9.185 11.547 14.976 -18.921"""
    sigma = "0.1273 0.2863 0.2100 0.2579 0.1488 0.1687 0.2606 0.1846 0.1884 0.1589"
    ecc = np.array(thou.split(), dtype=float).reshape(-1, 2) / 1000
    line = ShaftLine(
        4.06 + 6.0 * np.arange(10),
        ecc,
        np.array(sigma.split(), dtype=float) / 1000,
        np.array([10.634, 54.353]),
    )
    (bend,) = find_bends(line).bends
    assert abs(bend.station_in - 43.84) < bend.station_u95_in
