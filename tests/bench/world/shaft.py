"""The true shape of a shaft: bends spread over plastic zones, bows, sections out of round.

The slope of the centre line turns by `turn_rad` in each zone. The turn is spread over the zone's
length, evenly or with a peak in the middle as under a press ram::

    even      ____|#######|____        peaked    ____.-'^'-.____      (curvature)

A zone of no length is a sharp kink; a bow is an even zone of feet. The section at a station is a
circle about the centre with two and three lobes added, both changing slowly along the shaft.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import ArrayLike, NDArray

Array = NDArray[np.float64]
Vector = tuple[float, float]

AROUND = np.arange(0.0, 360.0, 2.0) * np.pi / 180
FINE_IN = 0.125


@dataclass(frozen=True)
class Zone:
    """A change of slope spread over a length about its middle."""

    middle_in: float
    turn_rad: Vector
    length_in: float = 0.0
    peaked: bool = True

    def rise(self, x_in: Array) -> Array:
        """Rise of the line (n,) after a unit turn, inches a radian; 0 before the zone."""
        half = self.length_in / 2
        t = x_in - self.middle_in
        if half <= 0:
            return np.asarray(np.maximum(t, 0.0))
        inside = np.clip(t, -half, half)
        if not self.peaked:
            return np.asarray((inside + half) ** 2 / (4 * half) + np.maximum(t - half, 0.0))
        up = (np.minimum(inside, 0.0) + half) ** 3 / (6 * half**2)
        right = np.clip(inside, 0.0, half)
        down = right + ((half - right) ** 3 - half**3) / (6 * half**2)
        return np.asarray(up + np.where(t > 0, down, 0.0) + np.maximum(t - half, 0.0))


@dataclass(frozen=True)
class OffCentre:
    """A length built up or turned off centre: moved aside as a whole, no bend at all."""

    from_in: float
    to_in: float
    aside_in: Vector


@dataclass(frozen=True, eq=False)
class Roundness:
    """Second and third harmonic of the sections, straight between knots along the shaft."""

    knots_in: Array
    oval_in: Array
    """(k, 2) cosine and sine part of two lobes."""
    lobes_in: Array
    """(k, 2) of three lobes."""

    def at(self, x_in: Array) -> tuple[Array, Array]:
        """Both harmonics at stations (n,): (n, 2) each."""
        return self._along(self.oval_in, x_in), self._along(self.lobes_in, x_in)

    def _along(self, values: Array, x_in: Array) -> Array:
        return np.column_stack([np.interp(x_in, self.knots_in, v) for v in values.T])


ROUND = Roundness(np.zeros(1), np.zeros((1, 2)), np.zeros((1, 2)))


@dataclass(frozen=True, eq=False)
class Shaft:
    """All that is true of one shaft."""

    length_in: float
    zones: tuple[Zone, ...] = ()
    roundness: Roundness = ROUND
    off_centre: tuple[OffCentre, ...] = ()

    def centre_in(self, x_in: ArrayLike, rollers_in: Vector) -> Array:
        """Centre of the sections (n, 2) off the line through the centres at two stations."""
        x = np.atleast_1d(np.asarray(x_in, dtype=float))
        a, b = rollers_in
        y = self._centre(np.concatenate([x, [a, b]]))
        along = ((x - a) / (b - a))[:, None]
        return np.asarray(y[:-2] - (1 - along) * y[-2] - along * y[-1])

    def bend_tir_in(self, x_in: ArrayLike, rollers_in: Vector) -> Array:
        """2|e| at stations (n,)."""
        return np.asarray(2 * np.hypot(*self.centre_in(x_in, rollers_in).T))

    def swing_in(self, x_in: ArrayLike, rollers_in: Vector) -> Array:
        """Swing over a whole turn (n,) of a dial on the true surface, on perfect supports."""
        x = np.atleast_1d(np.asarray(x_in, dtype=float))
        turned = self.surface_in(x, AROUND) + wave(self.centre_in(x, rollers_in), AROUND, 1)
        return np.asarray(np.ptp(turned, axis=1))

    def surface_in(self, x_in: Array, clock_rad: Array) -> Array:
        """Height of the surface (n, m) at clocks (m,) over the circle about its own centre."""
        oval, lobes = self.roundness.at(x_in)
        return np.asarray(wave(oval, clock_rad, 2) + wave(lobes, clock_rad, 3))

    def after(self, zone: Zone) -> Shaft:
        """The shaft with one more change of slope."""
        return replace(self, zones=(*self.zones, zone))

    def _centre(self, x: Array) -> Array:
        y = np.zeros((x.size, 2))
        for zone in self.zones:
            y += np.outer(zone.rise(x), zone.turn_rad)
        for part in self.off_centre:
            y[(x >= part.from_in) & (x <= part.to_in)] += part.aside_in
        return y


def wave(parts: Array, clock_rad: Array, times: int) -> Array:
    """Cosine and sine parts (n, 2) as heights (n, m) at clocks (m,)."""
    turn = times * np.asarray(clock_rad)
    return np.asarray(np.outer(parts[:, 0], np.cos(turn)) + np.outer(parts[:, 1], np.sin(turn)))


def fine(from_in: float, to_in: float) -> Array:
    """Stations every eighth of an inch or closer, both ends included."""
    return np.linspace(from_in, to_in, max(2, int(np.ceil((to_in - from_in) / FINE_IN)) + 1))
