"""The dial's point on a round section that runs far out: the reading is not a cosine alone.

The plunger moves on a line through the axis of rotation, the section's centre goes round that axis
at a distance e. With a ball of radius b as point, on a section of radius R, t counted from the
high spot, the dial shows::

    e cos t + sqrt((R + b)^2 - (e sin t)^2) - (R + b)

which is less than e cos t by about k (e sin t)^2, k = 1 / (2 (R + b)); under a wide flat point it
is e cos t, k = 0. On a 2 in shaft 0.3 in out that makes 11 thou, and looks like ovality. Nobody
needs to say which point the dial has: where the shaft runs out most, the second harmonic in step
with the high spot is almost only this, so the sweep itself gives k.

Source: plane geometry. Not modelled: a dial set beside the axis (it turns the high spot a little).
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import ArrayLike

from core.runout.harmonics import Array, harmonics
from core.runout.readings import LEAST_MARKS

FAR_OUT_IN = 0.05
"""Below this eccentricity nothing is changed: the second harmonic of the fit takes it all."""
LEAST_SECOND_IN = 0.001
"""Nor when the second harmonic of the station farthest out is less than this: ovality is as large.
Both common practice, no source."""
MOST_BOWED = 1.4
"""Largest k, 1/in: a section of 3/4 in under a point without radius."""
WELL_ROUND = 3.0
"""Marks that do not go well round the shaft (condition number) are not asked for k."""

Places = Mapping[float, tuple[ArrayLike, ArrayLike]]
"""Station (in) -> clocks (n,) and readings (n,), radians and inches."""


@dataclass(frozen=True, eq=False)
class Lifts:
    """What each reading of a sweep is to be raised by; false when nothing runs out far enough."""

    bowed_per_in: float = 0.0
    """k, from the whole sweep."""
    at: Mapping[float, Array] = field(default_factory=dict)
    """Station (in) -> (n,) inches."""

    def __bool__(self) -> bool:
        return bool(self.at)

    def again(self, places: Places, ecc_in: Mapping[float, Array]) -> Lifts:
        """The same for better eccentricities (2,); a station without one keeps what it has."""
        better = {
            station_in: lift_in(np.asarray(clock), ecc_in[station_in], self.bowed_per_in)
            for station_in, (clock, _) in places.items()
            if station_in in ecc_in
        }
        return Lifts(self.bowed_per_in, {**self.at, **better})


def lifts_by_readings(places: Places) -> Lifts:
    """What to add to the readings, from nothing but themselves."""
    if not any(_swing(reading) > 2 * FAR_OUT_IN for _, reading in places.values()):
        return Lifts()
    ecc, seconds = {}, []
    for station_in, (clock, reading) in places.items():
        ecc[station_in], second, sound = _by_least_squares(np.asarray(clock), np.asarray(reading))
        if sound:
            seconds.append((float(np.hypot(*ecc[station_in])), second))
    bowed = bowedness(seconds)
    return Lifts(bowed).again(places, ecc) if bowed else Lifts()


def bowedness(seconds: Sequence[tuple[float, float]]) -> float:
    """k of a sweep, 1/in, from (eccentricity in, second harmonic in step with it, in); 0 = flat.

    The weighted median of the stations that run out at least half as far as the farthest: a few
    with slips do not move it.
    """
    farthest = max((e for e, _ in seconds), default=0.0)
    if farthest < FAR_OUT_IN:
        return 0.0
    far = sorted((_bowed_by(e, second), e**2) for e, second in seconds if e >= farthest / 2)
    share = np.cumsum([weight for _, weight in far])
    middle = min(far[int(np.searchsorted(share, share[-1] / 2))][0], MOST_BOWED)
    return middle if middle * farthest**2 / 2 > LEAST_SECOND_IN else 0.0


def _bowed_by(ecc_in: float, second_in: float) -> float:
    """k of one station: its second harmonic is k e^2 / 2 (1 + k^2 e^2 ...)."""
    k = 2 * second_in / ecc_in**2
    return k / (1 + (k * ecc_in) ** 2)


def lift_in(clock_rad: Array, ecc_in: Array, bowed: float) -> Array:
    """How much less than e cos t the dial shows at clocks (n,), inches; `bowed` = k in 1/in."""
    if bowed <= 0:
        return np.zeros(clock_rad.size)
    across = ecc_in[1] * np.cos(clock_rad) - ecc_in[0] * np.sin(clock_rad)
    reach = 1 / (2 * bowed)
    return np.asarray(reach - np.sqrt(np.maximum(reach**2 - across**2, 0.0)))


def _swing(reading_in: ArrayLike) -> float:
    """Greatest less least reading that is a number."""
    values = np.asarray(reading_in, dtype=float)
    values = values[np.isfinite(values)]
    return float(np.ptp(values)) if values.size else 0.0


def _by_least_squares(clock: Array, reading: Array) -> tuple[Array, float, bool]:
    """Eccentricity (2,), second harmonic in step with it, and whether the marks can separate
    them."""
    if clock.size < LEAST_MARKS or clock.size != reading.size or not np.isfinite(reading).all():
        return np.zeros(2), 0.0, False
    design = harmonics(clock)[:, :5]
    theta, _, _, sizes = np.linalg.lstsq(design, reading, rcond=None)
    if sizes[-1] * WELL_ROUND < sizes[0]:
        theta, *_ = np.linalg.lstsq(design[:, :3], reading, rcond=None)
        return np.asarray(theta[1:3], dtype=float), 0.0, False
    twice = 2 * np.arctan2(theta[2], theta[1])
    second = float(theta[3] * np.cos(twice) + theta[4] * np.sin(twice))
    return np.asarray(theta[1:3], dtype=float), second, True
