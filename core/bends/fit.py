"""One broken line fitted to a shaft line: given shapes, and shapes moved to their best stations.

Both planes share the stations of the corners, so each shape costs one unknown station (two for
a bow) and one bend vector. The vectors enter linearly and are solved for at once; the stations
follow by Gauss-Newton with the vectors projected out (Golub and Pereyra 1973, Kaufman's
shortened form 1975; from memory).

Everything is whitened: each vector is multiplied by the inverse square root of its covariance.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from core.bends.shapes import plain_lift, plain_slopes
from core.runout.checked_line import CheckedLine, joint_covariance_in2
from core.runout.line import ShaftLine

Array = NDArray[np.float64]

SOFT_KAPPA_RAD = 0.01
"""Weak pull of every bend vector towards zero (standard deviation of a component): where the
readings leave it open, a bend is of the size bends are. Shop figure, no source."""
SOFT_STATION_IN = 12.0
"""Weak pull on how far the other corners follow when one is moved."""
FINEST_IN = 1e-6
"""No reading is better than this, whatever was stated."""
MAX_STEPS = 15
NEAR_KINK_IN = 0.1
CLEAR_IN = 0.5
FLAT = 0.05
"""Least curvature of the misfit a step reckons with, per square inch: a corner that may stand
anywhere in its gap must not run away and hold the others up."""


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
    loose: Array
    """(2 n, 4) whitened change of the line when the axis at a roller is not quite where it is taken
    to be, one standard deviation each: first roller toward 0, toward 90, then the second."""

    @classmethod
    def of(cls, line: ShaftLine) -> Target:
        """The line as measured, ready for the search."""
        joint = isinstance(line, CheckedLine) and line.joint_cov_in2 is not None
        covariance = joint_covariance_in2(line) if joint else line.covariance_in2
        covariance = covariance + FINEST_IN**2 * np.eye(covariance.shape[-1])
        whitener = np.linalg.inv(np.linalg.cholesky(covariance))
        n = line.station_in.size
        if joint:
            value = whitener @ line.ecc_in.ravel()
        else:
            value = np.matmul(whitener, line.ecc_in[:, :, None]).reshape(2 * n)
        a, b = line.rollers_in
        share = (line.station_in - a) / (b - a)
        off_in = line.roller_sigma_in * np.hypot(*slopes_at_rollers(line).T)
        raised = np.kron(np.column_stack([1 - share, share]) * off_in, np.eye(2))
        if joint:
            loose = whitener @ raised
        else:
            loose = np.matmul(whitener, raised.reshape(n, 2, 4)).reshape(2 * n, 4)
        return cls(
            line.station_in,
            np.asarray(whitener),
            np.asarray(value),
            line.rollers_in,
            np.asarray(loose),
        )

    @cached_property
    def places_in(self) -> Array:
        """(n + 2,) the stations, then the rollers."""
        return np.concatenate([self.x_in, self.rollers_in])

    @cached_property
    def knots_in(self) -> Array:
        """All places where the line is known, rising: stations and rollers."""
        return np.unique(self.places_in)

    @cached_property
    def _share(self) -> Array:
        """(n, 1) how far along from the first to the second roller."""
        a, b = self.rollers_in
        return np.asarray((self.x_in - a) / (b - a))[:, None]

    def columns(self, shapes: Array) -> Array:
        """Whitened columns of shapes (m, 2), two for each: (2 n, 2 m)."""
        raised = self._referred(plain_lift(self.places_in, shapes[:, 0], shapes[:, 1]))
        block = np.zeros((2 * self.x_in.size, 2 * shapes.shape[0]))
        if self.whitener.ndim == 2:
            block[0::2, 0::2] = block[1::2, 1::2] = raised
            return np.asarray(self.whitener @ block)
        for i in (0, 1):
            for j in range(i + 1):  # the whitener is a lower triangle
                np.multiply(self.whitener[:, i, j, None], raised, out=block[i::2, j::2])
        return block

    def whitened(self, raw: Array, vector: Array) -> Array:
        """Plain lifts (n + 2, p) along vectors (p, 2), referred and whitened: (2 n, p)."""
        raised = self._referred(raw)
        block = np.empty((2 * self.x_in.size, vector.shape[0]))
        if self.whitener.ndim == 2:
            block[0::2], block[1::2] = raised * vector[:, 0], raised * vector[:, 1]
            return np.asarray(self.whitener @ block)
        turned = self.whitener @ vector.T
        np.multiply(turned[:, 0], raised, out=block[0::2])
        np.multiply(turned[:, 1], raised, out=block[1::2])
        return block

    def _referred(self, raw: Array) -> Array:
        n = self.x_in.size
        return np.asarray(raw[:n] - (raw[n] + self._share * (raw[n + 1] - raw[n])))


@dataclass(frozen=True, eq=False)
class Fit:
    """One broken line: shapes (m, 2) as from and to (equal = sharp), vectors (m, 2), misfit."""

    shapes: Array
    chi2: float
    residual: Array
    """(2 n + q,) whitened residual, the weak pulls below."""
    basis: Array
    """(2 n + q, q) orthonormal basis of the whitened columns, the weak pulls below."""
    upper: Array
    """(q, q) triangle that makes the columns of the basis; the first 2 m belong to the shapes."""
    shadow: Array
    """(q,) what was measured, along the basis."""
    pulled: float
    """The part of chi2 that the weak pulls on the vectors make; readings and rollers make the
    rest."""

    @property
    def off(self) -> float:
        """Misfit of readings and rollers: chi2 without the weak pulls on the vectors."""
        return self.chi2 - self.pulled

    @cached_property
    def kappa_rad(self) -> Array:
        """Bend vectors (m, 2)."""
        m = self.shapes.shape[0]
        if m == 0:
            return np.zeros((0, 2))
        return np.asarray(np.linalg.solve(self.upper, self.shadow)[: 2 * m].reshape(m, 2))

    @cached_property
    def loose(self) -> tuple[Array, Array]:
        """How far the axis lies off at the rollers' stations as given, in the standard deviations
        of `Target.loose` (4,), and the covariance of that (4, 4)."""
        inverse = np.linalg.inv(self.upper)
        return np.asarray((inverse @ self.shadow)[-4:]), np.asarray((inverse @ inverse.T)[-4:, -4:])

    @cached_property
    def bowed(self) -> NDArray[np.bool_]:
        """(m,) True where the shape is a bow."""
        return np.asarray(self.shapes[:, 1] > self.shapes[:, 0])

    @cached_property
    def unknown_stations(self) -> int:
        """How many stations were searched for."""
        return int(self.shapes.shape[0] + np.count_nonzero(self.bowed))


def slopes_at_rollers(line: ShaftLine) -> Array:
    """Slope of the line (2, 2) at each roller, inches an inch, from the stations on either side of
    it, or from the last two; only its size matters, for the doubt a misplaced roller brings."""
    x = line.station_in
    slopes = np.zeros((2, 2))
    for k, roller in enumerate(line.rollers_in):
        before, after = np.flatnonzero(x < roller - CLEAR_IN), np.flatnonzero(x > roller + CLEAR_IN)
        first = before[-1] if before.size else 0
        last = after[0] if after.size else x.size - 1
        if not before.size:
            last = min(max(last, first + 1), x.size - 1)
        if not after.size:
            first = max(min(first, last - 1), 0)
        if last > first:
            slopes[k] = (line.ecc_in[last] - line.ecc_in[first]) / (x[last] - x[first])
    return slopes


def solve(target: Target, shapes: Array) -> Fit:
    """Best vectors for given shapes (m, 2)."""
    pull = np.full(2 * shapes.shape[0], 1 / SOFT_KAPPA_RAD)
    return least_squares(target, shapes, target.columns(shapes), pull)


def least_squares(target: Target, shapes: Array, columns: Array, pull: Array) -> Fit:
    """Fit of whitened columns (2 n, q), each held to zero by a weak pull (q,), with the rollers
    free to lie off their stations as far as these are doubtful."""
    weak = columns.shape[1]
    columns = np.hstack([columns, target.loose])
    pull = np.concatenate([pull, np.ones(target.loose.shape[1])])
    rows, q = columns.shape
    stacked = np.zeros((rows + q, q))
    stacked[:rows] = columns
    stacked[rows:].flat[:: q + 1] = pull
    goal = np.zeros(rows + q)
    goal[:rows] = target.value
    basis, upper = np.linalg.qr(stacked)
    shadow = basis.T @ goal
    residual = goal - basis @ shadow
    chi2, below = float(residual @ residual), residual[rows : rows + weak]
    return Fit(shapes, chi2, residual, basis, upper, shadow, float(below @ below))


def station_changes(target: Target, fit: Fit) -> Array:
    """Whitened change of the fitted line when each unknown station moves, vectors held: (2 n, p).

    Columns run shape by shape: the station of a corner, or the beginning and end of a bow.
    """
    begin, end = plain_slopes(target.places_in, fit.shapes[:, 0], fit.shapes[:, 1])
    kappa = fit.kappa_rad
    if fit.bowed.any():
        begin = np.stack([begin, end], axis=2).reshape(begin.shape[0], -1)[:, _free(fit)]
        kappa = np.repeat(kappa, 1 + fit.bowed, axis=0)
    return target.whitened(begin, kappa)


def others_following(target: Target, fit: Fit, k: int) -> Fit:
    """Everything but corner k, the other stations free to follow (linearised)."""
    keep = np.arange(fit.bowed.size) != k
    if not keep.any():
        return solve(target, fit.shapes[keep])
    columns = target.columns(fit.shapes[keep])
    owner = np.repeat(np.arange(fit.bowed.size), 1 + fit.bowed)
    moved = station_changes(target, fit)[:, owner != k]
    pull = np.full(columns.shape[1] + moved.shape[1], 1 / SOFT_STATION_IN)
    pull[: columns.shape[1]] = 1 / SOFT_KAPPA_RAD
    return least_squares(target, fit.shapes[keep], np.hstack([columns, moved]), pull)


def station_jacobian(target: Target, fit: Fit) -> Array:
    """`station_changes` with the vectors free to follow: (2 n + 2 m, p)."""
    rows = target.value.size
    changes = station_changes(target, fit)
    free = fit.basis @ (fit.basis[:rows].T @ changes)
    np.negative(free, out=free)
    free[:rows] += changes
    return free


def refine(target: Target, fit: Fit, worth: float = 1e-4) -> Fit:
    """Move all unknown stations together to the nearest best places.

    The misfit has a kink where a corner passes a station or a roller, and steps stall there: a
    corner found close to one is tried again from both sides. Steps end when they lower the
    misfit by less than `worth`.
    """
    if fit.shapes.shape[0] == 0:
        return fit
    fit = _descend(target, fit, worth)
    kinks = target.knots_in
    for k in np.flatnonzero(~fit.bowed):
        away = np.abs(kinks - fit.shapes[k, 0])
        nearest = int(np.argmin(away))
        if away[nearest] > NEAR_KINK_IN:
            continue
        for side in (-1, 1):
            shapes = fit.shapes.copy()
            shapes[k] = kinks[nearest] + side * NEAR_KINK_IN / 2
            again = _descend(target, solve(target, shapes), worth)
            fit = min(fit, again, key=lambda f: f.chi2)
    return fit


def _descend(target: Target, fit: Fit, worth: float) -> Fit:
    """Damped Gauss-Newton (Levenberg and Marquardt)."""
    damping = 1e-3
    normal: Array = np.zeros((0, 0))
    slope: Array = np.zeros(0)
    fresh = True
    for _ in range(MAX_STEPS):
        if fresh:
            jacobian = station_jacobian(target, fit)
            normal = jacobian.T @ jacobian
            slope = jacobian.T @ fit.residual
        damped = normal.copy()
        damped.flat[:: normal.shape[0] + 1] *= 1 + damping
        damped.flat[:: normal.shape[0] + 1] += FLAT
        step: Array = np.asarray(np.linalg.solve(damped, slope), dtype=float)
        better = solve(target, _moved(target, fit, step))
        gain = fit.chi2 - better.chi2
        fresh = gain > 0
        if fresh:
            fit, damping = better, damping / 10
        else:
            damping = max(damping * 20, 1e-2)
        if 0 <= gain < worth or damping > 1e5:
            break
    return fit


def _free(fit: Fit) -> NDArray[np.bool_]:
    """(2 m,) which of the from, to numbers are unknowns of their own."""
    free = np.ones(2 * fit.bowed.size, dtype=bool)
    free[1::2] = fit.bowed
    return free


def _moved(target: Target, fit: Fit, step: Array) -> Array:
    """Shapes after a step of their unknown stations, none beyond the outermost knots."""
    change = np.empty(2 * fit.bowed.size)
    change[_free(fit)] = step
    both = change.reshape(-1, 2)
    both[:, 1] = np.where(fit.bowed, both[:, 1], both[:, 0])
    moved = fit.shapes + both
    moved.sort(axis=1)
    return np.asarray(np.clip(moved, target.knots_in[0], target.knots_in[-1]))
