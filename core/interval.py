"""The 95 % interval of the full-turn TIR of the axis, 2 |e|, down to zero.

TIR is a length: near zero it is crooked (two components of noise always give some swing), so
"estimate plus or minus two sigma" would go negative and miss. The posterior of the eccentricity
vector is drawn instead with fixed, evenly spread points (no random numbers: the same
readings always give the same interval) and the quantiles of the length are read off. A flat prior
on the *vector* favours long vectors near zero; each draw is therefore weighted by 1/|e|, which
is a flat prior on the length.

Source: the length of a vector with normal errors is Rice distributed (Rice 1945, from memory);
evenly spread points: additive recurrence with the generalised golden ratio (common practice).
"""

from __future__ import annotations

from functools import cache
from statistics import NormalDist

import numpy as np

from core.harmonics import Array

DRAWS = 768
_EDGES = np.array([0.025, 0.975])


@cache
def _points() -> tuple[Array, Array]:
    """Evenly spread standard normal points (2, DRAWS), and rising uniform ones (DRAWS,).

    The uniform ones choose the noise value of each draw; they rise with the first recurrence, so
    the pairs are spread evenly within every noise value too.
    """
    root = 1.32471795724474602596  # x^3 = x + 1
    count = np.arange(1, DRAWS + 1)
    uniform = (0.5 + np.outer(count, root ** -np.arange(1.0, 3.0))) % 1.0
    normal = np.vectorize(NormalDist().inv_cdf)(uniform)
    normal -= normal.mean(axis=0)
    # Whitened, so that mean and covariance of the draws are exactly those of the posterior.
    normal = normal @ np.linalg.inv(np.linalg.cholesky(normal.T @ normal / DRAWS)).T
    return np.ascontiguousarray(normal.T), (count - 0.5) / DRAWS


def tir_interval(ecc_in: Array, cov_in2: Array, share: Array) -> tuple[float, float]:
    """95 % interval of 2 |e|, inches.

    Parameters
    ----------
    ecc_in : (G, 2) eccentricity for each noise value; cov_in2 : (G, 2, 2) its covariance.
    share : (G,) probability of each noise value; they add up to one.
    """
    best = share @ ecc_in
    size = float(np.hypot(best[0], best[1]))
    # In a frame whose zero is the high spot the answer does not depend on where 0 is chalked.
    c, s = (best / size) if size > 0 else (1.0, 0.0)
    frame = np.array([[c, s], [-s, c]])
    centre = ecc_in @ frame.T
    spread = frame @ cov_in2 @ frame.T
    # Cholesky by hand: the larger axis need not come first for two by two.
    first = np.sqrt(spread[:, 0, 0])
    cross = spread[:, 0, 1] / first
    second = np.sqrt(np.maximum(spread[:, 1, 1] - cross**2, 0.0))
    normal, uniform = _points()
    g = np.searchsorted(np.cumsum(share)[:-1], uniform) if share.size > 1 else 0
    along = centre[g, 0] + first[g] * normal[0]
    across = centre[g, 1] + cross[g] * normal[0] + second[g] * normal[1]
    length = np.sort(np.hypot(along, across))
    weight = 1 / np.maximum(length, 1e-9)
    reached = np.cumsum(weight) - 0.5 * weight
    low, high = np.interp(_EDGES * (reached[-1] + 0.5 * weight[-1]), reached, length)
    return 2 * float(low), 2 * float(high)
