"""The fit of one station: where the section's centre runs, how much of it is out of round.

Model of the readings at one station, clock t fixed to the shaft::

    r(t) = c + e0 cos t + e1 sin t + a2 cos 2t + b2 sin 2t + a3 cos 3t + b3 sin 3t

Weighted least squares with zero-mean normal priors on the second (ovality) and third (three
lobes) harmonics, so that a roll over part of the turn stays well posed. Variance of a reading =
repeatability^2 + resolution^2 / 12.

*Full-turn TIR* means what the dial would show over one whole turn with nothing in its way:
greatest minus least of the curve above, roundness errors included, free of reading noise. On
a round shaft that is 2 |e|.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from core.errors import BadReadings
from core.readings import QuickReading
from core.slips import Slip

Array = NDArray[np.float64]

OVALITY_PRIOR_IN = 0.0004
LOBES_PRIOR_IN = 0.0002
DEFAULT_REPEATABILITY_IN = 0.0003
LEAST_MARKS = 5
HIGH_SPOT_SIGMA_RAD = float(np.radians(10))
TURN = 2 * np.pi
_GRID = np.linspace(0, TURN, 72, endpoint=False)


@dataclass(frozen=True, eq=False)
class StationFit:
    """What one station's readings say. Lengths inches, angles radians.

    Not modelled: lobes beyond the third, scratches, a dial that is not square to the shaft.
    """

    mean_in: float
    """Reading at the middle of the swing."""
    ecc_in: Array
    """(2,) eccentricity towards clock 0 and clock 90."""
    ecc_cov_in2: Array
    """(2, 2) covariance of `ecc_in`."""
    ecc_sigma_in: float
    """Standard deviation of one component (root mean square of the two)."""
    tir_in: float
    """Full-turn TIR."""
    tir_low_in: float
    tir_high_in: float
    """95 % interval of the full-turn TIR."""
    shown_tir_in: float
    """What the dial showed: greatest minus least reading."""
    high_spot_rad: float
    """Clock of the eccentricity, 0..2 pi."""
    oval_in: Array
    """(2,) second harmonic: cosine and sine parts."""
    oval_cov_in2: Array
    """(2, 2) covariance of `oval_in`."""
    ovality_in: float
    """Amplitude of the second harmonic: the surface stands this much above and below round."""
    ovality_rad: float
    """Clock of the oval's high point, 0..pi."""
    lobes_in: Array
    """(2,) third harmonic."""
    residual_in: Array
    """(n,) reading minus fitted curve."""
    repeatability_in: float
    """Standard deviation of a repeated reading used in the fit."""
    drift_in: float | None = None
    """First mark read again minus first reading; None = not read."""
    slips: tuple[Slip, ...] = ()
    quick: bool = False
    """True when the station was read as TIR and high spot only: roundness is then unknown."""


def _design(clock_rad: Array) -> Array:
    """Design matrix (n, 7) of the harmonic model."""
    rows = [np.ones_like(clock_rad)]
    for k in (1, 2, 3):
        rows += [np.cos(k * clock_rad), np.sin(k * clock_rad)]
    return np.stack(rows, axis=1)


