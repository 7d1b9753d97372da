"""The 95 % interval of the full-turn TIR of the axis, 2 |e|, down to zero.

TIR is a length: near zero it is crooked (two components of noise always give some swing), so
"estimate plus or minus two sigma" would go negative and miss. With a normal posterior of the
eccentricity *vector* and a flat prior on its *length* (a flat prior on the vector would favour
long ones) the density of the length r is::

    p(r) ~ integral over a turn of N(r u(t); e, C) dt

that is, for round errors, the Rice density without its factor r. Near zero it is integrated on a
grid of lengths (and angles, when the errors are not round); far from zero (`NORMAL_FROM_SIGMAS`
standard deviations) the length is nearly normal and mean, variance and skewness that this density
has to second order give the quantiles (Cornish and Fisher 1937, from memory). Never negative
either way.

Source: Rice 1945, from memory; both forms are checked against scipy in tests/published.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from core.runout.harmonics import Array

NORMAL_FROM_SIGMAS = 12.0
LENGTHS = 36
REACH = 4.5
"""The grid goes so many standard deviations either way."""
MOST_ANGLES = 120
FINE = 1.4
"""Spacing of the angles in the smallest standard deviation: the sum over a smooth bell is then good
to a part in ten thousand."""
NEGLIGIBLE = 1e-3
"""Noise values less probable than this are left out."""
QUIET = 1e-2
"""So are the smallest that make up this share together: they add nothing to the tails."""
CLOSE = 5e-3
"""Share of its tail, or of its bracket, to which a quantile of a mixture is found."""
ROUND = 1e-6
LOWER_TAIL = 0.025
_EDGE_SIGMA = 1.959963984540054
_I0_SMALL = (0.0045813, 0.0360768, 0.2659732, 1.2067492, 3.0899424, 3.5156229, 1.0)
_I0_LARGE = (
    *(0.00392377, -0.01647633, 0.02635537, -0.02057706, 0.00916281),
    *(-0.00157565, 0.00225319, 0.01328592, 0.39894228),
)
_STEPS = np.linspace(0.0, 1.0, LENGTHS)


@dataclass(frozen=True, eq=False)
class _Spread:
    """Vectors in a frame whose zero is the high spot, so that the answer does not depend on where
    0 is chalked: parts and covariances, (G, S) each, and the length of the mean (S,)."""

    size: Array
    along: Array
    across: Array
    xx: Array
    """Variance along."""
    xy: Array
    yy: Array
    """Variance across."""
    share: Array

    def of(self, wanted: NDArray[np.bool_]) -> _Spread:
        """Some of the S vectors, without the noise values that count for none of them."""
        counts = (self.share > NEGLIGIBLE) & (self.share.cumsum(axis=0) > QUIET)
        kept = counts.any(axis=1)
        if kept.all() and wanted.all():
            return self
        at = np.ix_(kept, wanted)
        return _Spread(
            size=self.size[wanted],
            along=self.along[at],
            across=self.across[at],
            xx=self.xx[at],
            xy=self.xy[at],
            yy=self.yy[at],
            share=self.share[at],
        )

    @property
    def is_round(self) -> bool:
        """Whether all errors are alike in every direction: whole turns of even marks."""
        slant = np.abs(self.xx - self.yy) + np.abs(self.xy)
        return bool((slant < ROUND * self.xx).all())

    def mean(self, part: Array) -> Array:
        """Average of (G, S) over the noise values: (S,)."""
        if part.shape[0] == 1:
            return np.asarray(part[0])
        return np.asarray((self.share * part).sum(axis=0) / self.share.sum(axis=0))


def tir_intervals(ecc_in: Array, cov_in2: Array, share: Array) -> tuple[Array, Array]:
    """95 % interval of 2 |e| for S vectors: low (S,) and high (S,), inches.

    Parameters
    ----------
    ecc_in : (G, S, 2) eccentricity for each of G noise values.
    cov_in2 : (G, S, 2, 2) its covariance, or (G, 1, 2, 2) when all S share it.
    share : (G, S) probability of each noise value; they add up to one over G.
    """
    spread = _in_frame(ecc_in, cov_in2, share)
    near = spread.size < NORMAL_FROM_SIGMAS * np.sqrt(spread.mean(spread.xx + spread.yy))
    low, high = np.empty(near.size), np.empty(near.size)
    if near.any():
        low[near], high[near] = _near_zero(spread.of(near))
    if not near.all():
        low[~near], high[~near] = _far_from_zero(spread.of(~near))
    return 2 * np.maximum(low, 0.0), 2 * high


def tir_interval(ecc_in: Array, cov_in2: Array) -> tuple[float, float]:
    """95 % interval of 2 |e|, inches, of one vector (2,) with covariance (2, 2)."""
    low, high = tir_intervals(ecc_in[None, None, :], cov_in2[None, None, :, :], np.ones((1, 1)))
    return float(low[0]), float(high[0])


def _in_frame(ecc_in: Array, cov_in2: Array, share: Array) -> _Spread:
    best = (share[:, :, None] * ecc_in).sum(axis=0)
    size = np.hypot(best[:, 0], best[:, 1])
    safe = np.where(size > 0, size, 1.0)
    c, s = np.where(size > 0, best[:, 0] / safe, 1.0), best[:, 1] / safe
    x, y, z = cov_in2[..., 0, 0], cov_in2[..., 0, 1], cov_in2[..., 1, 1]
    return _Spread(
        size=size,
        along=c * ecc_in[..., 0] + s * ecc_in[..., 1],
        across=c * ecc_in[..., 1] - s * ecc_in[..., 0],
        xx=np.maximum(c * c * x + 2 * c * s * y + s * s * z, 1e-18),
        xy=c * s * (z - x) + (c * c - s * s) * y,
        yy=np.maximum(s * s * x - 2 * c * s * y + c * c * z, 1e-18),
        share=share,
    )


def _far_from_zero(spread: _Spread) -> tuple[Array, Array]:
    """2.5 % and 97.5 % quantiles (S,) of lengths that are nearly normal."""
    size = spread.size
    variance = spread.xx + spread.yy**2 / (2 * size**2)
    skew = (_EDGE_SIGMA**2 - 1) / 2 * spread.xy**2 / variance
    mean = spread.along + (spread.yy / 2 - spread.xx + skew) / size
    sigma = np.sqrt(variance)
    if mean.shape[0] == 1:
        return mean[0] - _EDGE_SIGMA * sigma[0], mean[0] + _EDGE_SIGMA * sigma[0]
    parts = np.stack([spread.share, mean, sigma], axis=-1)
    ends = [
        [_mixture(parts[:, k].tolist(), edge) for k in range(size.size)]
        for edge in (LOWER_TAIL, 1 - LOWER_TAIL)
    ]
    return np.array(ends[0]), np.array(ends[1])


def _mixture(parts: list[list[float]], edge: float) -> float:
    """Quantile of a mixture of normals (share, mean, sigma), by false position (Illinois)."""
    whole = sum(share for share, _, _ in parts)
    side = math.copysign(_EDGE_SIGMA, edge - 0.5)
    ends = [mean + side * sigma for _, mean, sigma in parts]
    low, high = min(ends), max(ends)
    wanted = 2 * edge * whole
    scaled = [(share, mean, 1 / (sigma * math.sqrt(2))) for share, mean, sigma in parts]

    def over(place: float) -> float:
        return sum(p * math.erfc((mean - place) * k) for p, mean, k in scaled) - wanted

    below, above = over(low), over(high)
    close = CLOSE * (high - low)
    while high - low > close and above > 0 > below:
        middle = high - above * (high - low) / (above - below)
        found = over(middle)
        if abs(found) < CLOSE * wanted:
            return middle
        if found < 0:
            low, below, above = middle, found, above / 2
        else:
            high, above, below = middle, found, below / 2
    return low if -below < above else high


def _near_zero(spread: _Spread) -> tuple[Array, Array]:
    """2.5 % and 97.5 % quantiles (S,) of lengths, by quadrature over lengths and angles."""
    size = spread.size
    radial = REACH * np.sqrt(spread.mean(spread.xx + (spread.along - size) ** 2))
    tangential = REACH * np.sqrt(spread.mean(spread.yy + spread.across**2))
    tilt = REACH**2 * spread.mean(np.abs(spread.xy)) / tangential
    shortest = np.maximum(size - radial, 0.0)
    longest = np.maximum(size + radial, np.hypot(size + tilt, tangential))
    length = shortest[:, None] + (longest - shortest)[:, None] * _STEPS
    if spread.is_round:
        return _quantiles(length, _round_density(length, spread))
    half = np.minimum(np.pi, tangential / np.maximum(shortest, 1e-12))
    det = np.maximum(spread.xx * spread.yy - spread.xy**2, 1e-36)
    finest = np.sqrt(2 * (det / (spread.xx + spread.yy)).min(axis=0))
    count = min(math.ceil(float((2 * half * longest / finest).max()) / FINE), MOST_ANGLES)
    angle = half[:, None] * ((np.arange(count) + 0.5) / count * 2 - 1)
    return _quantiles(length, _density(length, angle, spread, det))


def _round_density(length: Array, spread: _Spread) -> Array:
    """Density (S, LENGTHS) of the length, up to a factor, for errors alike in every direction."""
    variance = spread.xx[:, :, None]
    size = np.hypot(spread.along, spread.across)[:, :, None]
    bell = np.exp((length - size) ** 2 / (-2 * variance)) * _scaled_i0(length * size / variance)
    return np.asarray((spread.share[:, :, None] / variance * bell).sum(axis=0))


def _scaled_i0(x: Array) -> Array:
    """Bessel function I0(x) exp(-x) for x >= 0 (Abramowitz and Stegun 9.8.1 and 9.8.2)."""
    square = np.minimum(x / 3.75, 1.0) ** 2
    inverse = 3.75 / np.maximum(x, 3.75)
    small = _polynomial(square, _I0_SMALL) * np.exp(-np.minimum(x, 3.75))
    large = _polynomial(inverse, _I0_LARGE) / np.sqrt(np.maximum(x, 3.75))
    return np.where(x < 3.75, small, large)


def _polynomial(x: Array, falling: tuple[float, ...]) -> Array:
    value = x * falling[0] + falling[1]
    for factor in falling[2:]:
        value *= x
        value += factor
    return np.asarray(value)


def _density(length: Array, angle: Array, spread: _Spread, det: Array) -> Array:
    """Density (S, LENGTHS) of the length, up to a factor.

    At the point r u(t) the exponent is r^2 P(t) - 2 r Q(t) + R, with P and Q of the angle alone.
    """
    c, s = np.cos(angle), np.sin(angle)
    xx, xy, yy = spread.yy / det, -spread.xy / det, spread.xx / det
    a, b = spread.along, spread.across
    r = length[:, :, None]
    total = np.zeros(length.shape)
    for g in range(det.shape[0]):
        inverse = (xx[g, :, None], xy[g, :, None], yy[g, :, None])
        square = inverse[0] * c * c + 2 * inverse[1] * c * s + inverse[2] * s * s
        linear = (xx[g] * a[g] + xy[g] * b[g])[:, None] * c
        linear += (xy[g] * a[g] + yy[g] * b[g])[:, None] * s
        rest = xx[g] * a[g] ** 2 + 2 * xy[g] * a[g] * b[g] + yy[g] * b[g] ** 2
        exponent = (r * square[:, None, :] - 2 * linear[:, None, :]) * r + rest[:, None, None]
        exponent *= -0.5
        weight = spread.share[g] / np.sqrt(det[g])
        total += weight[:, None] * np.exp(exponent, out=exponent).sum(axis=2)
    return total


def _quantiles(length: Array, density: Array) -> tuple[Array, Array]:
    """2.5 % and 97.5 % quantiles of densities (S, LENGTHS) on even grids."""
    reached = np.zeros(length.shape)
    np.cumsum(density[:, 1:] + density[:, :-1], axis=1, out=reached[:, 1:])
    found = [
        [_reach(edge, at, d, up) for at, d, up in zip(length, density, reached, strict=True)]
        for edge in (LOWER_TAIL, 1 - LOWER_TAIL)
    ]
    return np.array(found[0]), np.array(found[1])


def _reach(edge: float, at: Array, density: Array, reached: Array) -> float:
    """Where a density drawn straight between its points has reached a share of the whole.

    `reached` is twice its integral up to each point, in steps of the even grid `at`.
    """
    wanted = edge * float(reached[-1])
    k = max(int(reached.searchsorted(wanted)), 1)
    first, last = float(density[k - 1]), float(density[k])
    rest = wanted - float(reached[k - 1])
    root = first + math.sqrt(max(first**2 + (last - first) * rest, 0.0))
    step = rest / root if root > 0 else 1.0
    return float(at[k - 1]) + step * float(at[k] - at[k - 1])
