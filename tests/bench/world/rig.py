"""The bench: a shaft on two pairs of wheels, turned by hand under a dial.

Each wheel touches the shaft at its own angle off the dial. What the section at the roller lacks in
roundness, and what the wheel lacks in truth, moves the axis of the shaft there; the dial sees that
move in proportion along the shaft. A wheel as large as the shaft turns once a turn: its
eccentricity then looks like a bend in every sweep. A warm shaft is bowed, less by the minute.

Not modelled: a shaft that slides along or rides up, play in the wheels, sag (it does not turn).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np

from tests.bench.world.shaft import Array, Shaft, Vector, wave

MINUTES_A_STATION = 1.5


@dataclass(frozen=True)
class Wheel:
    """One roller wheel."""

    off_rad: float
    """Where it touches the shaft: angle off the dial."""
    eccentric_in: float = 0.0
    phase_rad: float = 0.0
    over_shaft: float = 2.0
    """Diameter of the wheel over that of the shaft."""


@dataclass(frozen=True)
class Warm:
    """A shaft not yet cold: bowed evenly over its length, cooling."""

    bow_in: float
    """Height of the bow over the shaft's ends when the first sweep begins."""
    minutes: float
    """Time in which it falls to 37 %."""
    clock_rad: float


DOWN = (np.pi - np.radians(35.0), np.pi + np.radians(35.0))


def pair(eccentric_in: float = 0.0, phase_rad: float = 0.0, over: float = 2.0) -> tuple[Wheel, ...]:
    """Two wheels under the shaft, 35 degrees off straight down, the first one eccentric."""
    return Wheel(DOWN[0], eccentric_in, phase_rad, over), Wheel(DOWN[1])


@dataclass(frozen=True)
class Setup:
    """How a shaft lies, and how it is read."""

    rollers_in: Vector
    told_in: Vector
    """Where the job says the rollers are."""
    stations_in: tuple[float, ...]
    """Stations of a full sweep."""
    marks: int = 8
    resolution_in: float = 0.0005
    repeatability_in: float = 0.0002
    wheels: tuple[tuple[Wheel, ...], tuple[Wheel, ...]] = field(
        default_factory=lambda: (pair(), pair())
    )
    seats_in: tuple[Vector, Vector] = ((0.0, 0.0), (0.0, 0.0))
    """Ovality of the two roller seats besides that of the sections there: cosine and sine part."""
    warm: Warm | None = None
    slip_rate: float = 0.0
    """Share of readings written down wrong."""


@dataclass(frozen=True)
class DialStation:
    """What was written down at one station."""

    station_in: float
    clock_rad: tuple[float, ...]
    reading_in: tuple[float, ...]


@dataclass
class Rig:
    """One shaft on the bench; time and turns go on as it is read."""

    shaft: Shaft
    setup: Setup
    rng: np.random.Generator
    minutes: float = 0.0
    read_stations: int = 0
    turns: float = 0.0
    wheel_turned_rad: dict[tuple[int, int], float] = field(default_factory=dict)
    """By (pair, wheel): how far it was turned by hand against the shaft."""

    def read(self, station_in: Sequence[float] | Array) -> tuple[DialStation, ...]:
        """Roll the shaft once at each station, in the order given."""
        return tuple(self._roll(float(x)) for x in station_in)

    def turn_wheel(self, pair_no: int, wheel_no: int, by_rad: float = np.pi) -> None:
        """Turn one wheel by hand while the shaft is held."""
        key = pair_no, wheel_no
        self.wheel_turned_rad[key] = self.wheel_turned_rad.get(key, 0.0) + by_rad

    def dial_in(self, x_in: float, turned_rad: Array, minutes: Array) -> Array:
        """What a perfect dial shows after turns and minutes (m,), from an arbitrary zero (m,)."""
        rollers = self.setup.rollers_in
        share = (x_in - rollers[0]) / (rollers[1] - rollers[0])
        own = self.shaft.surface_in(np.array([x_in]), turned_rad)[0]
        bent = wave(self.shaft.centre_in(x_in, rollers), turned_rad, 1)[0]
        shown = own + bent + self._warm_in(x_in, turned_rad, minutes)
        for end, weight in ((0, 1 - share), (1, share)):
            shown = shown + weight * self._axis_in(end, turned_rad)
        return np.asarray(shown)

    def _roll(self, x_in: float) -> DialStation:
        setup, rng = self.setup, self.rng
        clock = np.arange(setup.marks) * 2 * np.pi / setup.marks
        minutes = self.minutes + MINUTES_A_STATION * (np.arange(setup.marks) + 1) / setup.marks
        true = self.dial_in(x_in, 2 * np.pi * self.turns + clock, minutes) + rng.uniform(
            -5e-3, 5e-3
        )
        shown = true + rng.normal(0, setup.repeatability_in, clock.size)
        if setup.resolution_in > 0:
            shown = np.round(shown / setup.resolution_in) * setup.resolution_in
        for k in np.flatnonzero(rng.random(clock.size) < setup.slip_rate):
            shown = _slip(shown, int(k), rng)
        self.minutes += MINUTES_A_STATION
        self.read_stations += 1
        self.turns += 1
        return DialStation(x_in, tuple(clock.tolist()), tuple(shown.tolist()))

    def _axis_in(self, end: int, turned_rad: Array) -> Array:
        """How far the axis at one roller pair moves towards the dial (m,)."""
        place = np.array([self.setup.rollers_in[end]])
        seat = np.array([self.setup.seats_in[end]])
        normals, gaps = [], []
        for number, wheel in enumerate(self.setup.wheels[end]):
            under = turned_rad + wheel.off_rad
            high = self.shaft.surface_in(place, under)[0] + wave(seat, under, 2)[0]
            by_hand = self.wheel_turned_rad.get((end, number), 0.0)
            angle = turned_rad / wheel.over_shaft + wheel.phase_rad + by_hand
            high = high + wheel.eccentric_in * np.cos(angle)
            normals.append((np.cos(wheel.off_rad), np.sin(wheel.off_rad)))
            gaps.append(-high)
        moved = np.linalg.solve(np.array(normals), np.array(gaps))
        return np.asarray(moved[0])

    def _warm_in(self, x_in: float, turned_rad: Array, minutes: Array) -> Array:
        warm = self.setup.warm
        if warm is None:
            return np.zeros_like(turned_rad)
        length = self.shaft.length_in
        a, b = self.setup.rollers_in
        high, at_a, at_b = (4 * x * (length - x) / length**2 for x in (x_in, a, b))
        share = (x_in - a) / (b - a)
        size = warm.bow_in * (high - (1 - share) * at_a - share * at_b)
        return np.asarray(
            size * np.exp(-minutes / warm.minutes) * np.cos(turned_rad - warm.clock_rad)
        )


def _slip(shown: Array, k: int, rng: np.random.Generator) -> Array:
    """One reading written down wrong: a lost turn, half the dial, the sign, two swapped."""
    wrong = shown.copy()
    kind = rng.integers(4)
    if kind == 0:
        wrong[k] += rng.choice([-0.1, 0.1])
    elif kind == 1:
        wrong[k] += rng.choice([-0.05, 0.05])
    elif kind == 2:
        wrong[k] = -wrong[k]
    else:
        other = (k + 1) % shown.size
        wrong[k], wrong[other] = shown[other], shown[k]
    return wrong
