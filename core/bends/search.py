"""Search for the broken line: how many corners and bows, and where, by penalised likelihood.

Greedy growth with exchange over a grid of places, stations made continuous by
`core.bends.fit.refine`, then pruning. Every shape has a price, the misfit it must take away;
misfit is minus twice the log likelihood with the stated noise, softened to a Student form so that
a sweep noisier than stated does not sprout bends.

Source: penalised choice of the number of corners is common practice; the prices are ours, set
by simulation (`tests/bench/bends.py`).
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import combinations, pairwise

import numpy as np
from numpy.typing import NDArray

from core.bends.fit import SOFT_KAPPA_RAD, Fit, Target, refine, solve

Array = NDArray[np.float64]

CORNER_PRICE = 30.0
"""Misfit one corner must take away; noise alone does so in fewer than 1 sweep in 3000."""
BOW_PRICE = 40.0
OVERLAP_PRICE = 30.0
"""Price of each pair of bows over one length: no shaft is bent so, and two large opposed bows can
imitate several corners."""
TRUST = 8.0
"""The stated noise counts like this many readings against the scatter found in the sweep."""
GRID_PER_GAP = 6
MOST_CORNER_PLACES = 240
MOST_BOW_ENDS = 22
MOST_CORNERS = 8
MOST_WITH_BOWS = 4
MOST_PASSES = 6
IDLE_GAIN = 14.0
"""A shape that earns less than this on the grid is not worth refining."""
USUAL_CORNERS = 3
SURE_GAIN = 400.0
ALIGNED = 0.7
"""Cosine from which two neighbours bend the same way and may be a bow."""
POOR_SCATTER = 1.5
PATIENCE = 2
"""Shapes tried in a row that do not pay before the search ends, while the line is explained."""
PATIENCE_POOR = 9
"""The same while it is not: bends to and fro only pay once nearly all of them are in."""
FEWEST_FOR_BOW = 5
CORNER_PULL = 1.0 / SOFT_KAPPA_RAD**2


@dataclass(frozen=True, eq=False)
class Grid:
    """Shapes tried, with their whitened columns ready: shapes (c, 2), block (2 n, 2 c)."""

    shapes: Array
    block: Array
    gram: Array
    """(3, c): the distinct entries 00, 11, 01 of each 2 by 2 square of the columns."""
    price: Array
    """(c,) what each shape must earn."""

    @classmethod
    def of(cls, target: Target, shapes: Array) -> Grid:
        """Columns and squares of the given shapes."""
        block = target.columns(shapes)
        prices = np.where(shapes[:, 1] > shapes[:, 0], BOW_PRICE, CORNER_PRICE)
        return cls(shapes, block, squares(block), prices)


def corner_places(target: Target) -> Array:
    """Several corners in every gap between stations (c, 2)."""
    knots = target.knots_in
    per_gap = max(1, min(GRID_PER_GAP, MOST_CORNER_PLACES // (knots.size - 1)))
    share = (np.arange(per_gap) + 0.5) / per_gap
    place = (knots[:-1, None] + np.diff(knots)[:, None] * share).ravel()
    return np.column_stack([place, place])


def bow_places(target: Target) -> Array:
    """Bows over at least two gaps, beginning and ending anywhere (c, 2)."""
    knots = target.knots_in
    ends = np.concatenate([knots[:1], (knots[:-1] + knots[1:]) / 2, knots[-1:]])
    ends = ends[:: max(1, -(-ends.size // MOST_BOW_ENDS))]
    begin, end = np.triu_indices(ends.size, k=2)
    return np.column_stack([ends[begin], ends[end]])


def misfit(target: Target, off: Array | float) -> Array:
    """Minus twice the log likelihood, Student form."""
    floored = np.maximum(off, 0.0)
    return np.asarray((TRUST + target.value.size) * np.log1p(floored / TRUST))


def total_price(target: Target, fit: Fit) -> float:
    """What the search makes least: misfit plus the price of the shapes."""
    bows = int(fit.bowed.sum())
    shapes = CORNER_PRICE * (fit.bowed.size - bows) + BOW_PRICE * bows
    return float(misfit(target, fit.off)) + shapes + OVERLAP_PRICE * overlapping_bows(fit)


def overlapping_bows(fit: Fit) -> int:
    """How many pairs of bows share a length, or corners lie in a bow that goes the other way."""
    return overlaps(fit, fit.bowed)


def overlaps(fit: Fit, bow: NDArray[np.bool_]) -> int:
    """The same with some shapes (m,) as the bows, all others as corners."""
    if not bow.any() or bow.size < 2:
        return 0
    begin, end = fit.shapes.T
    first, last = np.triu_indices(bow.size, k=1)
    shared = np.minimum(end[first], end[last]) > np.maximum(begin[first], begin[last])
    middle, half = (begin + end) / 2, (end - begin) / 2
    wide = np.maximum(half * bow, 0.0)
    inside = np.abs(middle[first] - middle[last]) < np.maximum(wide[first], wide[last])
    opposed = (fit.kappa_rad[first] * fit.kappa_rad[last]).sum(axis=1) < 0
    both = bow[first] & bow[last]
    one = bow[first] ^ bow[last]
    return int(np.count_nonzero((both & shared) | (one & inside & opposed)))


def scatter_ratio(target: Target, fit: Fit) -> float:
    """Scatter about the fitted line over the stated noise, drawn towards 1."""
    free = max(0, target.value.size - 2 * fit.bowed.size - fit.unknown_stations)
    return float(np.sqrt((TRUST + fit.off) / (TRUST + free)))


def gains(fit: Fit, grid: Grid) -> Array:
    """Drop of chi2 when one shape of the grid is added to a fit: (c,)."""
    rows = grid.block.shape[0]
    right = fit.residual[:rows] @ grid.block
    gram = grid.gram - squares(fit.basis[:rows].T @ grid.block)
    first, second, cross = gram[0] + CORNER_PULL, gram[1] + CORNER_PULL, gram[2]
    along, across = right[0::2], right[1::2]
    top = second * along**2 + first * across**2 - 2 * cross * along * across
    return np.asarray(top / np.maximum(first * second - cross**2, CORNER_PULL**2))


def best_line(target: Target) -> Fit:
    """The fit of corners and bows with the least total price.

    A few corners explain most shafts. Where they do not, bows are let in before more corners are:
    a bow taken for corners would need one in nearly every gap.
    """
    corners = Grid.of(target, corner_places(target))
    fit = _grow(target, corners, USUAL_CORNERS)
    if target.x_in.size < FEWEST_FOR_BOW or fit.bowed.size == 0:
        return fit if _is_enough(target, fit, corners) else _grow(target, corners, MOST_CORNERS)
    tried = [fit]
    if not _is_enough(target, fit, corners):
        both = Grid.of(target, np.vstack([corners.shapes, bow_places(target)]))
        tried.append(_grow(target, both, MOST_WITH_BOWS))
        if not _is_enough(target, tried[-1], corners):
            tried.append(_grow(target, corners, MOST_CORNERS))
    fit = min(tried, key=lambda f: total_price(target, f))
    fit = solve(target, fit.shapes[np.argsort(fit.shapes[:, 0])])
    runs = _aligned_runs(fit)
    if runs:
        bows = Grid.of(target, bow_places(target))
        tried = [fit, *(_with_bow(target, fit, run, bows) for run in runs)]
    return min(tried, key=lambda f: total_price(target, f))


def _is_enough(target: Target, fit: Fit, grid: Grid) -> bool:
    """Whether the line is well explained and no further corner would earn much."""
    if scatter_ratio(target, fit) > POOR_SCATTER or overlapping_bows(fit):
        return False
    return bool(_earned(target, fit, gains(fit, grid)).max() < IDLE_GAIN)


def _earned(target: Target, fit: Fit, gain: Array) -> Array:
    return misfit(target, fit.off) - misfit(target, fit.off - gain)


def _aligned_runs(fit: Fit) -> list[slice]:
    """Stretches of neighbouring corners, each bending the way of the next: all of two or more."""
    size = np.maximum(np.hypot(fit.kappa_rad[:, 0], fit.kappa_rad[:, 1]), 1e-30)
    unit = fit.kappa_rad / size[:, None]
    with_next = (unit[:-1] * unit[1:]).sum(axis=1) > ALIGNED
    breaks = np.flatnonzero(np.concatenate([[True], ~with_next, [True]]))
    longest = [(a, b) for a, b in pairwise(breaks.tolist()) if b - a > 1]
    parts = [s for a, b in longest for s in combinations(range(a, b + 1), 2) if s[1] - s[0] > 1]
    return [slice(*part) for part in parts]


def _with_bow(target: Target, fit: Fit, run: slice, grid: Grid) -> Fit:
    """The fit with a run of corners replaced by one bow."""
    rest = np.delete(fit.shapes, np.arange(fit.bowed.size)[run], axis=0)
    best = int(np.argmax(gains(solve(target, rest), grid)))
    return refine(target, solve(target, np.vstack([rest, grid.shapes[best]])))


def _grow(target: Target, grid: Grid, most: int) -> Fit:
    """Add what serves best until it no longer earns its price, then prune."""
    best = fit = solve(target, np.zeros((0, 2)))
    for _ in range(min(most, target.x_in.size)):
        earned = _earned(target, fit, gains(fit, grid))
        top = int(np.argmax(earned - grid.price))
        if earned[top] < IDLE_GAIN and scatter_ratio(target, fit) < POOR_SCATTER:
            break
        fit = _rough(target, solve(target, np.vstack([fit.shapes, grid.shapes[top]])))
        fit = _exchange(target, fit, grid)
        if total_price(target, fit) < total_price(target, best):
            best = fit
        elif fit.bowed.size - best.bowed.size >= _patience(target, best):
            break
    return refine(target, _prune(target, best, grid))


def _patience(target: Target, best: Fit) -> int:
    """How many shapes are tried that do not pay: more when the line is ill explained."""
    return PATIENCE if scatter_ratio(target, best) < POOR_SCATTER else PATIENCE_POOR


def _rough(target: Target, fit: Fit) -> Fit:
    """Stations moved to their best places as closely as the search needs."""
    return refine(target, fit, worth=max(0.05, 1e-4 * fit.chi2))


def _exchange(target: Target, fit: Fit, grid: Grid) -> Fit:
    """Lift out each shape in turn and put in what serves best there, until none changes."""
    if fit.bowed.size == 1:
        return fit
    for _ in range(MOST_PASSES):
        before = now = total_price(target, fit)
        for k in range(fit.bowed.size):
            rest = solve(target, np.delete(fit.shapes, k, axis=0))
            offer = misfit(target, rest.off - gains(rest, grid)) + grid.price
            best = int(np.argmin(offer))
            if offer[best] + total_price(target, rest) - misfit(target, rest.off) < now - 0.1:
                shapes = fit.shapes.copy()
                shapes[k] = grid.shapes[best]
                fit = solve(target, shapes)
                now = total_price(target, fit)
        if now > before - 0.1:
            break
        fit = _rough(target, fit)
    return fit


def _prune(target: Target, fit: Fit, grid: Grid) -> Fit:
    """Take out shapes that do not earn their price, the plainly needed ones left alone."""
    while fit.bowed.size:
        without = [solve(target, np.delete(fit.shapes, k, axis=0)) for k in range(fit.bowed.size)]
        doubtful = [f for f in without if f.chi2 - fit.chi2 < SURE_GAIN]
        fewer = [_exchange(target, _rough(target, f), grid) for f in doubtful]
        least = min(fewer, key=lambda f: total_price(target, f), default=fit)
        if total_price(target, least) >= total_price(target, fit):
            break
        fit = least
    return fit


def squares(block: Array) -> Array:
    """Entries 00, 11, 01 of the 2 by 2 square of each pair of columns (3, c)."""
    along, across = block[:, 0::2], block[:, 1::2]
    return np.stack([(along**2).sum(axis=0), (across**2).sum(axis=0), (along * across).sum(axis=0)])
