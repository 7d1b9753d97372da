"""The 95 % interval of the full-turn TIR of the axis, 2 |e|, down to zero.

TIR is a length: near zero it is crooked (two components of noise always give some swing), so
"estimate plus or minus two sigma" would go negative and miss. With a normal posterior of the
eccentricity *vector* and a flat prior on its *length* (a flat prior on the vector would favour
long ones) the density of the length r is::

    p(r) ~ integral over a turn of N(r u(t); e, C) dt

that is, for round errors, the Rice density without its factor r. Near zero it is integrated on a
grid of lengths and angles; far from zero (`FAR` standard deviations) the length is nearly normal
and mean, variance and skewness that this density has to second order give the quantiles (Cornish
and Fisher 1937, from memory). Never negative either way.

Source: Rice 1945, from memory; both forms are checked against scipy in tests/published.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from core.harmonics import Array

FAR = 12.0
LENGTHS = 64
ANGLES = (32, 160)
"""Least and most; so many that their spacing is below the smallest standard deviation."""
REACH = 5.5
"""The grid goes so many standard deviations either way."""
NEGLIGIBLE = 1e-3
"""Noise values less probable than this are left out."""
EDGE = 0.025
_EDGE_SIGMA = 1.959963984540054
_STEPS = np.linspace(0.0, 1.0, LENGTHS)


@dataclass(frozen=True, eq=False)
class _Spread:
    """Vectors in a frame whose zero is the high spot: (G, S) each, so that the answer does not
    depend on where 0 is chalked."""

    along: Array
    across: Array
    xx: Array
    """Variance along."""
    xy: Array
    yy: Array
    """Variance across."""
    share: Array

    def of(self, s: int) -> _Spread:
        """One vector of the S, without the noise values that do not count for it."""
        kept = np.flatnonzero(self.share[:, s] > NEGLIGIBLE)
        parts = (self.along, self.across, self.xx, self.xy, self.yy, self.share)
        return _Spread(*(np.broadcast_to(p, self.share.shape)[kept, s] for p in parts))


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
    safe = np.where(size > 0, size, 1.0)
    c, s = np.where(size > 0, best[:, 0] / safe, 1.0), best[:, 1] / safe
    x, y, z = cov_in2[..., 0, 0], cov_in2[..., 0, 1], cov_in2[..., 1, 1]
    spread = _Spread(
        along=c * ecc_in[..., 0] + s * ecc_in[..., 1],
        across=c * ecc_in[..., 1] - s * ecc_in[..., 0],
        xx=np.maximum(c * c * x + 2 * c * s * y + s * s * z, 1e-18),
        xy=c * s * (z - x) + (c * c - s * s) * y,
        yy=np.maximum(s * s * x - 2 * c * s * y + c * c * z, 1e-18),
        share=share,
    )
    widest = np.sqrt((share * (spread.xx + spread.yy)).sum(axis=0))
    near = size < FAR * widest
    far = np.where(near, np.inf, size)
    variance = spread.xx + spread.yy**2 / (2 * far**2)
    skew = (_EDGE_SIGMA**2 - 1) / 2 * spread.xy**2 / variance
    mean = spread.along + (spread.yy / 2 - spread.xx + skew) / far
    sigma = np.sqrt(variance) * np.ones(share.shape)
    low, high = mean[0] - _EDGE_SIGMA * sigma[0], mean[0] + _EDGE_SIGMA * sigma[0]
    for k in range(size.size):
        if near[k]:
            low[k], high[k] = _near_zero(float(size[k]), spread.of(k))
        elif share.shape[0] > 1:
            parts = [
                part
                for part in zip(
                    share[:, k].tolist(), mean[:, k].tolist(), sigma[:, k].tolist(), strict=True
                )
                if part[0] > NEGLIGIBLE
            ]
            low[k], high[k] = _mixture(parts, EDGE), _mixture(parts, 1 - EDGE)
    return 2 * np.maximum(low, 0.0), 2 * high


def tir_interval(ecc_in: Array, cov_in2: Array) -> tuple[float, float]:
    """95 % interval of 2 |e|, inches, of one vector (2,) with covariance (2, 2)."""
    low, high = tir_intervals(ecc_in[None, None, :], cov_in2[None, None, :, :], np.ones((1, 1)))
    return float(low[0]), float(high[0])


def _mixture(parts: list[tuple[float, float, float]], edge: float) -> float:
    """Quantile of a mixture of normals (share, mean, sigma), by bisection between extremes."""
    whole = sum(share for share, _, _ in parts)
    side = math.copysign(_EDGE_SIGMA, edge - 0.5)
    ends = [mean + side * sigma for _, mean, sigma in parts]
    low, high = min(ends), max(ends)
    for _ in range(14):
        middle = (low + high) / 2
        under = sum(
            share * math.erfc((mean - middle) / (sigma * math.sqrt(2)))
            for share, mean, sigma in parts
        )
        low, high = (middle, high) if under < 2 * edge * whole else (low, middle)
    return (low + high) / 2


def _near_zero(size: float, spread: _Spread) -> tuple[float, float]:
    """2.5 % and 97.5 % quantiles of the length of one vector, by quadrature."""
    share = spread.share
    radial = math.sqrt(share @ (spread.xx + (spread.along - size) ** 2) / share.sum())
    tangential = math.sqrt(share @ (spread.yy + spread.across**2) / share.sum())
    tilt = float(share @ np.abs(spread.xy)) / share.sum() / tangential
    shortest = max(size - REACH * radial, 0.0)
    longest = max(size + REACH * radial, math.hypot(size + REACH * tilt, REACH * tangential))
    length = shortest + (longest - shortest) * _STEPS
    if shortest > 0:
        half = np.minimum(np.pi, REACH * tangential / length)
    else:
        half = np.full(LENGTHS, np.pi)
    det = np.maximum(spread.xx * spread.yy - spread.xy**2, 1e-36)
    finest = math.sqrt(float((det / (spread.xx + spread.yy)).min()))
    reach = float((half * length).max())
    count = min(max(ANGLES[0], math.ceil(1.4 * reach / finest)), ANGLES[1])
    angle = half[:, None] * ((np.arange(count) + 0.5) / count * 2 - 1)
    east, north = length[:, None] * np.cos(angle), length[:, None] * np.sin(angle)
    density = np.zeros(LENGTHS)
    for g, weight in enumerate(share):
        dx, dy = east - spread.along[g], north - spread.across[g]
        square = spread.yy[g] * dx * dx - 2 * spread.xy[g] * dx * dy + spread.xx[g] * dy * dy
        density += weight / math.sqrt(det[g]) * np.exp(square * (-0.5 / det[g])).sum(axis=1)
    density *= half
    reached = np.concatenate([[0.0], np.cumsum(density[1:] + density[:-1])])
    low, high = np.interp((EDGE * reached[-1], (1 - EDGE) * reached[-1]), reached, length)
    return float(low), float(high)
