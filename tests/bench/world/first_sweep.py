"""What the program says of the first sweep alone: number and place of the bends, and whether a
wrong answer at least comes with a word.

An analysis is *wrong* when the number of bends is wrong or one of them lies outside its interval;
*silent* when it is wrong and no note says that anything is amiss.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from core.analysis.sweep import SweepAnalysis, analyse
from tests.bench.world.kinds import World
from tests.bench.world.loop import Bench, core_areas, every_station


@dataclass(frozen=True)
class FirstSweep:
    """One first sweep against the truth."""

    bends: int
    """How many the shaft has."""
    right_number: bool
    off_in: tuple[float, ...]
    """Distance of each bend found from the true one; empty when the number is wrong."""
    inside: tuple[bool, ...]
    """Whether the 95 % interval holds the true place."""
    noted: bool
    """There is a note on the readings or the bends."""

    @property
    def wrong(self) -> bool:
        """The number is wrong or an interval is."""
        return not (self.right_number and all(self.inside))

    @property
    def silent(self) -> bool:
        """Wrong without a word."""
        return self.wrong and not self.noted


def first_sweep(world: World) -> FirstSweep:
    """Read a shaft once, its first station again at the end, and compare."""
    bench = Bench(world, world.rig())
    stations = every_station(bench)
    worked = analyse(
        bench.readings(stations, bench.rig.read([stations[0].station_in])[0]),
        areas=core_areas(world),
        default_limit_in=world.limit_in,
        strict=False,
    )
    return compare(world, worked)


def compare(world: World, worked: SweepAnalysis) -> FirstSweep:
    """What an analysis says against the bends the shaft has. A bow is no bend here."""
    true = sorted(zone.middle_in for zone in world.bends)
    bowed = len(world.shaft.zones) - len(world.bends)
    bends = [b for b in worked.bends.bends if not (bowed and b.kind == "bow")]
    noted = bool(worked.notes)
    if len(bends) != len(true):
        return FirstSweep(len(true), False, (), (), noted)
    off = np.array([abs(b.station_in - x) for b, x in zip(bends, true, strict=True)])
    inside = off <= np.array([b.station_u95_in for b in bends])
    return FirstSweep(len(true), True, tuple(off.tolist()), tuple(inside.tolist()), noted)