def fit_station(
    clock_rad: ArrayLike,
    reading_in: ArrayLike,
    *,
    resolution_in: float,
    repeatability_in: float | None = None,
    ovality_prior_in: float = OVALITY_PRIOR_IN,
    lobes_prior_in: float = LOBES_PRIOR_IN,
    closing_in: float | None = None,
    dial_turn_in: float = 0.100,
) -> StationFit:
    """Fit one station's readings (n,) at clocks (n,)."""
    clock = np.asarray(clock_rad, dtype=float)
    reading = np.asarray(reading_in, dtype=float)
    if clock.size < LEAST_MARKS:
        raise BadReadings(
            f"A station needs readings at {LEAST_MARKS} marks or more; here {clock.size}. "
            "Read more marks round the shaft."
        )
    repeat = DEFAULT_REPEATABILITY_IN if repeatability_in is None else repeatability_in
    noise2 = repeat**2 + resolution_in**2 / 12
    design = _design(clock)
    prior = np.array([0, 0, 0] + 2 * [ovality_prior_in**-2] + 2 * [lobes_prior_in**-2])
    cov: Array = np.asarray(np.linalg.inv(design.T @ design / noise2 + np.diag(prior)), float)
    theta = cov @ (design.T @ reading) / noise2
    curve = _design(_GRID) @ theta
    rng = np.random.default_rng(0)
    draws = theta + rng.standard_normal((400, 7)) @ np.linalg.cholesky(cov).T
    swing = np.ptp(draws @ _design(_GRID).T, axis=1)
    low, high = np.quantile(swing, [0.025, 0.975])
    return StationFit(
        mean_in=float(theta[0]),
        ecc_in=theta[1:3],
        ecc_cov_in2=cov[1:3, 1:3],
        ecc_sigma_in=float(np.sqrt(np.trace(cov[1:3, 1:3]) / 2)),
        tir_in=float(np.ptp(curve)),
        tir_low_in=float(low),
        tir_high_in=float(high),
        shown_tir_in=float(np.ptp(reading)),
        high_spot_rad=float(np.arctan2(theta[2], theta[1]) % TURN),
        oval_in=theta[3:5],
        oval_cov_in2=cov[3:5, 3:5],
        ovality_in=float(np.hypot(theta[3], theta[4])),
        ovality_rad=float(np.arctan2(theta[4], theta[3]) / 2 % np.pi),
        lobes_in=theta[5:7],
        residual_in=reading - design @ theta,
        repeatability_in=repeat,
        drift_in=None if closing_in is None else closing_in - float(reading[0]),
    )


def fit_quick(
    quick: QuickReading,
    *,
    resolution_in: float,
    repeatability_in: float | None = None,
    high_spot_sigma_rad: float = HIGH_SPOT_SIGMA_RAD,
) -> StationFit:
    """The fit of a station read the quick way: TIR and the clock of the high spot.

    The swing is a difference of two readings; the clock is only as good as a high spot found by
    hand (default 10 degrees, common practice, no source). Roundness stays unknown.
    """
    repeat = DEFAULT_REPEATABILITY_IN if repeatability_in is None else repeatability_in
    noise = float(np.sqrt(repeat**2 + resolution_in**2 / 12))
    if not np.isfinite(quick.tir_in) or quick.tir_in < 0:
        raise BadReadings("TIR cannot be negative. Type how far the pointer swings in all.")
    along = np.array([np.cos(quick.high_spot_rad), np.sin(quick.high_spot_rad)])
    across = np.array([-along[1], along[0]])
    ecc = quick.tir_in / 2 * along
    spread = np.hypot(quick.tir_in / 2 * high_spot_sigma_rad, noise / np.sqrt(2))
    cov = noise**2 / 2 * np.outer(along, along) + spread**2 * np.outer(across, across)
    half_width = 1.96 * np.sqrt(2) * noise
    return StationFit(
        mean_in=0.0,
        ecc_in=ecc,
        ecc_cov_in2=cov,
        ecc_sigma_in=float(np.sqrt(np.trace(cov) / 2)),
        tir_in=quick.tir_in,
        tir_low_in=max(0.0, quick.tir_in - half_width),
        tir_high_in=quick.tir_in + half_width,
        shown_tir_in=quick.tir_in,
        high_spot_rad=quick.high_spot_rad % TURN,
        oval_in=np.zeros(2),
        oval_cov_in2=np.eye(2) * OVALITY_PRIOR_IN**2,
        ovality_in=0.0,
        ovality_rad=0.0,
        lobes_in=np.zeros(2),
        residual_in=np.zeros(0),
        repeatability_in=repeat,
        quick=True,
    )
