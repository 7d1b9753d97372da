"""A press and the person at it: what a hit really leaves in the steel.

The turn asked for goes in beside the place, off the clock, larger or smaller than asked, spread
over a plastic zone, and weaker where the bar was pressed before.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from tests.bench.world.shaft import Shaft, Vector, Zone

MINUTES_A_HIT = 6.0


@dataclass(frozen=True)
class Press:
    """How well a shop hits."""

    place_sigma_in: float = 0.5
    clock_sigma_rad: float = float(np.radians(8.0))
    scatter: float = 0.25
    zone_in: Vector = (4.0, 10.0)
    """Shortest and longest plastic zone."""
    response: float = 1.0
    tired: float = 0.08
    """Effect lost for each earlier hit within `near_in`."""
    near_in: float = 3.0

    def hit(
        self,
        shaft: Shaft,
        station_in: float,
        turn_rad: Vector,
        earlier_in: Sequence[float],
        rng: np.random.Generator,
    ) -> Shaft:
        """The shaft after a hit meant to turn the line by `turn_rad` at a station.

        `earlier_in` : stations of all hits before it. The same four draws are made whatever the
        hit, so that shafts stay comparable between versions of the program for as long as they can.
        """
        size, aside, along, spread = rng.normal(), rng.normal(), rng.normal(), rng.random()
        before = sum(abs(x - station_in) <= self.near_in for x in earlier_in)
        share = self.response * max(0.0, 1 + self.scatter * size) * (1 - self.tired) ** before
        off = self.clock_sigma_rad * aside
        turn = share * np.array(
            [
                turn_rad[0] * np.cos(off) - turn_rad[1] * np.sin(off),
                turn_rad[0] * np.sin(off) + turn_rad[1] * np.cos(off),
            ]
        )
        place = float(np.clip(station_in + self.place_sigma_in * along, 0.0, shaft.length_in))
        low, high = self.zone_in
        return shaft.after(
            Zone(place, (float(turn[0]), float(turn[1])), low + spread * (high - low))
        )


IDEAL = Press(
    place_sigma_in=0.25,
    clock_sigma_rad=float(np.radians(5.0)),
    scatter=0.2,
    zone_in=(0.0, 0.0),
    tired=0.0,
)
"""Sharp hits, as the program's own simulator makes them."""
