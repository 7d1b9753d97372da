"""No shaft over its limit is left without a hit to make or a reading to take."""

from __future__ import annotations

import math

import numpy as np

from core.analysis.area_verdicts import judge_areas
from core.analysis.sweep import analyse
from core.runout.line import ShaftLine
from core.runout.readings import StationReadings, SweepReadings
from core.runout.station_fit import fit_station
from core.runout.verdict import Area

EIGHT = tuple(k * math.pi / 4 for k in range(8))
PLACES = [3.0 + 6.0 * k for k in range(16)]


def scattered(over_in: float, seed: int) -> SweepReadings:
    """A straight shaft on dirty rollers, each station half a thou off, one more than that."""
    rng = np.random.default_rng(seed)
    ecc = rng.normal(0.0, 0.00045, (len(PLACES), 2))
    ecc[5] = over_in, 0.0
    stations = tuple(
        StationReadings(x, EIGHT, tuple(float(a * math.cos(t) + b * math.sin(t)) for t in EIGHT))
        for x, (a, b) in zip(PLACES, ecc, strict=True)
    )
    return SweepReadings(stations, (15.0, 80.0), 0.0005, 0.0002, length_in=96.0)


def test_a_station_over_its_limit_is_hit_or_looked_at_from_both_sides() -> None:
    looked_at = 0
    for seed in range(4):
        worked = analyse(scattered(0.0016, seed), areas=())
        assert {v.word for v in worked.verdicts} == {"not true"}
        beside = any(abs(x - PLACES[5]) < 0.01 for x in worked.look_beside_in)
        assert worked.hits or beside
        if beside:
            assert any("33.0 in" in note and "close by" in note for note in worked.notes)
            looked_at += 1
    assert looked_at


def test_not_true_on_the_dial_while_the_bend_is_open_says_what_to_read() -> None:
    """The swing is over the limit, the bend part astride it: more readings tell which it is."""
    turn = np.array(EIGHT)
    fits = [
        fit_station(
            turn,
            ecc * np.cos(turn) + 0.0009 * np.cos(2 * turn),
            resolution_in=0.0005,
            repeatability_in=0.0003,
        )
        for ecc in (0.0001, 0.00095, 0.0001)
    ]
    line = ShaftLine(
        np.array([24.0, 30.0, 36.0]),
        np.array([fit.ecc_in for fit in fits]),
        np.array([fit.ecc_sigma_in for fit in fits]),
        np.array([12.0, 84.0]),
    )
    (verdict,) = judge_areas([Area("log", "shaft log", 24.0, 36.0)], line, fits=fits)
    assert verdict.word == "not true"
    assert "30.0" in verdict.settle
