"""The fit of one station: where the section's centre runs, how much of it is out of round.

The model is that of `core.harmonics`. Weighted least squares with zero-mean normal priors on the
second (ovality) and third (three lobes) harmonics, so that a roll over part of the turn stays well
posed. Variance of a reading = repeatability^2 + resolution^2 / 12.

*Full-turn TIR* (`tir_in`) is 2 |e|: what the dial would show over one whole turn of a round section
that runs where this one runs. It is what bending causes, what straightening can mend, and what
the shaft line is made of. Roundness errors are kept apart: `ovality_in`, and `swing_in`, the
swing of the whole fitted curve over one turn, roundness included, free of reading noise.
"""

from __future__ import annotations

import math
from collections.abc import Collection
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import ArrayLike

from core.errors import BadReadings
from core.harmonics import (
    OVALITY_PRIOR_IN,
    REPEATABILITY_PRIOR_IN,
    TURN,
    Array,
    Priors,
    evidence,
    full_turn,
    harmonics,
    shares,
)
from core.interval import tir_interval
from core.readings import QuickReading
from core.slip_mends import Bench
from core.slip_search import kept_of
from core.slips import Slip, find_slips

LEAST_MARKS = 5
MOST_READING_IN = 5.0
HIGH_SPOT_SIGMA_RAD = math.radians(10)
DEFAULT_PRIORS = Priors()


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
    """Full-turn TIR of the axis, 2 |e|."""
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
    left_out: tuple[int, ...] = ()
    """Readings left out of the fit because they stand apart (indices, in the order taken)."""
    quick: bool = False
    """True when the station was read as TIR and high spot only: roundness is then unknown."""

    @cached_property
    def swing_in(self) -> float:
        """Swing of the fitted curve over one whole turn, roundness errors included, inches."""
        parts = (np.array([self.mean_in]), self.ecc_in, self.oval_in, self.lobes_in)
        return full_turn(np.concatenate(parts))


def fit_station(
    clock_rad: ArrayLike,
    reading_in: ArrayLike,
    *,
    resolution_in: float,
    repeatability_in: float | None = None,
    priors: Priors = DEFAULT_PRIORS,
    closing_in: float | None = None,
    dial_turn_in: float = 0.100,
    typed_unit_in: float = 0.001,
    right: Collection[int] = (),
) -> StationFit:
    """Fit one station.

    Parameters
    ----------
    clock_rad, reading_in : (n,) clocks and readings in the order they were taken; at least five
        different marks.
    resolution_in : one graduation. repeatability_in : standard deviation of a repeated reading;
        None = unknown, weighed over a range of values by this station's own readings.
    priors : standard deviations of the roundness harmonics.
    closing_in : the first mark read once more.
    dial_turn_in, typed_unit_in : for naming slips.
    right : indices of readings looked at again and found right; they are never set aside.

    Readings found to be slips are left out of the fit (`left_out`), never altered.

    Raises
    ------
    BadReadings : too few marks, a value that no dial can show, lists of different length.
    """
    clock, reading = _checked(clock_rad, reading_in, resolution_in, repeatability_in)
    bench = Bench(resolution_in, repeatability_in, priors, dial_turn_in, typed_unit_in)
    slips = find_slips(clock, reading, bench, frozenset(right))
    left_out = tuple(slip.index for slip in slips)
    kept = kept_of(clock.size, left_out)
    marks, value = bench.marks(clock[kept]), reading[kept]
    share = shares(evidence(marks, value))
    each = marks.gain @ value
    theta = share @ each
    apart = each - theta
    cov = np.tensordot(share, marks.cov_in2, 1) + (share * apart.T) @ apart
    tir = 2 * math.hypot(theta[1], theta[2])
    low, high = tir_interval(each[:, 1:3], marks.cov_in2[:, 1:3, 1:3], share)
    return StationFit(
        mean_in=float(theta[0]),
        ecc_in=theta[1:3],
        ecc_cov_in2=cov[1:3, 1:3],
        ecc_sigma_in=math.sqrt((cov[1, 1] + cov[2, 2]) / 2),
        tir_in=tir,
        tir_low_in=min(low, tir),
        tir_high_in=max(high, tir),
        shown_tir_in=float(reading.max() - reading.min()),
        high_spot_rad=math.atan2(theta[2], theta[1]) % TURN,
        oval_in=theta[3:5],
        oval_cov_in2=cov[3:5, 3:5],
        ovality_in=math.hypot(theta[3], theta[4]),
        ovality_rad=math.atan2(theta[4], theta[3]) / 2 % math.pi,
        lobes_in=theta[5:7],
        residual_in=reading - harmonics(clock) @ theta if slips else value - marks.design @ theta,
        repeatability_in=float(share @ marks.repeatability_in),
        drift_in=None if closing_in is None else closing_in - float(reading[0]),
        slips=slips,
        left_out=left_out,
    )


def _checked(
    clock_rad: ArrayLike, reading_in: ArrayLike, resolution_in: float, repeat_in: float | None
) -> tuple[Array, Array]:
    """Clocks and readings as arrays, or the error that says what is wrong with them."""
    clock = np.asarray(clock_rad, dtype=float)
    reading = np.asarray(reading_in, dtype=float)
    if clock.ndim != 1 or clock.shape != reading.shape:
        raise BadReadings("Each reading needs one clock. Give as many clocks as readings.")
    if not clock.size:
        raise BadReadings("No reading at this station: all marks blocked or none read. Read it.")
    if not (np.isfinite(clock).all() and np.isfinite(reading).all()):
        raise BadReadings("A reading or clock is not a number. Leave a blocked mark blank.")
    if np.abs(reading).max() > MOST_READING_IN:
        raise BadReadings(
            f"A reading of {np.abs(reading).max():g} in is more than any dial can show. "
            "Check the number and its unit."
        )
    if not (0 <= resolution_in <= 0.1) or not (repeat_in is None or 0 <= repeat_in <= 0.1):
        raise BadReadings(
            "Resolution and repeatability of the dial lie between 0 and 0.1 in. Check the unit."
        )
    marks = len({round(c % TURN, 3) for c in clock.tolist()})
    if marks < LEAST_MARKS:
        raise BadReadings(
            f"A station needs readings at {LEAST_MARKS} different marks or more; here {marks}. "
            "Read more marks round the shaft."
        )
    return clock, reading


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
    repeat = REPEATABILITY_PRIOR_IN if repeatability_in is None else repeatability_in
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
