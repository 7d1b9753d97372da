"""The 95 % interval of a full-turn TIR, down to zero.

TIR is a length: near zero it is crooked (two components of noise always give some swing), so
"estimate plus or minus two sigma" would go negative and miss. The posterior of the harmonic
parameters is drawn instead with fixed, evenly spread points (no random numbers: the same
readings always give the same interval), each draw's swing over a whole turn is taken, and
the quantiles are read off. A flat prior on the eccentricity *vector* favours large
eccentricities near zero; each draw is therefore weighted by 1/|e|, which is a flat prior on
the length. Well away from zero the swing is linear in the parameters, and is taken so.

Source: the length of a vector with normal errors is Rice distributed (Rice 1945, from memory);
quasi-random points: additive recurrence with the generalised golden ratio (common practice).
"""

from __future__ import annotations

from functools import cache
from statistics import NormalDist

import numpy as np

from core.harmonics import TURN, Array, harmonics

DRAWS = 512
LINEAR_FROM = 30.0
"""Swing over its standard deviation from which the linear form is as good as exact."""
_GRID = harmonics(np.linspace(0, TURN, 60, endpoint=False))[:, 1:]


@cache
def _points() -> tuple[Array, Array]:
    """Evenly spread standard normal points (DRAWS, 6), and uniform ones (DRAWS,)."""
    root = 2.0
    for _ in range(60):
        root = (1 + root) ** (1 / 8)
    steps = root ** -np.arange(1.0, 8.0)
    uniform = (0.5 + np.outer(np.arange(1, DRAWS + 1), steps)) % 1.0
    normal = np.vectorize(NormalDist().inv_cdf)(uniform[:, :6])
    normal -= normal.mean(axis=0)
    # Whitened, so that the mean and covariance of the draws are exactly those of the posterior.
    normal = normal @ np.linalg.inv(np.linalg.cholesky(normal.T @ normal / DRAWS)).T
    return normal, np.sort(uniform[:, 6])


def _turned(angle_rad: float) -> Array:
    """Matrix (6, 6) that turns the clock's zero to `angle_rad`."""
    turn = np.zeros((6, 6))
    for k in (1, 2, 3):
        c, s = np.cos(k * angle_rad), np.sin(k * angle_rad)
        turn[2 * k - 2 : 2 * k, 2 * k - 2 : 2 * k] = ((c, s), (-s, c))
    return turn


def swing_interval(
    theta_in: Array, cov_in2: Array, share: Array, swing_in: float, ends_rad: tuple[float, float]
) -> tuple[float, float]:
    """95 % interval of the full-turn TIR, inches.

    Parameters
    ----------
    theta_in : (G, 7) parameters for each noise value; cov_in2 : (G, 7, 7) their covariance.
    share : (G,) probability of each noise value.
    swing_in : TIR of the best curve; ends_rad : clocks of its top and bottom.
    """
    best = share @ theta_in[:, 1:]
    # In a frame whose zero is the high spot the answer does not depend on where 0 is chalked.
    frame = _turned(float(np.arctan2(best[1], best[0])))
    theta = theta_in[:, 1:] @ frame.T
    spread = np.linalg.cholesky(frame @ cov_in2[:, 1:, 1:] @ frame.T)
    normal, uniform = _points()
    which = np.searchsorted(np.cumsum(share)[:-1], uniform)
    draws = theta[which] + np.einsum("sij,sj->si", spread[which], normal)
    top, bottom = harmonics(np.array(ends_rad) - np.arctan2(best[1], best[0]))[:, 1:]
    linear = draws @ (top - bottom)
    if swing_in > LINEAR_FROM * linear.std():
        low, high = np.quantile(linear, (0.025, 0.975))
        return max(0.0, float(low)), float(high)
    curves = draws @ _GRID.T
    swings = curves.max(axis=1) - curves.min(axis=1)
    return _weighted(swings, 1 / np.maximum(np.hypot(draws[:, 0], draws[:, 1]), 1e-9))


def _weighted(value: Array, weight: Array) -> tuple[float, float]:
    """Weighted 2.5 % and 97.5 % quantiles."""
    order = np.argsort(value)
    share = np.cumsum(weight[order])
    share = (share - 0.5 * weight[order]) / share[-1]
    low, high = np.interp((0.025, 0.975), share, value[order])
    return float(low), float(high)
