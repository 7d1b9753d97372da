"""The harmonic model of one station and its least squares, prepared once for each set of marks.

Model of the readings, clock t fixed to the shaft::

    r(t) = c + e0 cos t + e1 sin t + a2 cos 2t + b2 sin 2t + a3 cos 3t + b3 sin 3t

c, e0, e1 are free; the second and third harmonics carry zero-mean normal priors, so that a roll
over part of the turn stays well posed. The estimate is linear in the readings, so every matrix
depends on the clocks and the noise alone and is kept for the next station with the same marks.

The noise may be unknown: then it runs over a grid of values with a log-normal prior, and each
grid value g has matrices of its own. One value is the case of known noise.

Sources: full-turn case, limacon least squares (mean, 2/N sum R cos, 2/N sum R sin); priors and
closed-form leave-one-out: linear Gaussian model, textbook algebra (Rasmussen and Williams 2006,
section 5.4.2, eq. 5.12, from memory). Size of the priors: common practice, no source.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from core.base.errors import BadReadings

Array = NDArray[np.float64]

TURN = 2 * np.pi
_ORDERS = np.array([1.0, 2.0, 3.0])
OVALITY_PRIOR_IN = 0.0004
LOBES_PRIOR_IN = 0.0002
MOST_PRIOR_IN = 0.1
"""More out of round than this no shaft is."""
REPEATABILITY_PRIOR_IN = 0.0002
"""Median of the prior of an unknown repeatability, inches (common practice, no source)."""
REPEATABILITY_SPREAD = 0.8
"""Standard deviation of its natural logarithm."""
REPEATABILITY_GRID_IN = tuple(
    float(x) for x in REPEATABILITY_PRIOR_IN * np.exp(np.linspace(-2.0, 2.2, 11))
)
MOST_KEPT_MARKS = 40
LEAST_NOISE_IN = 5e-6
"""No dial is better than this; keeps a sweep with perfect numbers solvable."""


@dataclass(frozen=True)
class Priors:
    """Standard deviations of each component of the second and third harmonic, inches."""

    ovality_in: float = OVALITY_PRIOR_IN
    lobes_in: float = LOBES_PRIOR_IN

    def __post_init__(self) -> None:
        for what, size in (("ovality", self.ovality_in), ("lobes", self.lobes_in)):
            if not 0 < size <= MOST_PRIOR_IN:
                raise BadReadings(
                    f"Usual {what} of the sections is {size:g} in; it must be more than 0 and at"
                    f" most {MOST_PRIOR_IN:g} in. Correct the setting."
                )


@dataclass(frozen=True, eq=False)
class Marks:
    """Everything about one set of clocks that does not depend on the readings.

    n readings, G noise values, 7 parameters in the order of the module's formula.
    """

    clock_rad: Array
    """(n,)"""
    repeatability_in: Array
    """(G,)"""
    noise2_in2: Array
    """(G,) variance of one reading."""
    design: Array
    """(n, 7)"""
    gain: Array
    """(G, 7, n): parameters = gain @ readings."""
    gain_t: Array
    """(G, n, 7) the same, turned over."""
    cov_in2: Array
    """(G, 7, 7) posterior covariance of the parameters."""
    precision: Array
    """(G, n, n): (I - design gain) / noise^2; all leave-one-out figures come from it."""
    own: Array
    """(G, n) its diagonal."""
    neighbour: Array
    """(G, n-1) stiffness against changing over two neighbouring readings."""
    log_base: Array
    """(G,) log evidence without the part that depends on the readings, prior of g included."""


def harmonics(clock_rad: Array) -> Array:
    """Design matrix (n, 7) of the harmonic model at clocks (n,)."""
    design = np.ones((clock_rad.size, 7))
    angle = np.multiply.outer(clock_rad, _ORDERS)
    np.cos(angle, out=design[:, 1::2])
    np.sin(angle, out=design[:, 2::2])
    return design


def log_prior_of_noise(repeatability_in: Array) -> Array:
    """Logarithm of the prior of an unknown repeatability (G,), up to a constant."""
    away = np.log(repeatability_in / REPEATABILITY_PRIOR_IN) / REPEATABILITY_SPREAD
    return np.asarray(-0.5 * away**2)


def prepare(
    clock_rad: tuple[float, ...],
    resolution_in: float,
    repeatability_in: float | None,
    priors: Priors,
) -> Marks:
    """Matrices of one set of marks; `repeatability_in` None = unknown, over the grid.

    The last few hundred sets are kept; of large ones the last two, as a logger reads every
    station at the same marks.
    """
    make = _kept if len(clock_rad) <= MOST_KEPT_MARKS else _kept_large
    return make(clock_rad, resolution_in, repeatability_in, priors)


def _prepare(
    clock_rad: tuple[float, ...],
    resolution_in: float,
    repeatability_in: float | None,
    priors: Priors,
) -> Marks:
    clock = np.array(clock_rad)
    design = harmonics(clock)
    if repeatability_in is None:
        repeat = np.array(REPEATABILITY_GRID_IN)
        log_prior = log_prior_of_noise(repeat)
    else:
        repeat = np.array([repeatability_in])
        log_prior = np.zeros(1)
    noise2 = np.maximum(repeat**2 + resolution_in**2 / 12, LEAST_NOISE_IN**2)
    stiff = np.diag([0.0] * 3 + [priors.ovality_in**-2] * 2 + [priors.lobes_in**-2] * 2)
    normal = design.T @ design / noise2[:, None, None] + stiff
    cov: Array = np.asarray(np.linalg.inv(normal), dtype=float)
    gain = cov @ design.T / noise2[:, None, None]
    precision = (np.eye(clock.size) - design @ gain) / noise2[:, None, None]
    log_base = log_prior - clock.size / 2 * np.log(noise2) - np.linalg.slogdet(normal)[1] / 2
    own = np.maximum(np.diagonal(precision, axis1=1, axis2=2), 1e-9 / noise2[:, None])
    beside = np.diagonal(precision, offset=1, axis1=1, axis2=2)
    return Marks(
        clock_rad=clock,
        repeatability_in=repeat,
        noise2_in2=noise2,
        design=design,
        gain=gain,
        gain_t=np.ascontiguousarray(gain.transpose(0, 2, 1)),
        cov_in2=cov,
        precision=precision,
        own=own,
        neighbour=own[:, 1:] + own[:, :-1] - 2 * beside,
        log_base=log_base,
    )


_kept = lru_cache(maxsize=512)(_prepare)
_kept_large = lru_cache(maxsize=2)(_prepare)


def forget() -> None:
    """Drop all prepared matrices (to time a first fit)."""
    _kept.cache_clear()
    _kept_large.cache_clear()


def evidence(marks: Marks, reading_in: Array) -> Array:
    """Log evidence of readings (n,) for each noise value (G,), up to one constant."""
    return np.asarray(marks.log_base - 0.5 * (marks.precision @ reading_in @ reading_in))


def shares(log_weight: Array) -> Array:
    """Weights that add up to one from their logarithms (G,)."""
    weight = np.exp(log_weight - log_weight.max())
    return np.asarray(weight / weight.sum())


def log_sum(log_terms: Array) -> Array:
    """Logarithm of the sum over the first axis."""
    if log_terms.shape[0] == 1:
        return np.asarray(log_terms[0])
    top = log_terms.max(axis=0)
    return np.asarray(top + np.log(np.exp(log_terms - top).sum(axis=0)))
