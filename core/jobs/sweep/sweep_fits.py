"""The fit of a stored sweep, remembered by its readings, and hits as the computing takes them."""

from __future__ import annotations

import math
from functools import lru_cache

from core.base.errors import ShaftlogError
from core.base.records import Hit
from core.runout.readings import SweepReadings
from core.runout.sweep_fit import SweepFit, fit_sweep
from core.straightening.history import RecordedHit

REMEMBERED_SWEEPS = 256
"""Sweeps whose fits are kept: those of a dozen jobs of the shop's record and the one at hand."""


def as_recorded(hit: Hit, shown_rad: float | None = None) -> RecordedHit:
    """A hit of the book as the computing takes it; `shown_rad` as in `RecordedHit`."""
    clock_rad = math.radians(hit.clock_deg)
    return RecordedHit(hit.station_in, clock_rad, hit.angle_rad, hit.method, shown_rad=shown_rad)


@lru_cache(maxsize=REMEMBERED_SWEEPS)
def fit_of(readings: SweepReadings) -> SweepFit:
    """The shaft line alone: enough for hits, visits and the shop's record."""
    return fit_sweep(readings, strict=False)


def trouble_of(readings: SweepReadings) -> str:
    """Why a sweep gives no result; '' when it does."""
    try:
        fit_of(readings)
    except ShaftlogError as error:
        return str(error)
    return ""
