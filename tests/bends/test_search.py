"""The search for the broken line: what it promises of its figures, and of the line it ends with."""

from __future__ import annotations

import numpy as np
import pytest

from core.bends.fit import Target, refine, solve
from core.bends.search import Grid, best_line, bow_places, corner_places, gains, total_price
from core.bends.shapes import lift
from core.runout.line import ShaftLine

ROLLERS = np.array([12.0, 96.0])
X = np.arange(3.0, 112.0, 6.0)
SIGMA_IN = 0.00014


def crowded(seed: int) -> tuple[Target, np.ndarray]:
    """A shaft of one to five bends, two of them within 14 in on every other one; where they are."""
    rng = np.random.default_rng(seed)
    count = int(rng.integers(1, 5))
    place = np.sort(rng.uniform(9, 105, count))
    if seed % 2 == 0:
        place = np.concatenate([place[:1], place[:1] + rng.uniform(6, 14, 1), place[1:]])
    place = np.clip(np.sort(place), 4, 110)
    size, clock = rng.uniform(0.0003, 0.008, place.size), rng.uniform(0, 6.28, place.size)
    kappa = np.column_stack([size * np.cos(clock), size * np.sin(clock)])
    ecc = lift(X, place, place, ROLLERS) @ kappa + rng.normal(0, SIGMA_IN, (X.size, 2))
    return Target.of(ShaftLine(X, ecc, np.full(X.size, SIGMA_IN), ROLLERS)), place


@pytest.mark.parametrize("seed", [12, 20, 80, 86, 103, 120, 130, 138, 146, 161])
def test_the_line_found_is_no_dearer_than_the_true_one(seed: int) -> None:
    """Shafts on which adding the best corner, one after the other, stops short of it."""
    target, place = crowded(seed)
    true = refine(target, solve(target, np.column_stack([place, place])))
    assert total_price(target, best_line(target)) < total_price(target, true) + 0.5


@pytest.mark.parametrize("sigma_in", [0.00014, 0.02])
def test_the_gain_of_a_shape_is_the_drop_of_the_misfit_when_it_is_added(sigma_in: float) -> None:
    """Also of a dial so coarse, or so near the end, that the usual size of a bend decides."""
    rng = np.random.default_rng(3)
    ecc = rng.normal(0, 0.003, (X.size, 2))
    target = Target.of(ShaftLine(X, ecc, np.full(X.size, sigma_in), ROLLERS))
    fit = solve(target, np.array([[40.0, 40.0], [55.0, 80.0]]))
    grid = Grid.of(target, np.vstack([corner_places(target)[::9], bow_places(target)[::23]]))
    for shape, gain in zip(grid.shapes, gains(fit, grid), strict=True):
        with_it = solve(target, np.vstack([fit.shapes, shape]))
        assert gain == pytest.approx(fit.chi2 - with_it.chi2, rel=1e-6, abs=1e-9 * fit.chi2)


@pytest.mark.parametrize("seed", [25, 27, 30, 57])
def test_a_corner_by_a_station_ends_on_the_better_side_of_it(seed: int) -> None:
    """The misfit has a kink at the station, and the steps alone stall there on these four."""
    rng = np.random.default_rng(seed)
    true, start = 45 + rng.uniform(-0.4, 0.4), 45 + rng.uniform(-3, 3)
    ecc = lift(X, np.array([true]), np.array([true]), ROLLERS) @ np.array([[0.003, 0.002]])
    ecc = ecc + rng.normal(0, 3 * SIGMA_IN, ecc.shape)
    target = Target.of(ShaftLine(X, ecc, np.full(X.size, 3 * SIGMA_IN), ROLLERS))
    found = refine(target, solve(target, np.array([[start, start]])))
    tried = [solve(target, np.array([[s, s]])).chi2 for s in np.arange(43.0, 47.0, 0.02)]
    assert found.chi2 < min(tried) + 0.01
