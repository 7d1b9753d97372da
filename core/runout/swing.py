"""The swing of the dial over a whole turn, and how sure it is.

The full-turn TIR is the greatest less the least value of the fitted curve over one turn: the bend,
ovality and three lobes together. It is no linear figure of the curve's parameters, so its interval
comes from draws of the whole curve: normal about the estimate with the covariance of the fit, each
weighed by 1 / |e| as in `core.runout.intervals` (flat prior on the length of the eccentricity).

The draws are the same for every station: spread evenly, turned into the frame whose zero is the
high spot and balanced there, so that the answer does not depend on where 0 is chalked or which way
the shaft was rolled.

Source: ISO 1101 (circular run-out) and ASME Y14.5 (full indicator movement) for what TIR means;
the computation is textbook Monte Carlo. Not modelled: lobes beyond the third.
"""

from __future__ import annotations

from functools import lru_cache
from statistics import NormalDist

import numpy as np

from core.runout.harmonics import TURN, Array, harmonics

BASE_DRAWS = 64
"""Each is used four times: as it is, negated, and both mirrored about the high spot."""
ROUND_POINTS = 36
LIKELY = 0.80
"""A swing counts as under a limit when it is so with this probability: over many verdicts fewer
than one in forty is then wrong (tests/bench/verdicts)."""
QUANTILES = (0.025, LIKELY, 0.975)
LEAST_LENGTH = 0.2
"""Lengths under this share of their standard deviation weigh no more than it does."""
_SINES = np.array([1.0, -1.0] * 3)
_ROUND = np.linspace(0, TURN, ROUND_POINTS, endpoint=False)
_ROUND_ROWS = harmonics(_ROUND)[:, 1:]
_ORDERS = np.array([1.0, 2.0, 3.0])
NEWTON_STEPS = 3


def full_turn(theta_in: Array) -> Array:
    """Swing of S curves over one whole turn, inches (S,).

    `theta_in` (S, 6): first, second and third harmonic, cosine and sine part each. The best points
    of a grid are refined by Newton's rule on the slope.
    """
    curve = theta_in @ _ROUND_ROWS.T
    ends = _ROUND[np.stack([curve.argmax(axis=1), curve.argmin(axis=1)], axis=1)]
    parts = (theta_in[:, 0::2] - 1j * theta_in[:, 1::2])[:, None, :]
    for _ in range(NEWTON_STEPS):
        wave = parts * np.exp(1j * ends[..., None] * _ORDERS)
        slope, bend = -(wave.imag @ _ORDERS), -(wave.real @ _ORDERS**2)
        step = slope / np.where(bend == 0, np.inf, bend)
        ends = ends - np.minimum(np.maximum(step, -0.1), 0.1)
    value = (parts * np.exp(1j * ends[..., None] * _ORDERS)).real.sum(axis=2)
    refined = value[:, 0] - value[:, 1]
    return np.asarray(np.maximum(refined, curve.max(axis=1) - curve.min(axis=1)))


def swings(theta_in: Array, cov_in2: Array, share: Array) -> tuple[Array, Array]:
    """Swing (S,) of S fitted curves and its quantiles (S, 3) at `QUANTILES`, inches.

    Parameters
    ----------
    theta_in : (G, S, 6) the three harmonics for each of G noise values.
    cov_in2 : (G, S, 6, 6) covariance, or (G, 1, 6, 6) when all S share it.
    share : (G, S) probability of each noise value; they add up to one over G.
    """
    best = (share[:, :, None] * theta_in).sum(axis=0)
    turn = _turns(np.arctan2(best[:, 1], best[:, 0]))
    root = np.matmul(np.matmul(turn, _roots(cov_in2)), turn.transpose(0, 2, 1))
    middle = np.matmul(turn, theta_in[..., None])[..., 0]
    drawn = _drawn(middle, root, share)
    curves = np.matmul(_ROUND_ROWS, drawn.transpose(0, 2, 1))
    swing = curves.max(axis=1) - curves.min(axis=1)
    length = np.hypot(drawn[..., 0], drawn[..., 1])
    weight = 1 / np.maximum(length, LEAST_LENGTH * _length_sigma(root, share)[:, None])
    # What the grid of points misses, as far as the estimate itself shows it.
    at_best = np.matmul(turn, best[..., None])[..., 0]
    whole = full_turn(best)
    missed = whole - np.ptp(at_best @ _ROUND_ROWS.T, axis=1)
    return whole, _weighed_quantiles(swing, weight) + missed[:, None]


