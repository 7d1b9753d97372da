"""Readings taken after hits: are they possible, and do they agree with what was planned?

Lengths inches, angles radians.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import ArrayLike

from core.base.errors import BadShaft, ShaftlogError
from core.base.units import format_from_to, format_station
from core.runout.line import SAME_PLACE_IN, ShaftLine
from core.straightening.after_hits import AimedHit, Check, LineReading, work_in

DISAGREES_Z = 3.09
"""A check this unlikely (1 in 1000, were all as planned) calls for a full sweep."""
BEYOND_STATIONS_IN = 12.0
"""A hit may lie this far beyond the last station read."""


def line_reading(
    line: ShaftLine,
    hits_made: int,
    station_in: ArrayLike,
    ecc_in: ArrayLike,
    sigma_in: ArrayLike,
) -> LineReading:
    """Stations of a line read again after so many hits; refused when they cannot be.

    Parameters
    ----------
    station_in : (m,) each one of the line's stations
    ecc_in : (m, 2) and sigma_in : (m,) or one figure: what was found there
    """
    index = stations_index(line, station_in)
    ecc = np.asarray(ecc_in, dtype=float)
    sigma = np.broadcast_to(np.asarray(sigma_in, dtype=float), (len(index),))
    if ecc.shape != (len(index), 2):
        raise ShaftlogError("A quick check needs one eccentricity vector for each station read.")
    if not np.isfinite(ecc).all() or not (np.isfinite(sigma) & (sigma > 0)).all():
        raise ShaftlogError("A quick check needs plain numbers, and an uncertainty above zero.")
    return LineReading(hits_made, tuple(index), ecc, sigma)


def check_against_plan(
    line: ShaftLine, hits: Sequence[AimedHit], reads: Sequence[LineReading]
) -> Check:
    """The line after the hits by what was read, and how far that lies from the plan."""
    _check_on_shaft(line, hits)
    return work_in(line, hits, reads)


def agrees(check: Check) -> bool:
    """False when so unlikely a check, were all as planned, calls for a full sweep."""
    return check.chi2 <= _chi2_limit(check.n_values)


def stations_index(line: ShaftLine, station_in: ArrayLike) -> list[int]:
    """Position of each station in the line."""
    found = []
    for x in np.atleast_1d(np.asarray(station_in, dtype=float)):
        gap = np.abs(line.station_in - x)
        if not np.isfinite(x) or gap.min() > SAME_PLACE_IN:
            raise BadShaft(
                f"Station {format_station(x)} was not in the sweep, so a quick check there has "
                "nothing to compare with. Read a station of the sweep."
            )
        found.append(int(gap.argmin()))
    if len(set(found)) < len(found):
        raise BadShaft("A quick check names one station twice. Read each once.")
    if not found:
        raise BadShaft("A quick check needs at least one station.")
    return found


def _check_on_shaft(line: ShaftLine, hits: Sequence[AimedHit]) -> None:
    low = min(line.station_in[0], line.rollers_in.min())
    high = max(line.station_in[-1], line.rollers_in.max())
    for hit in hits:
        if not low - BEYOND_STATIONS_IN <= hit.station_in <= high + BEYOND_STATIONS_IN:
            raise BadShaft(
                f"A hit at {format_station(hit.station_in)} lies outside the shaft as measured "
                f"({format_from_to(low, high)}). Check the station "
                "of the hit."
            )


def _chi2_limit(degrees: int) -> float:
    """Value that chi-square passes with chance 1 in 1000 (Wilson and Hilferty's cube)."""
    spread = 2 / (9 * degrees)
    return float(degrees * (1 - spread + DISAGREES_Z * spread**0.5) ** 3)
