"""The fit of given shapes: its slopes against differences, its vectors against least squares."""

from __future__ import annotations

import numpy as np
import pytest

from core.bends.fit import SOFT_KAPPA_RAD, Target, refine, solve, station_changes, station_jacobian
from core.bends.shapes import lift, plain_lift, plain_slopes
from core.runout.checked_line import CheckedLine
from core.runout.line import ShaftLine
from core.straightening.after_hits import expected_after
from core.straightening.plan import PlannedHit

ROLLERS = np.array([12.0, 96.0])
X = np.arange(3.0, 112.0, 6.0)
SHAPES = np.array([[28.0, 28.0], [41.5, 66.0], [80.2, 80.2]])
KAPPA = np.array([[0.004, 0.001], [-0.003, 0.005], [0.002, -0.006]])


def line(kind: str) -> ShaftLine:
    """A line of `SHAPES`: stations alike, leaning covariances, or all joined by a hit."""
    rng = np.random.default_rng(2)
    ecc = lift(X, SHAPES[:, 0], SHAPES[:, 1], ROLLERS) @ KAPPA + rng.normal(0, 0.0002, (X.size, 2))
    plain = ShaftLine(X, ecc, np.full(X.size, 0.0002), ROLLERS, roller_sigma_in=0.0)
    if kind == "alike":
        return plain
    if kind == "leaning":
        own = rng.normal(0, 0.0002, (X.size, 2, 2))
        return ShaftLine(
            X,
            ecc,
            plain.sigma_in,
            ROLLERS,
            own @ own.transpose(0, 2, 1) + 4e-8 * np.eye(2),
            roller_sigma_in=0.0,
        )
    joined = expected_after(plain, [PlannedHit(55.0, np.array([0.002, 0.001]))])
    assert isinstance(joined, CheckedLine)
    return joined


KINDS = ["alike", "leaning", "joined"]


def covariance(of: ShaftLine) -> np.ndarray:
    """(2 n, 2 n), stations one after another."""
    if isinstance(of, CheckedLine) and of.joint_cov_in2 is not None:
        return of.joint_cov_in2
    full = np.zeros((X.size, 2, X.size, 2))
    full[np.arange(X.size), :, np.arange(X.size), :] = of.covariance_in2
    return full.reshape(2 * X.size, 2 * X.size)


@pytest.mark.parametrize("kind", KINDS)
def test_vectors_and_misfit_are_those_of_generalised_least_squares(kind: str) -> None:
    """(A' C^-1 A + 1/s^2)^-1 A' C^-1 y with the weak pull s on every component (textbook)."""
    read = line(kind)
    fit = solve(Target.of(read), SHAPES)
    design = np.kron(lift(X, SHAPES[:, 0], SHAPES[:, 1], ROLLERS), np.eye(2))
    cov = covariance(read)
    normal = design.T @ np.linalg.solve(cov, design) + np.eye(6) / SOFT_KAPPA_RAD**2
    best = np.linalg.solve(normal, design.T @ np.linalg.solve(cov, read.ecc_in.ravel()))
    assert fit.kappa_rad.ravel() == pytest.approx(best, rel=1e-3, abs=1e-7)
    off = read.ecc_in.ravel() - design @ best
    assert fit.off == pytest.approx(off @ np.linalg.solve(cov, off), rel=1e-3)
    assert fit.pulled == pytest.approx(best @ best / SOFT_KAPPA_RAD**2, rel=1e-3)
    assert fit.chi2 == pytest.approx(fit.off + fit.pulled)
    assert fit.unknown_stations == 4


@pytest.mark.parametrize("kind", KINDS)
def test_what_moving_a_station_changes_is_the_difference_it_makes(kind: str) -> None:
    """A corner's station, a bow's beginning, a bow's end: against a hundredth of an inch."""
    target = Target.of(line(kind))
    fit = solve(target, SHAPES)
    steps = [(0, [1, 1]), (1, [1, 0]), (1, [0, 1]), (2, [1, 1])]
    for column, (shape, ends) in enumerate(steps):
        moved = [SHAPES.copy(), SHAPES.copy()]
        for one, way in zip(moved, (0.005, -0.005), strict=True):
            one[shape] += way * np.array(ends)
        more, less = (target.columns(s) @ fit.kappa_rad.ravel() for s in moved)
        change = station_changes(target, fit)[:, column]
        assert change == pytest.approx((more - less) / 0.01, rel=1e-4, abs=1e-4)


@pytest.mark.parametrize("kind", KINDS)
def test_with_the_vectors_free_to_follow_the_slope_of_the_misfit_is_right(kind: str) -> None:
    """d chi2 / d station = -2 J' r, against the misfit solved anew at both sides."""
    target = Target.of(line(kind))
    shapes = SHAPES + np.array([[0.5, 0.5], [0.3, -0.4], [-0.6, -0.6]])
    fit = solve(target, shapes)
    slope = -2 * station_jacobian(target, fit).T @ fit.residual
    steps = [(0, [1, 1]), (1, [1, 0]), (1, [0, 1]), (2, [1, 1])]
    for found, (shape, ends) in zip(slope, steps, strict=True):
        chi2 = []
        for way in (0.001, -0.001):
            moved = shapes.copy()
            moved[shape] += way * np.array(ends)
            chi2.append(solve(target, moved).chi2)
        assert found == pytest.approx((chi2[0] - chi2[1]) / 0.002, rel=2e-3)


@pytest.mark.parametrize("kind", KINDS)
def test_refined_shapes_come_back_to_the_true_places(kind: str) -> None:
    target = Target.of(line(kind))
    start = SHAPES + np.array([[1.5, 1.5], [2.0, -2.0], [-1.5, -1.5]])
    found = refine(target, solve(target, start))
    assert found.shapes == pytest.approx(SHAPES, abs=0.8)
    assert found.chi2 <= solve(target, SHAPES).chi2 + 0.01


def test_slopes_of_the_plain_shapes_are_their_differences() -> None:
    place = np.array([5.0, 30.0, 50.0, 70.0, 90.0])
    begin, end = SHAPES[:, 0], SHAPES[:, 1]
    by_begin, by_end = plain_slopes(place, begin, end)
    step = 1e-4
    bow = np.array([0.0, 1.0, 0.0])
    both = np.array([1.0, 0.0, 1.0])  # a corner moves with both its ends
    for told, first, last in ((by_begin, both + bow, both), (by_end, 0 * bow, bow)):
        more = plain_lift(place, begin + step * first, end + step * last)
        less = plain_lift(place, begin - step * first, end - step * last)
        assert told == pytest.approx((more - less) / (2 * step), abs=1e-6)
