"""What the bench hands to the core: one sweep's readings as plain numbers.

Conventions (stated once, here; every module of the core follows them)::

    coupling end                                             propeller end
    station 0 ------------------ station x (inches) ------------------> L

         90 deg
           |            clock: fixed to the SHAFT, 0 at the centre of the propeller
    180 ---+--- 0       keyway (or a chalk mark), rising in the order in which the
           |            marks pass under the dial.
         270

    reading: positive = plunger pushed in = surface nearer the dial.

Lengths are inches, angles radians. Only the standard library is used, so that number entry
starts without numpy.
"""

from __future__ import annotations

from dataclasses import dataclass

LEAST_MARKS = 5
"""Different marks a station needs: level, runout and ovality have five unknowns."""
MOST_MARKS = 360
"""Readings at one station; a fit of more needs more memory than it is worth."""


@dataclass(frozen=True)
class QuickReading:
    """The quick way of reading a station: the swing of the dial and the clock of its high spot."""

    tir_in: float
    """Total indicator reading, inches, >= 0."""
    high_spot_rad: float
    """Clock of the highest reading, radians."""


@dataclass(frozen=True)
class StationReadings:
    """All that was read at one station of one sweep, in the order it was taken."""

    station_in: float
    clock_rad: tuple[float, ...] = ()
    """Clock of each reading taken, radians; marks that were blocked are not in it."""
    reading_in: tuple[float, ...] = ()
    """Readings, inches, one for each clock."""
    blocked_rad: tuple[float, ...] = ()
    """Clock of each mark where the plunger was blocked (keyway), radians."""
    closing_in: float | None = None
    """The first mark read once more at the end of the roll, inches; None = not read."""
    quick: QuickReading | None = None
    """Filled when the station was read the quick way; then `clock_rad` is empty."""
    right: tuple[int, ...] = ()
    """Which of the readings were looked at again and found right, from 0."""


@dataclass(frozen=True)
class WheelPart:
    """What eccentric roller wheels add to a sweep, as a half-turn test found it
    (`core.analysis.half_turn`). Inches."""

    offset_in: tuple[tuple[float, float], tuple[float, float]]
    """False eccentricity at the first and at the second roller: towards 0, towards 90."""
    cov_in2: tuple[tuple[float, ...], ...]
    """Covariance of these four figures, four rows of four."""


@dataclass(frozen=True)
class SweepReadings:
    """One sweep: every station, where the rollers stood, and what the dial can resolve."""

    stations: tuple[StationReadings, ...]
    rollers_in: tuple[float, float]
    """Stations of the two roller pairs, inches."""
    resolution_in: float = 0.0005
    """One graduation of the dial (or the last digit of a digital one), inches."""
    repeatability_in: float | None = None
    """Standard deviation of a repeated reading, inches; None = estimate it from the sweep."""
    dial_turn_in: float = 0.100
    """Travel of the plunger for one turn of the pointer, inches."""
    length_in: float | None = None
    """Shaft length, inches, if known: stations and rollers must lie on it."""
    ovality_prior_in: float | None = None
    """Ovality usual on the shop's shafts, inches (standard deviation); None = the core's own."""
    lobes_prior_in: float | None = None
    """The same for three lobes."""
    repeat: StationReadings | None = None
    """The station read first, read once more at the end of the sweep; None = not read."""
    wheels: WheelPart | None = None
    """What a half-turn test found the roller wheels to add to this sweep; None = not tested."""
