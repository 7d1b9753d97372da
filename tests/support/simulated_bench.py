"""A simulated bench: one shaft, its readings and hits, and the minutes they cost.

Both ways of working (`tests.support.chasing`, `tests.support.fitted`) see only what this gives out:
readings by the simulator, fitted as the program fits them.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from core.demo.simulate import TrueShaft, apply_hit, read_sweep
from core.runout.line import ShaftLine
from core.runout.readings import SweepReadings

Array = NDArray[np.float64]

MINUTES_A_HIT = 6.0
MINUTES_A_STATION = 1.5
MOST_HITS = 100
MARKS = np.radians(np.arange(0, 360, 45))


@dataclass(frozen=True)
class Setup:
    """How the shaft lies and how well the shop hits and reads."""

    rollers_in: tuple[float, float] = (12.0, 108.0)
    every_in: float = 6.0
    length_in: float = 120.0
    limit_in: float = 0.002
    resolution_in: float = 0.0005
    repeatability_in: float = 0.0002
    response: float = 1.0
    scatter: float = 0.20
    clock_sigma_rad: float = float(np.radians(5))
    placing_sigma_in: float = 0.25

    @property
    def stations_in(self) -> Array:
        """Stations of a full sweep; a roller has no room for the dial."""
        x = np.arange(self.every_in / 2, self.length_in, self.every_in)
        return x[np.abs(x[:, None] - np.array(self.rollers_in)).min(axis=1) > 1.0]


@dataclass
class Bench:
    """One shaft on the bench."""

    shaft: TrueShaft
    setup: Setup
    rng: np.random.Generator
    hits: int = 0
    readings: int = 0
    rounds: int = 0
    disagreed: int = 0

    @property
    def minutes(self) -> float:
        """Bench minutes so far."""
        return MINUTES_A_HIT * self.hits + MINUTES_A_STATION * self.readings

    @property
    def done(self) -> bool:
        """Truly within the limit at every station of the sweep."""
        return self.true_worst_in <= self.setup.limit_in

    @property
    def true_worst_in(self) -> float:
        """Worst true TIR at the stations of the sweep."""
        tir = self.shaft.tir_in(self.setup.stations_in, self.setup.rollers_in)
        return float(tir.max())

    def read(self, station_in: Sequence[float] | Array) -> tuple[Array, Array]:
        """Eccentricity (m, 2) and uncertainty (m,) found at some stations."""
        self.readings += len(station_in)
        sweep = read_sweep(
            self.shaft,
            self.setup.rollers_in,
            [float(x) for x in station_in],
            MARKS.tolist(),
            resolution_in=self.setup.resolution_in,
            repeatability_in=self.setup.repeatability_in,
            rng=self.rng,
        )
        return fit_all(sweep)

    def sweep(self) -> ShaftLine:
        """A full sweep."""
        x = self.setup.stations_in
        return ShaftLine(x, *self.read(x), np.array(self.setup.rollers_in))

    def hit(self, station_in: float, kappa_rad: Array) -> None:
        """Press: `kappa_rad` is what the press is asked for."""
        self.hits += 1
        self.shaft = apply_hit(
            self.shaft,
            station_in,
            kappa_rad,
            rng=self.rng,
            response=self.setup.response,
            scatter=self.setup.scatter,
            clock_sigma_rad=self.setup.clock_sigma_rad,
            placing_sigma_in=self.setup.placing_sigma_in,
        )


def fit_all(sweep: SweepReadings) -> tuple[Array, Array]:
    """Eccentricities of stations read at the same eight marks: the same as `fit_station` gives.

    On equally spaced marks round the whole turn the harmonics do not mix, so the first one is a
    plain sum; a test holds this against the program's own fit.
    """
    values = np.array([s.reading_in for s in sweep.stations])
    waves = np.column_stack([np.cos(MARKS), np.sin(MARKS)]) * 2 / MARKS.size
    repeat = sweep.repeatability_in or 0.0003
    noise = np.sqrt((repeat**2 + sweep.resolution_in**2 / 12) * 2 / MARKS.size)
    return values @ waves, np.full(values.shape[0], float(noise))
