"""The fit of one station (a whole sweep: `core.runout.sweep_fit`): its centre, its roundness.

The model is that of `core.runout.harmonics`: weighted least squares with zero-mean normal priors
on the second (ovality) and third (three lobes) harmonics, so that a roll over part of the turn
stays well posed. Variance of a reading = repeatability^2 + resolution^2 / 12. The two figures, TIR
and its bend part, are defined in `core.runout.station_result`.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace
from statistics import NormalDist

import numpy as np
from numpy.typing import ArrayLike

from core.base.errors import BadReadings
from core.base.units import format_dial
from core.runout.harmonics import (
    REPEATABILITY_PRIOR_IN,
    TURN,
    Array,
    Priors,
    harmonics,
)
from core.runout.plunger import lifts_by_readings
from core.runout.posterior import evidences, posterior
from core.runout.quick_reading import least_runout_in
from core.runout.readings import LEAST_MARKS, MOST_MARKS, QuickReading
from core.runout.slip_corrections import ReadingSetup
from core.runout.slip_search import doubtful, kept_of, worn_instead
from core.runout.slips import Slip, find_slips
from core.runout.station_result import StationFit, station_fits
from core.runout.swing import LIKELY

__all__ = ["Roll", "Slip", "StationFit", "fit_quick", "fit_rolls", "fit_station"]

MOST_READING_IN = 5.0
HIGH_SPOT_SIGMA_RAD = math.radians(10)
DEFAULT_PRIORS = Priors()
AGAIN = 2
"""A section that runs far out is fitted so many times more, each time knowing better how far."""


@dataclass(frozen=True, eq=False)
class Roll:
    """Checked readings of one station, ready for the fit."""

    clock_rad: Array
    """(n,)"""
    reading_in: Array
    """(n,)"""
    closing_in: float | None = None
    right: frozenset[int] = frozenset()
    """Readings looked at again and found right."""
    priors: Priors | None = None
    """Out-of-roundness of this station; None = as the bench says."""
    lift_in: Array | None = None
    """(n,) what `core.runout.plunger` adds to the readings; None = nothing."""

    @property
    def level_in(self) -> Array:
        """(n,) readings as a flat point would have shown them."""
        return self.reading_in if self.lift_in is None else self.reading_in + self.lift_in


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
    right : indices of readings looked at again and found right; they are never called slips, and
        one that is off all the same is a spot of the surface (`spots`).

    Readings found to be slips are left out of the fit (`left_out`), never altered.

    Raises
    ------
    BadReadings : too few marks, a value that no dial can show, lists of different length.
    """
    roll = checked_roll(clock_rad, reading_in, closing_in=closing_in, right=right)
    check_dial(resolution_in, repeatability_in)
    bench = ReadingSetup(resolution_in, repeatability_in, priors, dial_turn_in, typed_unit_in)
    place = {0.0: (roll.clock_rad, roll.reading_in)}
    lifts = lifts_by_readings(place)
    fit = fit_rolls([replace(roll, lift_in=lifts.at.get(0.0))], bench)[0]
    for _ in range(AGAIN if lifts else 0):
        lifts = lifts.again(place, {0.0: fit.ecc_in})
        fit = fit_rolls([replace(roll, lift_in=lifts.at[0.0])], bench)[0]
    return fit


def fit_rolls(rolls: Sequence[Roll], bench: ReadingSetup) -> list[StationFit]:
    """Fit many stations; those with the same marks are solved together, which is much faster."""
    groups: dict[tuple[Priors, tuple[float, ...]], list[int]] = {}
    for i, roll in enumerate(rolls):
        key = roll.priors or bench.priors, tuple(roll.clock_rad.tolist())
        groups.setdefault(key, []).append(i)
    fits: dict[int, StationFit] = {}
    for (priors, _), members in groups.items():
        together = [rolls[i] for i in members]
        fits |= zip(members, _fit_group(together, replace(bench, priors=priors)), strict=True)
    return [fits[i] for i in range(len(rolls))]


def _fit_group(rolls: Sequence[Roll], bench: ReadingSetup) -> list[StationFit]:
    """Fit stations that share their marks."""
    marks = bench.marks(rolls[0].clock_rad)
    reading = np.stack([roll.level_in for roll in rolls])
    typed = np.stack([roll.reading_in for roll in rolls])
    pull, log_evidence = evidences(marks, reading)
    doubt = np.flatnonzero(doubtful(marks, typed, pull, log_evidence, bench)).tolist()
    fits = {k: fit for k in doubt if (fit := _fit_doubtful(rolls[k], bench)) is not None}
    clean = [k for k in range(len(rolls)) if k not in fits]
    if clean:
        solved = posterior(marks, reading[clean], log_evidence[:, clean])
        fits |= zip(clean, station_fits(marks, reading[clean], solved), strict=True)
    return [_as_shown(fits[k], roll) for k, roll in enumerate(rolls)]


def _fit_doubtful(roll: Roll, bench: ReadingSetup) -> StationFit | None:
    """The fit of a station that may hold a slip; None = no reading is off."""
    slips, spots = _standing_apart(roll, bench)
    if not slips and not spots:
        return None
    worn = worn_instead(roll.clock_rad, roll.level_in, bench, roll.reading_in)
    if worn is not None:
        return _without(roll, (), (), replace(bench, priors=worn))
    return _without(roll, slips, spots, bench)


