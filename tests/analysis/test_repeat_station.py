"""The first station read again at the end: what moved is seen, noise is not."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from core.analysis.repeat_station import RepeatedStation, repeated_station
from core.analysis.sweep import analyse
from core.runout.readings import StationReadings, SweepReadings
from core.runout.sweep_fit import fit_sweep
from tests.bench.world.kinds import World, make
from tests.bench.world.rig import Warm


def swept(world: World) -> SweepReadings:
    rig = world.rig()
    places = [*world.setup.stations_in, world.setup.stations_in[0]]
    read = [StationReadings(s.station_in, s.clock_rad, s.reading_in) for s in rig.read(places)]
    return SweepReadings(tuple(read[:-1]), world.setup.told_in, repeat=read[-1])


def compared(sweep: SweepReadings) -> RepeatedStation | None:
    return repeated_station(sweep, fit_sweep(sweep))


def warm(index: int, bow_in: float) -> World:
    world = make("zone0", 21, index)
    return replace(world, setup=replace(world.setup, warm=Warm(bow_in, 20.0, 0.7)))


@pytest.mark.slow
@pytest.mark.parametrize("index", range(4))
def test_a_bar_that_cools_is_seen_by_its_first_station(index: int) -> None:
    worked = analyse(swept(warm(index, 0.012)))
    assert worked.repeated is not None
    assert worked.repeated.moved
    assert "cold" in worked.notes[0]


@pytest.mark.slow
def test_a_cold_bar_on_a_firm_stand_is_left_alone() -> None:
    found = [compared(swept(make("zone0", 22, k))) for k in range(30)]
    chi2 = np.array([r.chi2 for r in found if r is not None])
    assert chi2.size == 30
    assert not any(r.words for r in found if r is not None)
    assert 1.0 < chi2.mean() < 3.2  # two degrees of freedom


def test_it_says_by_how_much_and_which_way() -> None:
    sweep = swept(make("zone0", 23, 0))
    assert sweep.repeat is not None
    clock = np.array(sweep.repeat.clock_rad)
    moved = np.array(sweep.repeat.reading_in) + 0.002 * np.sin(clock)
    found = compared(replace(sweep, repeat=replace(sweep.repeat, reading_in=tuple(moved))))
    assert found is not None
    assert found.moved_in == pytest.approx([0.0, 0.002], abs=0.0005)
    assert "TIR since it was first read" in found.words


def test_a_repeat_of_a_station_not_in_the_sweep_says_nothing() -> None:
    sweep = swept(make("zone0", 23, 0))
    assert sweep.repeat is not None
    assert compared(replace(sweep, repeat=replace(sweep.repeat, station_in=4.4))) is None
    assert compared(replace(sweep, repeat=StationReadings(3.0, (0.0,), (0.0,)))) is None
