"""One call from readings to bends, hits, verdicts and notes; and what it refuses."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from core.analysis.sweep import SweepAnalysis, analyse
from core.base.errors import ShaftlogError
from core.demo.simulate import Ovality, TrueBend, TrueShaft, read_sweep
from core.runout.readings import QuickReading, StationReadings, SweepReadings
from core.runout.verdict import Area

ROLLERS = (12.0, 108.0)
STATIONS = tuple(np.linspace(3.0, 117.0, 20))
MARKS = np.arange(8) * np.pi / 4
AREAS = (Area("coupling", "coupling", 0.0, 6.0), Area("taper", "taper", 108.0, 120.0, 0.003))
BENT = TrueShaft(120.0, bends=(TrueBend(40.0, (0.003, 0.002)), TrueBend(80.0, (-0.001, 0.005))))


def swept(
    shaft: TrueShaft = BENT, *, closing: bool = False, drift_in: float = 0.0
) -> SweepReadings:
    rng = np.random.default_rng(4)
    return read_sweep(shaft, ROLLERS, STATIONS, MARKS, rng=rng, closing=closing, drift_in=drift_in)


def with_station(sweep: SweepReadings, index: int, station: StationReadings) -> SweepReadings:
    stations = list(sweep.stations)
    stations[index] = station
    return replace(sweep, stations=tuple(stations))


@pytest.fixture(scope="module")
def worked() -> SweepAnalysis:
    return analyse(swept(), areas=AREAS)


def test_bends_and_hits_are_those_of_the_shaft(worked: SweepAnalysis) -> None:
    assert [b.station_in for b in worked.bends.bends] == pytest.approx([40.0, 80.0], abs=0.2)
    assert len(worked.hits) == 2
    assert {round(h.station_in) for h in worked.hits} == {40, 80}
    assert worked.hits[-1].worst_tir_after_in < 0.002
    assert worked.slips == ()


def test_verdicts_cover_areas_and_the_shaft_between(worked: SweepAnalysis) -> None:
    assert [v.area.name for v in worked.verdicts[:2]] == ["coupling", "taper"]
    assert worked.verdicts[1].limit_in == 0.003
    assert all(v.word == "not true" for v in worked.verdicts)
    assert any(v.area.kind == "between" for v in worked.verdicts)


def test_a_straight_shaft_wants_no_hits_and_is_true() -> None:
    worked = analyse(swept(TrueShaft(120.0)), areas=AREAS)
    assert worked.hits == ()
    assert worked.bends.bends == ()
    assert {v.word for v in worked.verdicts} == {"true"}


def test_the_order_of_the_stations_does_not_matter(worked: SweepAnalysis) -> None:
    sweep = swept()
    turned = analyse(replace(sweep, stations=sweep.stations[::-1]), areas=AREAS)
    assert turned.station_in == worked.station_in
    assert np.allclose(turned.line.ecc_in, worked.line.ecc_in)


def test_a_lost_turn_is_told_with_its_station() -> None:
    sweep = swept()
    station = sweep.stations[6]
    reading = list(station.reading_in)
    reading[3] += 0.100
    slipped = with_station(sweep, 6, replace(station, reading_in=tuple(reading)))
    ((place, slip),) = analyse(slipped).slips
    assert place == station.station_in
    assert slip.index == 3
    assert slip.kind == "lost turn"


def test_a_sweep_half_read_says_what_it_can() -> None:
    sweep = swept()
    begun = replace(sweep.stations[5], clock_rad=(0.0, 0.8), reading_in=(0.0, 0.001))
    half = replace(sweep, stations=(*sweep.stations[:5], begun))
    worked = analyse(half, strict=False)
    assert len(worked.fits) == 5
    assert "marks" in worked.notes[0]
    with pytest.raises(ShaftlogError, match="marks"):
        analyse(half)


def test_a_creeping_dial_is_told() -> None:
    notes = analyse(swept(closing=True, drift_in=0.004)).notes
    assert any("first mark read again" in note for note in notes)


def test_oval_seats_on_the_rollers_are_told_and_leave_the_bends_alone() -> None:
    oval = replace(BENT, roller_lift_in=(0.003, 0.0), ovality=(Ovality(0, 120, 0.0002, 0.5),))
    worked = analyse(swept(oval))
    assert worked.fit.roller_ovality is not None
    assert [b.station_in for b in worked.bends.bends] == pytest.approx([40.0, 80.0], abs=0.2)


def test_stations_read_the_quick_way_go_along() -> None:
    sweep = swept()
    ecc = BENT.centre_in(STATIONS[9], ROLLERS)[0]
    quick = QuickReading(2 * float(np.hypot(*ecc)), float(np.arctan2(ecc[1], ecc[0])))
    mixed = with_station(sweep, 9, StationReadings(STATIONS[9], quick=quick))
    bends = analyse(mixed).bends.bends
    assert [b.station_in for b in bends] == pytest.approx([40.0, 80.0], abs=0.3)


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"rollers_in": (40.0, 40.0)}, "two supports"),
        ({"rollers_in": (12.0, 130.0)}, "not on the shaft"),
        ({"rollers_in": (12.0, float("nan"))}, "not a number"),
        ({"stations": ()}, "no readings"),
        ({"length_in": 60.0}, "not on the shaft"),
    ],
)
def test_what_cannot_be_is_refused_in_plain_words(change: dict[str, object], words: str) -> None:
    with pytest.raises(ShaftlogError, match=words):
        analyse(replace(swept(), **{"length_in": 120.0, **change}))


def test_one_station_and_doubled_stations_are_refused() -> None:
    sweep = swept()
    with pytest.raises(ShaftlogError, match="at least two"):
        analyse(replace(sweep, stations=sweep.stations[:1]))
    with pytest.raises(ShaftlogError, match="twice"):
        analyse(replace(sweep, stations=(*sweep.stations, sweep.stations[3])))


@pytest.mark.parametrize("count", [2, 3, 4])
def test_few_stations_are_worked_out(count: int) -> None:
    sweep = swept()
    worked = analyse(replace(sweep, stations=sweep.stations[5 : 5 + 3 * count : 3]), areas=AREAS)
    assert len(worked.fits) == count
    assert {v.word for v in worked.verdicts} >= {"not measured"}


def test_all_marks_blocked_is_refused() -> None:
    blocked = StationReadings(STATIONS[4], blocked_rad=tuple(MARKS))
    with pytest.raises(ShaftlogError, match="marks"):
        analyse(with_station(swept(), 4, blocked))


def test_the_same_readings_give_the_same_answer(worked: SweepAnalysis) -> None:
    again = analyse(swept(), areas=AREAS)
    assert again.notes == worked.notes
    assert np.array_equal(again.bends.shapes_in, worked.bends.shapes_in)
