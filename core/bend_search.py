"""Search for the broken line: how many corners and bows, and where, by penalised likelihood.

Greedy growth with exchange over a grid of places, stations made continuous by
`core.bend_fit.refine`, then pruning. The price of a shape is what it must lower the misfit by;
misfit is minus twice the log likelihood with the stated noise, softened to a Student form so that
a sweep noisier than stated does not sprout bends.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from core.bend_fit import SOFT_KAPPA_RAD, Fit, Target, refine, solve

Array = NDArray[np.float64]

CORNER_PRICE = 24.0
"""Misfit one corner must earn: noise alone reaches it in about 1 sweep in 3000 at 20 stations."""
BOW_PRICE = 34.0
TRUST = 20.0
"""The stated noise counts like this many readings against the scatter found in the sweep."""
GRID_PER_GAP = 6
MOST_CORNERS = 8
MOST_PASSES = 6


@dataclass(frozen=True, eq=False)
class Grid:
    """Places tried, with their whitened columns ready: shapes (c, 2), block (2 n, 2 c)."""

    shapes: Array
    block: Array
    gram: Array
    """(c, 3): the distinct entries 00, 11, 01 of each 2 by 2 square of the columns."""

    @classmethod
    def of(cls, target: Target, shapes: Array) -> Grid:
        """Columns and squares of the given shapes."""
        block = target.columns(shapes)
        return cls(shapes, block, _squares(block))

    @classmethod
    def of_corners(cls, target: Target) -> Grid:
        """Several corners in every gap between stations."""
        share = (np.arange(GRID_PER_GAP) + 0.5) / GRID_PER_GAP
        place = (target.x_in[:-1, None] + np.diff(target.x_in)[:, None] * share).ravel()
        return cls.of(target, np.column_stack([place, place]))


def misfit(target: Target, chi2: float) -> float:
    """Minus twice the log likelihood, Student form."""
    return float((TRUST + target.value.size) * np.log1p(chi2 / TRUST))


def price(target: Target, fit: Fit) -> float:
    """What the search makes least: misfit plus the price of the shapes."""
    bows = int(fit.bowed.sum())
    corners = fit.bowed.size - bows
    return misfit(target, fit.chi2) + CORNER_PRICE * corners + BOW_PRICE * bows


def scatter_ratio(target: Target, fit: Fit) -> float:
    """Scatter about the fitted line over the stated noise, drawn towards 1."""
    free = max(0, target.value.size - 2 * fit.bowed.size - fit.unknown_stations)
    return float(np.sqrt((TRUST + fit.chi2) / (TRUST + free)))


def gains(fit: Fit, grid: Grid) -> Array:
    """Drop of chi2 when one shape of the grid is added to a fit: (c,)."""
    rows = grid.block.shape[0]
    inside = fit.basis[:rows].T @ grid.block
    right = fit.residual[:rows] @ grid.block
    gram = grid.gram - _squares(inside)
    first, second, cross = gram[:, 0] + PULL, gram[:, 1] + PULL, gram[:, 2]
    along, across = right[0::2], right[1::2]
    top = second * along**2 + first * across**2 - 2 * cross * along * across
    return np.asarray(top / np.maximum(first * second - cross**2, PULL**2))


def exchange(target: Target, fit: Fit, grid: Grid) -> Fit:
    """Lift out each corner in turn and set it where it now serves best, until none moves."""
    for _ in range(MOST_PASSES):
        before = fit.chi2
        for k in np.flatnonzero(~fit.bowed):
            rest = solve(target, np.delete(fit.shapes, k, axis=0))
            gain = gains(rest, grid)
            best = int(np.argmax(gain))
            if rest.chi2 - gain[best] < fit.chi2 - 1e-3:
                shapes = fit.shapes.copy()
                shapes[k] = grid.shapes[best]
                fit = solve(target, shapes)
        fit = refine(target, fit)
        if before - fit.chi2 < 1e-2:
            break
    return fit


def best_corners(target: Target) -> Fit:
    """The broken line of sharp corners with the least price."""
    grid = Grid.of_corners(target)
    best = fit = solve(target, np.zeros((0, 2)))
    for _ in range(min(MOST_CORNERS, target.x_in.size - 1)):
        gain = gains(fit, grid)
        top = int(np.argmax(gain))
        if misfit(target, fit.chi2) - misfit(target, max(0.0, fit.chi2 - gain[top])) < 8.0:
            break
        fit = refine(target, solve(target, np.vstack([fit.shapes, grid.shapes[top]])))
        fit = exchange(target, fit, grid)
        if price(target, fit) < price(target, best):
            best = fit
        elif fit.bowed.size > best.bowed.size + 1:
            break
    return prune(target, best, grid)


def prune(target: Target, fit: Fit, grid: Grid) -> Fit:
    """Take out shapes that do not earn their price."""
    while fit.bowed.size:
        fewer = [
            exchange(target, refine(target, solve(target, np.delete(fit.shapes, k, axis=0))), grid)
            for k in range(fit.bowed.size)
        ]
        least = min(fewer, key=lambda f: f.chi2)
        if price(target, least) >= price(target, fit):
            break
        fit = least
    return fit


PULL = 1.0 / SOFT_KAPPA_RAD**2


def _squares(block: Array) -> Array:
    along, across = block[:, 0::2], block[:, 1::2]
    return np.column_stack(
        [(along**2).sum(axis=0), (across**2).sum(axis=0), (along * across).sum(axis=0)]
    )
