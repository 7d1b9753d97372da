"""The first station read once more at the end of a sweep: has anything moved in between?

A bar still warm straightens as it cools, a shaft slides on its rollers, a stand works loose. Each
moves the eccentricity found at the first station, and no other reading of the sweep shows it.
Ovality and lobes stay with the section, so the two vectors are compared and nothing else.

Source: difference of two normal vectors against its covariance, textbook. The chance of a false
word is 1 in 1000 sweeps.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from core.analysis.half_turn import CHI2_999
from core.base.errors import ShaftlogError
from core.base.units import format_dial, format_length
from core.runout.harmonics import Array
from core.runout.readings import SweepReadings
from core.runout.station_fit import fit_station
from core.runout.station_result import StationFit
from core.runout.sweep_fit import SweepFit
from core.runout.wheels import without_wheels


@dataclass(frozen=True, eq=False)
class RepeatedStation:
    """The first station, first and last reading compared. Inches."""

    station_in: float
    moved_in: Array
    """(2,) last eccentricity less the first: towards clock 0, towards clock 90."""
    sigma_in: float
    """Standard deviation of one component of it."""
    chi2: float
    """Its square against its covariance; about 2 when nothing moved."""

    @property
    def moved(self) -> bool:
        """It moved by more than noise explains."""
        return self.chi2 > CHI2_999

    @property
    def words(self) -> str:
        """What to do, in plain sentences; empty when nothing moved."""
        if not self.moved:
            return ""
        tir = format_dial(2 * float(np.hypot(*self.moved_in)))
        return (
            f"Station {format_length(self.station_in, 1)} has moved by {tir} TIR since it was "
            "first read: the stations in between are not one shape. A warm bar? Wait until it is "
            "cold. A shaft that slid, a loose stand? Mend that. Then sweep again."
        )


def compare_repeat(station_in: float, first: StationFit, again: StationFit) -> RepeatedStation:
    """Compare two fits of one station of one sweep."""
    moved = again.ecc_in - first.ecc_in
    covariance = again.ecc_cov_in2 + first.ecc_cov_in2
    chi2 = float(moved @ np.linalg.solve(covariance, moved))
    return RepeatedStation(station_in, moved, float(np.sqrt(np.trace(covariance) / 2)), chi2)


def repeated_station(sweep: SweepReadings, fit: SweepFit) -> RepeatedStation | None:
    """The station of a sweep read once more at its end against its first reading.

    None = it was not read again, or cannot be compared: that is no harm to the sweep.
    """
    again = sweep.repeat
    if again is None or again.quick is not None or again.station_in not in fit.station_in:
        return None
    at = fit.station_in.index(again.station_in)
    if fit.fits[at].quick:
        return None
    try:
        last = fit_station(
            again.clock_rad,
            again.reading_in,
            resolution_in=sweep.resolution_in,
            repeatability_in=fit.repeatability_in,
            priors=fit.priors[at],
        )
    except ShaftlogError:
        return None
    if sweep.wheels is not None:
        last = without_wheels([last], [again.station_in], sweep.rollers_in, sweep.wheels)[0]
    return compare_repeat(again.station_in, fit.fits[at], last)
