"""Runout of a coupling's pilot, external (spigot) or internal (recess). Inches, radians."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from core.fitting.coupling.limits import coupling_limit_in
from core.runout.station_fit import StationFit, fit_station
from core.runout.verdict import Rule, Word, judge_runout


@dataclass(frozen=True, eq=False)
class PilotFit:
    """Runout of the pilot."""

    fit: StationFit
    internal: bool
    eccentric_rad: float
    """Clock towards which the pilot's centre is off the shaft's axis."""
    limit_in: float
    word: Word


def fit_pilot(
    *,
    clock_rad: Sequence[float],
    reading_in: Sequence[float],
    resolution_in: float,
    repeatability_in: float | None = None,
    internal: bool = False,
    limit_in: float | None = None,
    rule: Rule = "guarded",
) -> PilotFit:
    """Runout from readings (n,) round the pilot; the fit is that of a shaft station.

    `limit_in` None = the printed trade limit. Raises BadReadings as
    `core.runout.station_fit.fit_station`.

    References: limit taken from the gear flange's pilot bore, see `core.fitting.coupling.limits`.
    """
    fit = fit_station(
        clock_rad, reading_in, resolution_in=resolution_in, repeatability_in=repeatability_in
    )
    limit = coupling_limit_in("pilot") if limit_in is None else limit_in
    # In a recess the plunger points outward: the dial reads highest where the wall is nearest.
    off = fit.high_spot_rad + (math.pi if internal else 0.0)
    return PilotFit(
        fit=fit,
        internal=internal,
        eccentric_rad=off % (2 * math.pi),
        limit_in=limit,
        word=judge_runout(fit.runout, limit, rule),
    )
