"""A shaft whose true shape is known, and the readings a bench would take from it.

Used by the demo job book and by the programs in `tests/bench`; the analysis itself never sees
the true shape. Conventions are those of `core.runout.readings`.

The centre line is a broken line: each sharp bend turns it by a small vector `kappa_rad` at one
station, each bow spreads its turn evenly over a length::

    y(x) = sum kappa_k * max(0, x - s_k),   e(x) = y(x) - (chord through the two rollers)

Not modelled: sag under its own weight (it does not turn with the shaft, so the dial does not
see it), rollers that give, sideways play, a dial that sticks.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import ArrayLike, NDArray

from core.runout.readings import StationReadings, SweepReadings

Floats = NDArray[np.float64]
Vector = tuple[float, float]
"""A vector fixed to the shaft: (component toward 0 deg, component toward 90 deg)."""


@dataclass(frozen=True)
class TrueBend:
    """A sharp bend: the centre line changes slope by `kappa_rad` at one station."""

    station_in: float
    kappa_rad: Vector
    """Change of slope, radians; the high side is the direction of -kappa."""


@dataclass(frozen=True)
class TrueBow:
    """A gentle bow: the turn `kappa_rad` spread evenly between two stations."""

    from_in: float
    to_in: float
    kappa_rad: Vector


@dataclass(frozen=True)
class Ovality:
    """A part of the shaft out of round, two lobes: r = amplitude * cos 2(t - clock)."""

    from_in: float
    to_in: float
    amplitude_in: float
    clock_rad: float


@dataclass(frozen=True)
class Blocked:
    """A keyway: the plunger cannot read within `half_width_rad` of `clock_rad` there."""

    from_in: float
    to_in: float
    clock_rad: float = 0.0
    half_width_rad: float = 0.3


@dataclass(frozen=True)
class TrueShaft:
    """The true shape of one shaft."""

    length_in: float
    diameter_in: float = 2.0
    bends: tuple[TrueBend, ...] = ()
    bows: tuple[TrueBow, ...] = ()
    ovality: tuple[Ovality, ...] = ()
    roller_lift_in: Vector = (0.0, 0.0)
    """Amplitude, inches, by which an oval seat lifts the axis twice a turn on each roller pair."""
    roller_lift_clock_rad: Vector = (0.0, 0.0)
    """Clock under the dial at which that lift is greatest."""
    keyways: tuple[Blocked, ...] = ()

    def centre_in(self, station_in: ArrayLike, rollers_in: Vector) -> Floats:
        """Centre of each section off the line through the rollers, (n, 2) inches."""
        x = np.atleast_1d(np.asarray(station_in, dtype=float))
        a, b = rollers_in
        y, ends = self._turned_in(x), self._turned_in(np.array([a, b]))
        along = ((x - a) / (b - a))[:, None]
        eccentricity: Floats = y - (1 - along) * ends[0] - along * ends[1]
        return eccentricity

    def tir_in(self, station_in: ArrayLike, rollers_in: Vector) -> Floats:
        """Twice the eccentricity at each station, (n,) inches: what a round shaft would show."""
        tir: Floats = 2 * np.hypot(*self.centre_in(station_in, rollers_in).T)
        return tir

    def worst_tir_in(self, rollers_in: Vector) -> float:
        """The greatest true TIR anywhere on the shaft, inches (sampled every 1/8 in)."""
        x = np.linspace(0, self.length_in, int(self.length_in * 8) + 1)
        return float(self.tir_in(x, rollers_in).max())

    def _turned_in(self, x: Floats) -> Floats:
        y = np.zeros((x.size, 2))
        if self.bends:
            place = np.array([bend.station_in for bend in self.bends])
            kappa = np.array([bend.kappa_rad for bend in self.bends])
            y += np.maximum(0.0, x[:, None] - place) @ kappa
        for bow in self.bows:
            y += _spread(x, bow.from_in, bow.to_in)[:, None] * np.array(bow.kappa_rad)
        return y


def _spread(x: Floats, start: float, stop: float) -> Floats:
    """Rise at x of a unit turn spread evenly from start to stop, inches a radian."""
    inside = np.clip(x - start, 0.0, stop - start)
    rise: Floats = inside**2 / (2 * (stop - start)) + np.maximum(0.0, x - stop)
    return rise


def read_sweep(
    shaft: TrueShaft,
    rollers_in: Vector,
    station_in: Sequence[float],
    marks_rad: Sequence[float],
    *,
    resolution_in: float = 0.0005,
    repeatability_in: float = 0.0002,
    rng: np.random.Generator,
    direction: int = 1,
    closing: bool = False,
    drift_in: float = 0.0,
) -> SweepReadings:
    """Read every mark at every station the way a dial would show it.

    Parameters
    ----------
    marks_rad : clock of each mark as the person numbers it, in the order it is read.
    resolution_in : graduation of the dial; each reading is rounded to it. 0 = not rounded.
    repeatability_in : standard deviation of the same reading taken again.
    direction : 1, or -1 when the shaft was rolled the other way and the marks numbered as they
        passed, so that the clock written down is the mirror of the true one.
    closing : read the first free mark again at the end of each roll.
    drift_in : how far the dial creeps during each roll.
    """
    marks = np.asarray(marks_rad, dtype=float)
    centre = shaft.centre_in(station_in, rollers_in)
    read = []
    for station, ecc in zip(station_in, centre, strict=True):
        surface = _surface_in(shaft, rollers_in, float(station), ecc, direction * marks)
        free = ~_blocked(shaft, float(station), direction * marks)
        shown = surface + rng.normal(0, 0.01) + drift_in * np.arange(marks.size) / marks.size
        values = _dial(shown, resolution_in, repeatability_in, rng)
        first = int(np.argmax(free))
        again = _dial(shown[[first]] + drift_in, resolution_in, repeatability_in, rng)
        read.append(
            StationReadings(
                station_in=float(station),
                clock_rad=tuple(marks[free].tolist()),
                reading_in=tuple(values[free].tolist()),
                blocked_rad=tuple(marks[~free].tolist()),
                closing_in=float(again[0]) if closing and free.any() else None,
            )
        )
    return SweepReadings(
        stations=tuple(read),
        rollers_in=rollers_in,
        resolution_in=resolution_in or 1e-6,
        repeatability_in=repeatability_in,
        length_in=shaft.length_in,
    )


def _surface_in(
    shaft: TrueShaft, rollers_in: Vector, station: float, ecc: Floats, clock: Floats
) -> Floats:
    """Height of the surface under the dial at each true clock, (m,) inches."""
    height: Floats = ecc[0] * np.cos(clock) + ecc[1] * np.sin(clock)
    for part in shaft.ovality:
        if part.from_in <= station <= part.to_in:
            height = height + part.amplitude_in * np.cos(2 * (clock - part.clock_rad))
    a, b = rollers_in
    along = (station - a) / (b - a)
    for share, lift, at in zip(
        (1 - along, along), shaft.roller_lift_in, shaft.roller_lift_clock_rad, strict=True
    ):
        height = height + share * lift * np.cos(2 * (clock - at))
    return height


def _blocked(shaft: TrueShaft, station: float, clock: Floats) -> NDArray[np.bool_]:
    blocked = np.zeros(clock.shape, dtype=bool)
    for key in shaft.keyways:
        if key.from_in <= station <= key.to_in:
            off = np.angle(np.exp(1j * (clock - key.clock_rad)))
            blocked |= np.abs(off) <= key.half_width_rad
    return blocked


def _dial(
    value: Floats, resolution_in: float, repeatability_in: float, rng: np.random.Generator
) -> Floats:
    shown: Floats = value + rng.normal(0, repeatability_in, value.shape)
    if resolution_in > 0:
        shown = np.round(shown / resolution_in) * resolution_in
    return shown


def apply_hit(
    shaft: TrueShaft,
    station_in: float,
    kappa_rad: ArrayLike,
    *,
    rng: np.random.Generator,
    response: float = 1.0,
    scatter: float = 0.20,
    clock_sigma_rad: float = float(np.radians(5.0)),
    placing_sigma_in: float = 0.25,
) -> TrueShaft:
    """The shaft after a hit meant to take `kappa_rad` out at a station.

    What is really taken out is `response` times the plan, with a relative scatter of one standard
    deviation `scatter`, turned by the clock error and put off the station by the placing error.
    """
    size = response * max(0.0, 1.0 + scatter * float(rng.normal()))
    turn = clock_sigma_rad * float(rng.normal())
    at = station_in + placing_sigma_in * float(rng.normal())
    along, across = (float(v) for v in np.asarray(kappa_rad, dtype=float))
    cos, sin = float(np.cos(turn)), float(np.sin(turn))
    taken = (-size * (cos * along - sin * across), -size * (sin * along + cos * across))
    at = min(max(at, 0.0), shaft.length_in)
    return replace(shaft, bends=(*shaft.bends, TrueBend(at, taken)))