def _standing_apart(roll: Roll, bench: ReadingSetup) -> tuple[tuple[Slip, ...], tuple[int, ...]]:
    """Slips, and readings that stand apart though they are right.

    That a reading is right can bring another to light that is wrong. But when more would have to
    be wrong, or wrong in no known way, the section has a spot there and the others are right too.
    """
    level = (roll.clock_rad, roll.level_in, bench)
    slips = find_slips(*level, roll.right, roll.reading_in)
    if not slips or not roll.right:
        return slips, ()
    freely = find_slips(*level, typed_in=roll.reading_in)
    spots = tuple(slip.index for slip in freely if slip.index in roll.right)
    named = all(slip.suggested_in is not None for slip in slips)
    if not spots or (named and len(slips) <= len(freely)):
        return slips, ()
    return tuple(slip for slip in freely if slip.index not in roll.right), spots


def _as_shown(fit: StationFit, roll: Roll) -> StationFit:
    """The fit with what the dial itself showed: its swing, and how the first mark repeated."""
    if roll.lift_in is not None:
        fit = replace(fit, shown_tir_in=float(np.ptp(roll.reading_in)))
    if roll.closing_in is None:
        return fit
    return replace(fit, drift_in=roll.closing_in - float(roll.reading_in[0]))


def _without(
    roll: Roll, slips: tuple[Slip, ...], spots: tuple[int, ...], bench: ReadingSetup
) -> StationFit:
    """The fit of one station with the slips and spots left out."""
    left_out = tuple(slip.index for slip in slips)
    kept = kept_of(roll.reading_in.size, left_out + spots)
    marks, reading = bench.marks(roll.clock_rad[kept]), roll.level_in[None, kept]
    _, log_evidence = evidences(marks, reading)
    fit = station_fits(marks, reading, posterior(marks, reading, log_evidence))[0]
    return replace(
        fit,
        shown_tir_in=float(roll.reading_in.max() - roll.reading_in.min()),
        residual_in=roll.level_in - harmonics(roll.clock_rad) @ fit.theta_in,
        slips=slips,
        left_out=left_out,
        spots=spots,
    )


def check_dial(resolution_in: float, repeatability_in: float | None) -> None:
    """Raises BadReadings when the dial's figures cannot be."""
    if not (0 <= resolution_in <= 0.1) or not (
        repeatability_in is None or 0 <= repeatability_in <= 0.1
    ):
        raise BadReadings(
            "Resolution and repeatability of the dial lie between 0 and 0.1 in. Check the unit."
        )


def checked_roll(
    clock_rad: ArrayLike,
    reading_in: ArrayLike,
    *,
    closing_in: float | None = None,
    right: Collection[int] = (),
) -> Roll:
    """Readings of one station, or BadReadings that says what is wrong with them."""
    clock = np.asarray(clock_rad, dtype=float)
    reading = np.asarray(reading_in, dtype=float)
    if clock.ndim != 1 or clock.shape != reading.shape:
        raise BadReadings("Each reading needs one clock. Give as many clocks as readings.")
    if not clock.size:
        raise BadReadings("No reading at this station: all marks blocked or none read. Read it.")
    if clock.size > MOST_MARKS:
        raise BadReadings(
            f"{clock.size} readings at one station are too many; {MOST_MARKS} are enough for any "
            "shaft. Check the stations."
        )
    if not (np.isfinite(clock).all() and np.isfinite(reading).all()):
        raise BadReadings("A reading or clock is not a number. Leave a blocked mark blank.")
    if np.abs(reading).max() > MOST_READING_IN:
        raise BadReadings(
            f"A reading of {format_dial(float(np.abs(reading).max()))} is more than any dial can "
            "show. Check the number and its unit."
        )
    marks = len({round(c % TURN, 3) for c in clock.tolist()})
    if marks < LEAST_MARKS:
        raise BadReadings(
            f"A station needs readings at {LEAST_MARKS} different marks or more; here {marks}. "
            "Read more marks round the shaft."
        )
    return Roll(clock, reading, closing_in, frozenset(right))


def fit_quick(
    quick: QuickReading,
    *,
    resolution_in: float,
    repeatability_in: float | None = None,
    high_spot_sigma_rad: float = HIGH_SPOT_SIGMA_RAD,
    priors: Priors = DEFAULT_PRIORS,
) -> StationFit:
    """The fit of a station read the quick way: TIR and the clock of the high spot.

    The swing is the full-turn TIR itself, a difference of two readings; the clock is only as good
    as a high spot found by hand (default 10 degrees, common practice, no source). Roundness stays
    unknown: part of the swing may be due to it, so the interval of the bend part reaches down as
    far as the usual out-of-roundness (`priors`) lets it.
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
    whole = np.diag([0.0] * 2 + [priors.ovality_in**2] * 2 + [priors.lobes_in**2] * 2)
    whole[:2, :2] = cov
    sigma = float(np.sqrt(2) * noise)
    high = quick.tir_in + 1.96 * sigma
    least = least_runout_in(quick.tir_in, noise, priors)
    return StationFit(
        mean_in=0.0,
        ecc_in=ecc,
        cov_in2=whole,
        tir_in=quick.tir_in,
        tir_low_in=max(0.0, quick.tir_in - 1.96 * sigma),
        tir_high_in=high,
        tir_likely_in=quick.tir_in + NormalDist().inv_cdf(LIKELY) * sigma,
        bend_tir_in=quick.tir_in,
        bend_tir_low_in=max(0.0, min(quick.tir_in - 1.96 * sigma, least)),
        bend_tir_high_in=high,
        shown_tir_in=quick.tir_in,
        high_spot_rad=quick.high_spot_rad % TURN,
        oval_in=np.zeros(2),
        ovality_in=0.0,
        ovality_rad=0.0,
        lobes_in=np.zeros(2),
        residual_in=np.zeros(0),
        repeatability_in=repeat,
        quick=True,
    )
