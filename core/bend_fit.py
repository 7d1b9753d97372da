"""One broken line fitted to a shaft line: given shapes, and shapes moved to their best stations.

Both planes share the stations of the corners, so each shape costs one unknown station (two for
a bow) and one bend vector. The vectors enter linearly and are solved for at once; the stations
follow by Gauss-Newton with the vectors projected out (Golub and Pereyra 1973, Kaufman's
shortened form 1975; from memory).

Everything is whitened: each vector is multiplied by the inverse square root of its covariance.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from core.bend_shapes import lift, lift_slopes
from core.checked_line import CheckedLine, joint_covariance_in2
from core.shaftline import ShaftLine

Array = NDArray[np.float64]

SOFT_KAPPA_RAD = 0.01
"""Weak pull of every bend vector towards zero (standard deviation of a component): where the
readings leave it open, a bend is of the size bends are. Shop figure, no source."""
MAX_STEPS = 15
NEAR_KINK_IN = 0.1


@dataclass(frozen=True, eq=False)
class Target:
    """Measured line, whitened: what the search explains.

    `x_in` (n,) stations, `value` (2 n,) whitened vectors one after another, `rollers_in` (2,).
    `whitener` gives vectors unit noise: (n, 2, 2) when stations are independent, else (2 n, 2 n).
    """

    x_in: Array
    whitener: Array
    value: Array
    rollers_in: Array

    @classmethod
    def of(cls, line: ShaftLine) -> Target:
        """The line as measured, ready for the search."""
        joint = isinstance(line, CheckedLine) and line.joint_cov_in2 is not None
        covariance = joint_covariance_in2(line) if joint else line.covariance_in2
        whitener = np.linalg.inv(np.linalg.cholesky(covariance))
        target = cls(line.station_in, whitener, np.zeros(0), line.rollers_in)
        return replace(target, value=target.whiten(line.ecc_in[:, :, None])[:, 0])

    def whiten(self, vectors: Array) -> Array:
        """Vectors at the stations (n, 2, m), whitened: (2 n, m)."""
        rows = 2 * self.x_in.size
        if self.whitener.ndim == 2:
            return np.asarray(self.whitener @ vectors.reshape(rows, -1))
        return np.asarray(np.matmul(self.whitener, vectors).reshape(rows, -1))

    def columns(self, shapes: Array) -> Array:
        """Whitened columns of shapes (m, 2), two for each: (2 n, 2 m)."""
        raised = lift(self.x_in, shapes[:, 0], shapes[:, 1], self.rollers_in)
        n, m = raised.shape
        if self.whitener.ndim == 3:
            blocks = self.whitener[:, :, None, :] * raised[:, None, :, None]
            return np.asarray(blocks.reshape(2 * n, 2 * m))
        spread = np.zeros((n, 2, m, 2))
        spread[:, 0, :, 0] = spread[:, 1, :, 1] = raised
        return np.asarray(self.whitener @ spread.reshape(2 * n, 2 * m))


@dataclass(frozen=True, eq=False)
class Fit:
    """One broken line: shapes (m, 2) as from and to (equal = sharp), vectors (m, 2), misfit."""

    shapes: Array
    kappa_rad: Array
    chi2: float
    residual: Array
    """(2 n + 2 m,) whitened residual, the weak pull below."""
    basis: Array
    """(2 n + 2 m, 2 m) orthonormal basis of the whitened columns, the weak pull below."""

    @cached_property
    def bowed(self) -> NDArray[np.bool_]:
        """(m,) True where the shape is a bow."""
        return np.asarray(self.shapes[:, 1] > self.shapes[:, 0])

    @property
    def unknown_stations(self) -> int:
        """How many stations were searched for."""
        return int(self.shapes.shape[0] + np.sum(self.bowed))


def solve(target: Target, shapes: Array) -> Fit:
    """Best vectors for given shapes (m, 2)."""
    m = shapes.shape[0]
    if m == 0:
        value = target.value
        return Fit(shapes, np.zeros((0, 2)), float(value @ value), value, np.zeros((value.size, 0)))
    stacked = np.vstack([target.columns(shapes), np.eye(2 * m) / SOFT_KAPPA_RAD])
    goal = np.concatenate([target.value, np.zeros(2 * m)])
    basis, upper = np.linalg.qr(stacked)
    shadow = basis.T @ goal
    residual = goal - basis @ shadow
    kappa = np.linalg.solve(upper, shadow).reshape(m, 2)
    return Fit(shapes, kappa, float(residual @ residual), residual, basis)


def station_changes(target: Target, fit: Fit) -> Array:
    """Whitened change of the fitted line when each unknown station moves, vectors held: (2 n, p).

    Columns run shape by shape: the station of a corner, or the beginning and end of a bow.
    """
    begin, end = lift_slopes(target.x_in, fit.shapes[:, 0], fit.shapes[:, 1], target.rollers_in)
    slopes = np.stack([begin, end], axis=2).reshape(begin.shape[0], -1)[:, _free(fit)]
    kappa = np.repeat(fit.kappa_rad, 1 + fit.bowed, axis=0)
    return target.whiten(slopes[:, None, :] * kappa.T[None, :, :])


def station_jacobian(target: Target, fit: Fit) -> Array:
    """`station_changes` with the vectors free to follow: (2 n + 2 m, p)."""
    block = np.zeros((fit.basis.shape[0], fit.unknown_stations))
    block[: target.value.size] = station_changes(target, fit)
    return np.asarray(block - fit.basis @ (fit.basis.T @ block))


def refine(target: Target, fit: Fit) -> Fit:
    """Move all unknown stations together to the nearest best places.

    The misfit has a kink where a corner passes a station or a roller, and steps stall there: a
    corner found close to one is tried again from both sides.
    """
    if fit.shapes.shape[0] == 0:
        return fit
    fit = _descend(target, fit)
    kinks = np.concatenate([target.x_in, target.rollers_in])
    for k in np.flatnonzero(~fit.bowed):
        away = kinks - fit.shapes[k, 0]
        kink = float(kinks[np.argmin(np.abs(away))])
        if np.min(np.abs(away)) > NEAR_KINK_IN:
            continue
        for side in (-1, 1):
            shapes = fit.shapes.copy()
            shapes[k] = kink + side * NEAR_KINK_IN / 2
            fit = min(fit, _descend(target, solve(target, shapes)), key=lambda f: f.chi2)
    return fit


def _descend(target: Target, fit: Fit) -> Fit:
    damping = 1e-3
    normal: Array = np.zeros((0, 0))
    slope: Array = np.zeros(0)
    fresh = True
    for _ in range(MAX_STEPS):
        if fresh:
            jacobian = station_jacobian(target, fit)
            normal = jacobian.T @ jacobian
            slope = jacobian.T @ fit.residual
        weight = np.diag(normal)
        step = np.asarray(
            np.linalg.solve(normal + np.diag(damping * weight + 1e-9), slope), dtype=float
        )
        better = solve(target, _moved(target, fit, step))
        gain = fit.chi2 - better.chi2
        fresh = gain > 0
        if fresh:
            fit, damping = better, damping / 10
        else:
            damping = max(damping * 20, 1e-2)
        if abs(gain) < 1e-4 or damping > 1e5:
            return fit
    return fit


def _free(fit: Fit) -> NDArray[np.bool_]:
    """(2 m,) which of the from, to numbers are unknowns of their own."""
    return np.column_stack([np.ones(fit.bowed.size, dtype=bool), fit.bowed]).ravel()


def _moved(target: Target, fit: Fit, step: Array) -> Array:
    """Shapes after a step of their unknown stations, kept on the measured length."""
    change = np.zeros(2 * fit.shapes.shape[0])
    change[_free(fit)] = step
    both = change.reshape(-1, 2)
    both[~fit.bowed, 1] = both[~fit.bowed, 0]
    moved = np.sort(fit.shapes + both, axis=1)
    return np.clip(moved, target.x_in[0], target.x_in[-1])
