"""Hits that would do harm are never planned: a section off centre is no bend, a jog is no bend.

Truth known by geometry: straight pieces and corners, read with noise.
"""

from __future__ import annotations

import math

import numpy as np
import pytest

from core.bends.find import find_bends
from core.runout.harmonics import Array
from core.runout.line import ShaftLine
from core.straightening.plan import plan_round

ROLLERS = np.array([12.0, 108.0])
STATIONS = np.arange(0.0, 121.0, 6.0)
FINE = np.linspace(0.0, 120.0, 481)
SIGMA_IN = 0.00012


def line_at(places: Array, bends: list[tuple[float, Array]]) -> Array:
    """Centres (n, 2) of a shaft of straight pieces that lies on the rollers."""
    at = np.array([12.0, 108.0])

    def raw(x: Array) -> Array:
        return sum(
            (np.outer(np.maximum(x - station, 0.0), kappa) for station, kappa in bends),
            np.zeros((x.size, 2)),
        )

    ends = raw(at)
    share = ((places - at[0]) / (at[1] - at[0]))[:, None]
    return raw(places) - (1 - share) * ends[0] - share * ends[1]


def read(
    bends: list[tuple[float, Array]], rng: np.random.Generator, stations: Array = STATIONS
) -> ShaftLine:
    """The line as a sweep shows it."""
    noise = rng.normal(0, SIGMA_IN, (stations.size, 2))
    sigma = np.full(stations.size, SIGMA_IN)
    return ShaftLine(stations, line_at(stations, bends) + noise, sigma, ROLLERS)


def toward(clock: float) -> Array:
    return np.array([math.cos(clock), math.sin(clock)])


@pytest.mark.slow
@pytest.mark.parametrize("off_in", [0.0015, 0.003, 0.02])
def test_a_section_off_centre_on_a_straight_shaft_is_not_hit(off_in: float) -> None:
    """A worn or built-up journal; its neighbours are where they should be, so nothing is bent."""
    rng = np.random.default_rng(3)
    planned = 0
    for _ in range(6):
        line = read([], rng)
        ecc = line.ecc_in.copy()
        ecc[rng.integers(3, 18)] += off_in * toward(rng.uniform(0, 2 * math.pi))
        line = ShaftLine(line.station_in, ecc, line.sigma_in, line.rollers_in)
        planned += bool(plan_round(line, limit_in=0.002))
    assert not planned


def test_a_bent_overhang_is_hit_though_only_the_last_station_shows_it() -> None:
    line = read([(111.0, 0.004 * toward(1.0))], np.random.default_rng(5))
    hits = plan_round(line, limit_in=0.002)
    assert hits
    assert abs(hits[0].station_in - 111.0) < 6.0


@pytest.mark.slow
def test_a_round_never_leaves_a_jog_worse_than_it_was() -> None:
    """Three opposed bends close together: taking out one of them alone throws the ends about."""
    rng = np.random.default_rng(9)
    for _ in range(5):
        start, gap = rng.uniform(20, 80), rng.uniform(4, 12)
        kappa = rng.uniform(0.002, 0.012) * toward(rng.uniform(0, 2 * math.pi))
        bends = [(start, kappa), (start + gap, -2 * kappa), (start + 2 * gap, kappa)]
        hits = plan_round(read(bends, rng), limit_in=0.002)
        after = line_at(FINE, bends + [(hit.station_in, -hit.kappa_rad) for hit in hits])
        before = np.hypot(*line_at(FINE, bends).T).max()
        assert np.hypot(*after.T).max() <= 1.02 * max(before, 0.001)


def off_centre(line: ShaftLine, station_in: float, off_in: float) -> ShaftLine:
    """The line with one section built up to one side."""
    ecc = line.ecc_in + np.outer(line.station_in == station_in, off_in * toward(2.0))
    return ShaftLine(line.station_in, ecc, line.sigma_in, line.rollers_in)


@pytest.mark.parametrize("off_in", [0.0010, 0.0012, 0.0015, 0.003])
def test_a_station_no_hit_is_planned_for_is_named(off_in: float) -> None:
    """Else the shaft is not true, nothing is hit, and no word says why."""
    rng = np.random.default_rng(4)
    for station in (30.0, 54.0, 90.0):
        line = off_centre(read([], rng), station, off_in)
        assert not plan_round(line, limit_in=0.002)
        said = [note for note in find_bends(line).notes if "read it again" in note]
        assert len(said) == 1
        assert f"Station {station:.1f} in" in said[0]


def test_no_sound_station_is_named() -> None:
    """Noise alone, one bend, two bends: nothing stands alone."""
    rng = np.random.default_rng(6)
    shafts = (
        [],
        [(40.0, 0.003 * toward(0.5))],
        [(40.0, 0.003 * toward(0.5)), (70.0, -0.002 * toward(2.0))],
    )
    for bends in shafts:
        for _ in range(5):
            assert not find_bends(read(bends, rng)).lone_stations_in


def test_stations_close_by_tell_a_jog_from_a_section_off_centre() -> None:
    """What the words ask for works: the jog is hit and mended, the straight shaft is left alone."""
    rng = np.random.default_rng(8)
    kappa = 0.006 * toward(0.7)
    jog = [(49.5, kappa), (54.0, -2 * kappa), (58.5, kappa)]
    closer = np.sort(np.append(STATIONS, (52.0, 56.0)))
    assert not plan_round(read(jog, rng), limit_in=0.002)
    hits = plan_round(read(jog, rng, closer), limit_in=0.002)
    after = line_at(FINE, jog + [(hit.station_in, -hit.kappa_rad) for hit in hits])
    assert np.hypot(*after.T).max() < 0.5 * np.hypot(*line_at(FINE, jog).T).max()
    assert not plan_round(off_centre(read([], rng, closer), 54.0, 0.02), limit_in=0.002)
