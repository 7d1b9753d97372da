"""The 95 % interval of the full-turn TIR of the axis, 2 |e|, down to zero.

TIR is a length: near zero it is crooked (two components of noise always give some swing), so
"estimate plus or minus two sigma" would go negative and miss. The posterior of the eccentricity
vector is drawn instead with fixed, evenly spread points (no random numbers: the same
readings always give the same interval) and the quantiles of the length are read off. A flat prior
on the *vector* favours long vectors near zero; each draw is therefore weighted by 1/|e|, which
is a flat prior on the length.

Source: the length of a vector with normal errors is Rice distributed (Rice 1945, from memory);
evenly spread points: additive recurrence with the plastic number (common practice).
"""

from __future__ import annotations

from functools import cache
from statistics import NormalDist

import numpy as np

from core.harmonics import Array

DRAWS = 512
_EDGES = (0.025, 0.975)


@cache
def _points() -> tuple[Array, Array]:
    """Evenly spread standard normal points (2, DRAWS), and rising uniform ones (DRAWS,).

    The uniform ones choose the noise value of each draw; each noise value then takes a run of
    the recurrence, which is spread evenly too.
    """
    root = 1.32471795724474602596  # x^3 = x + 1
    count = np.arange(1, DRAWS + 1)
    uniform = (0.5 + np.outer(count, root ** -np.arange(1.0, 3.0))) % 1.0
    normal = np.vectorize(NormalDist().inv_cdf)(uniform)
    normal -= normal.mean(axis=0)
    # Whitened, so that mean and covariance of the draws are exactly those of the posterior.
    normal = normal @ np.linalg.inv(np.linalg.cholesky(normal.T @ normal / DRAWS)).T
    return np.ascontiguousarray(normal.T), (count - 0.5) / DRAWS


def tir_intervals(ecc_in: Array, cov_in2: Array, share: Array) -> tuple[Array, Array]:
    """95 % interval of 2 |e| for S vectors: low (S,) and high (S,), inches.

    Parameters
    ----------
    ecc_in : (G, S, 2) eccentricity for each of G noise values.
    cov_in2 : (G, S, 2, 2) its covariance, or (G, 1, 2, 2) when all S share it.
    share : (G, S) probability of each noise value; they add up to one over G.
    """
    best = (share[:, :, None] * ecc_in).sum(axis=0)
    size = np.hypot(best[:, 0], best[:, 1])
    # In a frame whose zero is the high spot the answer does not depend on where 0 is chalked.
    c = np.where(size > 0, best[:, 0] / np.where(size > 0, size, 1.0), 1.0)
    s = np.where(size > 0, best[:, 1] / np.where(size > 0, size, 1.0), 0.0)
    x, y, z = cov_in2[..., 0, 0], cov_in2[..., 0, 1], cov_in2[..., 1, 1]
    centre_along = c * ecc_in[..., 0] + s * ecc_in[..., 1]
    centre_across = c * ecc_in[..., 1] - s * ecc_in[..., 0]
    # Two by two Cholesky factor of the covariance in that frame, (G, S) each.
    first = np.sqrt(np.maximum(c * c * x + 2 * c * s * y + s * s * z, 1e-24))
    cross = (c * s * (z - x) + (c * c - s * s) * y) / first
    second = np.sqrt(np.maximum(s * s * x - 2 * c * s * y + c * c * z - cross**2, 0.0))
    normal, uniform = _points()
    if share.shape[0] == 1:
        pick = np.s_[0, :, None]
    else:
        which = (np.cumsum(share, axis=0)[:-1, :, None] < uniform).sum(axis=0)
        pick = (which, np.arange(share.shape[1])[:, None])  # type: ignore[assignment]
    along = centre_along[pick] + first[pick] * normal[0]
    across = centre_across[pick] + cross[pick] * normal[0] + second[pick] * normal[1]
    return _quantiles(np.sort(np.hypot(along, across), axis=1))


def tir_interval(ecc_in: Array, cov_in2: Array) -> tuple[float, float]:
    """95 % interval of 2 |e|, inches, of one vector (2,) with covariance (2, 2)."""
    low, high = tir_intervals(ecc_in[None, None, :], cov_in2[None, None, :, :], np.ones((1, 1)))
    return float(low[0]), float(high[0])


def _quantiles(length: Array) -> tuple[Array, Array]:
    """Twice the quantiles of sorted lengths (S, DRAWS), each weighted by its inverse."""
    weight = 1 / np.maximum(length, 1e-9)
    reached = np.cumsum(weight, axis=1)
    total = reached[:, -1]
    reached -= 0.5 * weight
    row = np.arange(length.shape[0])
    found = []
    for edge in _EDGES:
        target = edge * total
        after = np.clip((reached < target[:, None]).sum(axis=1), 1, length.shape[1] - 1)
        left, right = reached[row, after - 1], reached[row, after]
        part = np.clip((target - left) / (right - left), 0.0, 1.0)
        found.append(2 * ((1 - part) * length[row, after - 1] + part * length[row, after]))
    return found[0], found[1]
