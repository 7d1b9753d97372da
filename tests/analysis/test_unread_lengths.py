"""Nothing is called true where nobody read; what an area's limit calls not true is hit."""

from __future__ import annotations

import math

import numpy as np
import pytest

from core.analysis.area_verdicts import judge_areas, limits_at, limits_to_hit
from core.analysis.sweep import analyse
from core.runout.line import ShaftLine
from core.runout.readings import StationReadings, SweepReadings
from core.runout.verdict import Area

EIGHT = tuple(k * math.pi / 4 for k in range(8))
ROLLERS = (12.0, 108.0)


def sweep_of(
    places: list[float], bends: list[tuple[float, float]], length_in: float
) -> SweepReadings:
    """Exact readings of a shaft bent toward clock 0: (station in, angle rad)."""

    def raw(x: float) -> float:
        return sum(kappa * max(x - at, 0.0) for at, kappa in bends)

    def centre(x: float) -> float:
        share = (x - ROLLERS[0]) / (ROLLERS[1] - ROLLERS[0])
        return raw(x) - (1 - share) * raw(ROLLERS[0]) - share * raw(ROLLERS[1])

    stations = tuple(
        StationReadings(x, EIGHT, tuple(centre(x) * math.cos(t) for t in EIGHT)) for x in places
    )
    return SweepReadings(stations, ROLLERS, 0.0001, 0.0001, length_in=length_in)


def test_two_rollers_say_nothing_of_the_shaft_between_them() -> None:
    """10 mrad in the middle: 480 thou out there, and nothing of it at the rollers."""
    worked = analyse(sweep_of([12.0, 108.0], [(60.0, 0.010)], 121.0))
    assert {v.word for v in worked.verdicts} == {"not measured"}
    assert any("60" in v.settle for v in worked.verdicts)


def test_a_stretch_left_out_is_not_measured_though_its_ends_are_true() -> None:
    places = [float(x) for x in range(0, 121, 6) if not 30 <= x <= 66]
    log = Area("shaft log", "shaft log", 20.0, 76.0, 0.002)
    worked = analyse(sweep_of(places, [], 121.0), areas=[log])
    assert worked.verdicts[0].word == "not measured"
    assert "48" in worked.verdicts[0].settle


def test_stations_every_twelve_inches_are_enough_and_every_fourteen_are_not() -> None:
    for step, word in ((12, "true"), (14, "not measured")):
        places = [float(x) for x in range(0, 121, step)]
        worked = analyse(sweep_of(places, [], places[-1]))
        assert {v.word for v in worked.verdicts} == {word}


def test_half_a_shaft_read_is_half_a_shaft_judged() -> None:
    worked = analyse(sweep_of([float(x) for x in range(0, 61, 6)], [], 121.0))
    assert [v.word for v in worked.verdicts] == ["not measured"]
    assert "up to its end, 121.0 in" in worked.verdicts[0].settle
    # The very end cannot be read; half way to it can.
    assert "Read a station at 90.5 in" in worked.verdicts[0].settle


def test_a_place_too_close_to_call_does_not_hide_a_stretch_nobody_read() -> None:
    """Reading 24 again would not settle an area of which 30 to 66 was skipped."""
    at = np.array([x for x in np.arange(0.0, 121.0, 6.0) if not 30 <= x <= 66])
    ecc = np.zeros((at.size, 2))
    ecc[at == 24.0, 0] = 0.001
    line = ShaftLine(at, ecc, np.full(at.size, 0.00003), np.array(ROLLERS))
    verdict = judge_areas([Area("shaft log", "shaft log", 20.0, 76.0, 0.002)], line)[0]
    assert verdict.word == "not measured"
    assert "48.0 in" in verdict.settle


def test_a_last_thread_nobody_can_read_is_no_gap() -> None:
    worked = analyse(sweep_of([float(x) for x in range(0, 115, 6)], [], 119.0))
    assert [v.word for v in worked.verdicts] == ["true"]


def test_an_area_past_the_last_station_is_judged_where_it_ends() -> None:
    """Straight on from the last two stations: 1.4 thou there, 2.3 at the end of the taper."""
    at = np.arange(0.0, 115.0, 6.0)
    ecc = np.zeros((at.size, 2))
    ecc[at > ROLLERS[1], 0] = 0.0007
    sigma = np.full(at.size, 0.00003)
    line = ShaftLine(at, ecc, sigma, np.array(ROLLERS))
    taper = Area("taper", "taper", 109.0, 118.0, 0.002)
    verdict = judge_areas([taper], line)[0]
    assert verdict.word == "not true"
    assert verdict.station_in == 118.0
    assert verdict.tir_in == pytest.approx(2 * 0.0007 * (1 + 4 / 6))


def test_an_end_nobody_read_is_to_be_read_not_read_again() -> None:
    """Too close to call at 118 by the line drawn there: no station stands at 118 to repeat."""
    at = np.arange(0.0, 115.0, 6.0)
    ecc = np.zeros((at.size, 2))
    ecc[at > ROLLERS[1], 0] = 0.00055
    line = ShaftLine(at, ecc, np.full(at.size, 0.00008), np.array(ROLLERS))
    verdict = judge_areas([Area("taper", "taper", 109.0, 118.0, 0.002)], line)[0]
    assert verdict.word == "too close to call"
    assert verdict.settle == "Nobody read 118.0 in: read a station there."


def test_an_end_that_is_not_true_is_straightened_though_its_stations_are_within() -> None:
    """1.4 thou at the last station, 2.3 at the end: hits must bring the last one to 1.2."""
    at = np.arange(0.0, 115.0, 6.0)
    ecc = np.zeros((at.size, 2))
    ecc[at > ROLLERS[1], 0] = 0.0007
    line = ShaftLine(at, ecc, np.full(at.size, 0.00003), np.array(ROLLERS))
    taper = Area("taper", "taper", 109.0, 118.0, 0.002)
    limits = limits_to_hit(line, [taper], 0.002)
    assert limits[-1] == pytest.approx(0.002 / (1 + 4 / 6))
    assert limits[:-1].tolist() == [0.002] * (at.size - 1)
    sweep = sweep_of(at.tolist(), [(108.0, 0.0008 / 6)], 118.0)
    worked = analyse(sweep, areas=[taper])
    assert worked.verdicts[0].word == "not true"
    assert worked.hits


def test_the_limit_that_judges_a_station_is_the_one_it_is_straightened_to() -> None:
    areas = [
        Area("taper", "taper", 102.0, 120.0, 0.020),
        Area("bearing", "bearing", 60.2, 65.8, 0.001),
        Area("between", "between", 65.8, 102.0),
    ]
    limits = limits_at(np.array([54.0, 60.0, 66.0, 102.0, 108.0]), areas, 0.002)
    assert limits.tolist() == [0.002, 0.001, 0.001, 0.002, 0.020]


def test_what_is_not_true_beside_a_loose_area_is_hit() -> None:
    sweep = sweep_of([float(x) for x in range(0, 121, 6)], [(97.0, 0.0004)], 121.0)
    worked = analyse(sweep, areas=[Area("taper", "taper", 102.0, 120.0, 0.020)])
    assert "not true" in {v.word for v in worked.verdicts if v.area.kind == "between"}
    assert worked.hits
