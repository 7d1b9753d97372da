"""Ovality and lobes of a shaft's sections: what all stations say of each of them together.

A shaft is usually out of round in much the same way all along and changes gradually: the sections
are one even part and one that fades from a section to those `ALIKE_IN` away. How large the second
is, the scatter of the stations about a straight line says.

What a station reads is not its section alone. An oval section on the rollers raises the axis twice
a turn, which the dial sees in proportion along the shaft (`core.runout.roundness`). By how much
depends on the angle between the wheels: two lobes read 1.6 times their height over wheels as far
from each other as in a vee of 120 degrees, once in a vee of 90 degrees, not at all in one of 60.
The stand is not known, so the lift may have either sign.

Source: Gaussian process regression, textbook; reading factors of a vee by geometry (1 + cos(n g) /
cos(g), g = 90 degrees less half the vee); spreads by trial (tests/bench/world), no source.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from core.runout.harmonics import Array
from core.runout.line import ShaftLine
from core.runout.line_runout import harmonics_on
from core.runout.station_result import StationFit

ALIKE_IN = 15.0
EVEN_SIGMA_IN = 0.001
"""The part common to all sections is left to the readings."""
LIFT_FACTOR = 0.35
"""Height by which a section on the rollers raises the axis, over the height of its lobes: standard
deviation over the stands there are."""
SEAT_SIGMA_IN = 0.0001
"""The same of what a worn seat has besides."""
LEAST_FOR_SCATTER = 6
LEAST_OWN = 0.25
"""A section has at least this share of the noise of its own."""
UNLIKE_SIGMAS = 3.0
MOST_PULL = 1.5


@dataclass(frozen=True, eq=False)
class Sections:
    """Cosine and sine part of two and of three lobes (n, 4) as read, and what makes them up."""

    station_in: Array
    read_in: Array
    noise_in2: Array
    """(n, 4) variances of the readings."""
    own_in2: Array
    """(4,) variance of what a section has of its own."""
    lift_in: Array
    """(2, n, 4) what either roller may add, one standard deviation."""

    @classmethod
    def of(cls, line: ShaftLine, fits: Sequence[StationFit]) -> Sections:
        """Sections at the stations of a line, with their fits."""
        theta, cov = harmonics_on(line, fits)
        read, noise = _without_prior(theta, np.diagonal(cov, axis1=1, axis2=2))
        x = line.station_in
        a, b = line.rollers_in
        share = np.stack([(b - x) / (b - a), (x - a) / (b - a)])
        size = np.sqrt(read**2 @ np.kron(np.eye(2), np.ones((2, 2))) / 2)
        on_rollers = np.array([[np.interp(r, x, s) for s in size.T] for r in (a, b)])
        sigma = np.hypot(LIFT_FACTOR * on_rollers, SEAT_SIGMA_IN)
        return cls(
            x, read, noise, own_variance_in2(x, read, noise), share[:, :, None] * sigma[:, None, :]
        )

    def at(self, index: NDArray[np.intp]) -> tuple[Array, Array]:
        """Mean (m, 4) and covariance of each part (4, m, m) at some stations, by these alone."""
        x, noise, lift = self.station_in[index], self.noise_in2[index], self.lift_in[:, index]
        alike = np.exp(-np.abs(x[:, None] - x) / ALIKE_IN)
        prior = EVEN_SIGMA_IN**2 + self.own_in2[:, None, None] * alike
        seen = prior + np.einsum("rmk,rnk->kmn", lift, lift)
        each = np.arange(x.size)
        seen[:, each, each] += noise.T
        worn = _unlike_others(seen, self.read_in[index]) * EVEN_SIGMA_IN**2
        prior[:, each, each] += worn
        seen[:, each, each] += worn
        gain = np.linalg.solve(seen, prior).transpose(0, 2, 1)
        mean = np.matmul(gain, self.read_in[index].T[:, :, None])[:, :, 0].T
        cov = prior - np.matmul(gain, prior)
        return mean, (cov + cov.transpose(0, 2, 1)) / 2


def _unlike_others(seen_in2: Array, read_in: Array) -> NDArray[np.bool_]:
    """Stations (m,) with a section that its neighbours do not explain (a worn seat): it goes by its
    own reading alone. Each part is compared with what all the others say of it."""
    inverse = np.linalg.inv(seen_in2)
    own = np.diagonal(inverse, axis1=1, axis2=2)
    off = np.matmul(inverse, read_in.T[:, :, None])[:, :, 0] / np.sqrt(own)
    return np.asarray((np.abs(off) > UNLIKE_SIGMAS).any(axis=0))


def _without_prior(theta_in: Array, variance_in2: Array) -> tuple[Array, Array]:
    """Lobes (n, 4) and variances (n, 4) as the readings alone give them: over a whole roll they are
    known as well as the eccentricity, on which no prior pulls."""
    free = np.repeat(variance_in2[:, :2].mean(axis=1), 4).reshape(-1, 4)
    held = variance_in2[:, 2:]
    pull = np.clip(free / np.maximum(held, 1e-18), 1.0, MOST_PULL)
    return theta_in[:, 2:] * pull, held * pull


def own_variance_in2(x_in: Array, read_in: Array, noise_in2: Array) -> Array:
    """Variance (4,) of what sections have of their own, by their scatter about a straight line."""
    noise = noise_in2.mean(axis=0)
    if x_in.size < LEAST_FOR_SCATTER:
        return np.asarray((read_in**2).mean(axis=0) + noise)
    rows = np.stack([np.ones_like(x_in), x_in - x_in.mean()], axis=1)
    trend = rows @ np.linalg.lstsq(rows, read_in, rcond=None)[0]
    scatter = ((read_in - trend) ** 2).sum(axis=0) / (x_in.size - 2)
    return np.asarray(np.maximum(scatter - noise, LEAST_OWN * noise))