def _turns(zero_rad: Array) -> Array:
    """(S, 6, 6) into the frame whose zero lies at the clocks (S,)."""
    turn = np.zeros((zero_rad.size, 6, 6))
    for k in range(3):
        c, s = np.cos((k + 1) * zero_rad), np.sin((k + 1) * zero_rad)
        turn[:, 2 * k, 2 * k] = turn[:, 2 * k + 1, 2 * k + 1] = c
        turn[:, 2 * k, 2 * k + 1], turn[:, 2 * k + 1, 2 * k] = s, -s
    return turn


def _roots(cov_in2: Array) -> Array:
    """Symmetric square roots of covariances: they turn with the frame."""
    value, vector = np.linalg.eigh(cov_in2)
    root = np.sqrt(np.maximum(value, 0.0))[..., None, :]
    return np.asarray(np.matmul(vector * root, vector.swapaxes(-1, -2)))


def _drawn(middle: Array, root: Array, share: Array) -> Array:
    """Drawn harmonics (S, D, 6)."""
    draws, pick = _draws()
    if share.shape[0] == 1:
        return np.asarray(middle[0][:, None, :] + np.matmul(draws, root[0]))
    of = (pick[None, :, None] > share.cumsum(axis=0).T[:, None, :-1]).sum(axis=2)
    stations = np.arange(share.shape[1])[:, None]
    moved = np.einsum("dp,sdpq->sdq", draws, root[of, stations])
    return np.asarray(middle[of, stations] + moved)


def _length_sigma(root: Array, share: Array) -> Array:
    """Standard deviation of one component of the eccentricity (S,)."""
    square = (root[..., :2, :] ** 2).sum(axis=(-1, -2)) / 2
    return np.asarray(np.sqrt((share * square).sum(axis=0)) + 1e-12)


def _weighed_quantiles(value: Array, weight: Array) -> Array:
    """Quantiles (S, 3) of weighed draws (S, D)."""
    order = value.argsort(axis=1)
    value = np.take_along_axis(value, order, axis=1)
    weight = np.take_along_axis(weight, order, axis=1)
    reached = weight.cumsum(axis=1) - weight / 2
    reached /= weight.sum(axis=1, keepdims=True)
    return np.array(
        [np.interp(QUANTILES, at, drawn) for at, drawn in zip(reached, value, strict=True)]
    )


@lru_cache(maxsize=1)
def _draws() -> tuple[Array, Array]:
    """(D, 6) standard normal draws, balanced, and (D,) even numbers in 0..1."""
    even = even_draws(BASE_DRAWS, 7)
    inverse = NormalDist().inv_cdf
    base = np.array([[inverse(u) for u in row] for row in even[:, :6].tolist()])
    draws = np.concatenate([base, -base, base * _SINES, -base * _SINES])
    spread = np.linalg.cholesky(draws.T @ draws / draws.shape[0])
    return np.linalg.solve(spread, draws.T).T, np.tile(even[:, 6], 4)


def even_draws(count: int, dimensions: int) -> Array:
    """(count, dimensions) points spread evenly over the unit cube, none on its faces.

    Additive recurrence by powers of the root of x^(d + 1) = x + 1 (Roberts 2018, from memory).
    """
    root = 1.5
    for _ in range(60):
        root = (1 + root) ** (1 / (dimensions + 1))
    steps = root ** -np.arange(1.0, dimensions + 1)
    return np.asarray((0.5 + np.arange(1, count + 1)[:, None] * steps) % 1.0)
