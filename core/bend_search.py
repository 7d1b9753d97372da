"""Search for the broken line: how many shapes, where, how large, by penalised likelihood.

Both planes share the stations of the corners, so each shape costs one unknown station (two for
a bow) and one bend vector. The vectors enter linearly and are solved for at once; only stations
are searched: greedy with exchange over a fine grid, then Gauss-Newton with the vectors
projected out (Golub and Pereyra 1973, Kaufman's shortened form 1975; from memory).

Everything is whitened: rows are divided by the standard deviation of the reading they come from.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from core.bend_shapes import lift, lift_slopes

Array = NDArray[np.float64]

SOFT_KAPPA_RAD = 0.1
"""Very weak pull of every bend vector towards zero: keeps hopeless corners finite."""
GRID_PER_GAP = 6
MAX_STEPS = 12


@dataclass(frozen=True, eq=False)
class Target:
    """Measured line, whitened: what the search explains.

    `x_in` (n,), `whitener` (n, 2, 2) so that whitener @ vector has unit noise, `value` (n, 2)
    whitened vectors, `rollers_in` (2,).
    """

    x_in: Array
    whitener: Array
    value: Array
    rollers_in: Array

    def columns(self, shapes: Array) -> Array:
        """Whitened columns of shapes (m, 2), two for each: (2 n, 2 m)."""
        raised = lift(self.x_in, shapes[:, 0], shapes[:, 1], self.rollers_in)
        blocks = np.einsum("nij,nm->nimj", self.whitener, raised)
        return np.asarray(blocks.reshape(2 * self.x_in.size, 2 * shapes.shape[0]))


@dataclass(frozen=True, eq=False)
class Fit:
    """One broken line fitted: shapes (m, 2) as from and to, vectors (m, 2), misfit chi2."""

    shapes: Array
    kappa_rad: Array
    chi2: float
    residual: Array
    basis: Array
    """Orthonormal basis (2 n + 2 m, 2 m) of the whitened columns with the weak pull below."""

    @property
    def unknown_stations(self) -> int:
        return int(np.sum(1 + (self.shapes[:, 1] > self.shapes[:, 0])))


def solve(target: Target, shapes: Array) -> Fit:
    """Best vectors for given shapes."""
    m = shapes.shape[0]
    value = target.value.ravel()
    if m == 0:
        return Fit(shapes, np.zeros((0, 2)), float(value @ value), value, np.zeros((value.size, 0)))
    pull = np.eye(2 * m) / SOFT_KAPPA_RAD
    stacked = np.vstack([target.columns(shapes), pull])
    goal = np.concatenate([value, np.zeros(2 * m)])
    basis, upper = np.linalg.qr(stacked)
    coefficient = np.linalg.solve(upper, basis.T @ goal)
    residual = goal - stacked @ coefficient
    return Fit(shapes, coefficient.reshape(m, 2), float(residual @ residual), residual, basis)


def gains(target: Target, fit: Fit, candidates: Array) -> Array:
    """Drop of chi2 when one candidate shape (c, 2) is added to a fit: (c,)."""
    rows = 2 * target.x_in.size
    block = target.columns(candidates)
    held = fit.basis[:rows]
    residual = fit.residual[:rows]
    inside = held.T @ block
    c = candidates.shape[0]
    right = (residual @ block).reshape(c, 2)
    pairs = block.reshape(rows, c, 2)
    inner = inside.reshape(-1, c, 2)
    gram = np.einsum("nci,ncj->cij", pairs, pairs) - np.einsum("nci,ncj->cij", inner, inner)
    gram += np.eye(2) / SOFT_KAPPA_RAD**2
    determinant = gram[:, 0, 0] * gram[:, 1, 1] - gram[:, 0, 1] * gram[:, 1, 0]
    top = (
        gram[:, 1, 1] * right[:, 0] ** 2
        + gram[:, 0, 0] * right[:, 1] ** 2
        - 2 * gram[:, 0, 1] * right[:, 0] * right[:, 1]
    )
    return np.asarray(top / np.maximum(determinant, 1e-12))


def station_jacobian(target: Target, fit: Fit) -> Array:
    """Whitened change of the fit when each unknown station moves, vectors free: (rows, p).

    Columns run shape by shape: the station of a corner, or the beginning and end of a bow.
    """
    begin, end = lift_slopes(target.x_in, fit.shapes[:, 0], fit.shapes[:, 1], target.rollers_in)
    moved = [
        np.einsum("nij,n,j->ni", target.whitener, slopes[:, k], fit.kappa_rad[k]).ravel()
        for k in range(fit.shapes.shape[0])
        for slopes in ((begin, end) if fit.shapes[k, 1] > fit.shapes[k, 0] else (begin,))
    ]
    block = np.zeros((fit.basis.shape[0], len(moved)))
    block[: 2 * target.x_in.size] = np.column_stack(moved)
    return np.asarray(block - fit.basis @ (fit.basis.T @ block))


def refine(target: Target, fit: Fit) -> Fit:
    """Move all unknown stations together to the nearest best place."""
    damping = 1e-3
    for _ in range(MAX_STEPS):
        if fit.shapes.shape[0] == 0:
            return fit
        jacobian = station_jacobian(target, fit)
        normal = jacobian.T @ jacobian
        slope = jacobian.T @ fit.residual
        step = np.linalg.solve(normal + np.diag(damping * np.diag(normal) + 1e-9), slope)
        better = solve(target, moved_shapes(target, fit.shapes, step))
        if better.chi2 > fit.chi2:
            damping = max(damping * 10, 1e-2)
            if damping > 1e4:
                return fit
            continue
        done = fit.chi2 - better.chi2 < 1e-4
        fit, damping = better, damping / 10
        if done:
            return fit
    return fit


def moved_shapes(target: Target, shapes: Array, step: Array) -> Array:
    """Shapes after a step of their unknown stations, kept on the measured length."""
    low, high = target.x_in[0], target.x_in[-1]
    moved = shapes.copy()
    j = 0
    for k, (begin, end) in enumerate(shapes):
        if end > begin:
            moved[k] = np.clip(np.sort(shapes[k] + step[j : j + 2]), low, high)
            j += 2
        else:
            moved[k] = np.clip(begin + step[j], low, high)
            j += 1
    return np.asarray(moved)


def station_grid(target: Target) -> Array:
    """Places where a corner is tried first: several in every gap between stations (g, 2)."""
    share = (np.arange(GRID_PER_GAP) + 0.5) / GRID_PER_GAP
    place = (target.x_in[:-1, None] + np.diff(target.x_in)[:, None] * share).ravel()
    return np.column_stack([place, place])


def exchange(target: Target, fit: Fit, grid: Array) -> Fit:
    """Lift out each shape in turn and put a corner where it now serves best; until none moves."""
    for _ in range(MAX_STEPS):
        before = fit.chi2
        for k in range(fit.shapes.shape[0]):
            rest = solve(target, np.delete(fit.shapes, k, axis=0))
            gain = gains(target, rest, grid)
            best = int(np.argmax(gain))
            if rest.chi2 - gain[best] < fit.chi2 - 1e-3:
                shapes = fit.shapes.copy()
                shapes[k] = grid[best]
                fit = solve(target, shapes)
        fit = refine(target, fit)
        if before - fit.chi2 < 1e-2:
            return fit
    return fit


def grow(target: Target, most: int) -> list[Fit]:
    """Best fits with 0, 1, 2 ... sharp corners."""
    grid = station_grid(target)
    fits = [solve(target, np.zeros((0, 2)))]
    for _ in range(most):
        gain = gains(target, fits[-1], grid)
        added = np.vstack([fits[-1].shapes, grid[int(np.argmax(gain))]])
        fits.append(exchange(target, refine(target, solve(target, added)), grid))
    return fits
