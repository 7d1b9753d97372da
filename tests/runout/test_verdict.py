"""Verdict words: guarded and simple, and areas against the line."""

from __future__ import annotations

import math

import numpy as np
import pytest

from core.analysis.area_verdicts import between_areas, judge_areas
from core.runout.line import ShaftLine
from core.runout.station_fit import StationFit, fit_station
from core.runout.sweep_fit import line_of
from core.runout.verdict import Area, accept_under_in, judge, readings_to_settle
from core.straightening.history import RecordedHit
from tests.bench.verdicts import words

X = np.arange(6.0, 120.0, 6.0)


def line_with(tir_thou: float, sigma_thou: float = 0.1, at: float | None = None) -> ShaftLine:
    ecc = np.zeros((X.size, 2))
    where = np.ones(X.size, bool) if at is None else at == X
    ecc[where, 0] = tir_thou / 2000
    return ShaftLine(X, ecc, np.full(X.size, sigma_thou / 1000), np.array([20.0, 100.0]))


@pytest.mark.parametrize(
    ("interval", "guarded", "simple"),
    [
        ((0.0010, 0.0008, 0.0013), "true", "true"),
        ((0.0019, 0.0017, 0.0021), "too close to call", "true"),
        ((0.0019, 0.0018, 0.0020), "too close to call", "true"),
        ((0.0020, 0.0018, 0.0022), "too close to call", "not true"),
        ((0.0022, 0.0020, 0.0024), "not true", "not true"),
        ((0.0030, 0.0028, 0.0033), "not true", "not true"),
    ],
)
def test_words(interval: tuple[float, float, float], guarded: str, simple: str) -> None:
    assert judge(*interval, limit_in=0.002) == guarded
    assert judge(*interval, limit_in=0.002, rule="simple") == simple


def test_guard_band_limits() -> None:
    assert accept_under_in(0.002, 0.0003) == pytest.approx(0.0017)
    assert accept_under_in(0.0002, 0.0003) == 0.0


def test_how_many_readings_would_settle() -> None:
    assert readings_to_settle(0.0017, 0.0013, 0.0021, 0.002) == 2
    assert readings_to_settle(0.0018, 0.00145, 0.00215, 0.002) == 4
    assert readings_to_settle(0.0020, 0.0018, 0.0022, 0.002) is None
    assert readings_to_settle(0.00195, 0.0015, 0.0025, 0.002) is None


def one(area: Area, line: ShaftLine, **how):  # type: ignore[no-untyped-def]
    return judge_areas([area], line, **how)[0]


BEARING = Area("strut bearing", "bearing", 55.0, 67.0, 0.002)


def test_true_and_not_true() -> None:
    assert one(BEARING, line_with(0.5)).word == "true"
    bad = one(BEARING, line_with(5.0, at=60.0))
    assert (bad.word, bad.station_in) == ("not true", 60.0)
    assert bad.tir_in == pytest.approx(0.005)
    assert bad.settle == ""
    # The same bump outside the area does not matter to it.
    assert one(BEARING, line_with(5.0, at=90.0)).word == "true"


def test_limit_of_the_shop_where_the_area_has_none() -> None:
    area = Area("log", "shaft log", 55.0, 67.0)
    assert one(area, line_with(3.0)).word == "not true"
    assert one(area, line_with(3.0), default_limit_in=0.004).word == "true"
    assert one(area, line_with(3.0), default_limit_in=0.004).limit_in == 0.004


def test_too_close_says_what_settles_it() -> None:
    close = one(BEARING, line_with(1.85, sigma_thou=0.05))
    assert close.word == "too close to call"
    assert "times in all" in close.settle
    assert "straighten until it shows under" in close.settle
    hopeless = one(BEARING, line_with(1.0, sigma_thou=1.5))
    assert hopeless.word == "too close to call"
    assert "cannot prove" in hopeless.settle
    assert one(BEARING, line_with(1.85, sigma_thou=0.05), rule="simple").word == "true"


def test_the_ends_of_an_area_count_too() -> None:
    # Station 54 is outside the area, but the line at its end (57) is half way up to it.
    area = Area("bearing", "bearing", 57.0, 67.0, 0.002)
    found = one(area, line_with(6.0, at=54.0))
    assert (found.word, found.station_in) == ("not true", 57.0)
    assert found.tir_in == pytest.approx(0.003)


def test_where_nothing_was_read() -> None:
    assert one(Area("a", "bearing", 61.0, 65.0), line_with(0.1)).word == "not measured"
    assert "Read one at 63.0 in" in one(Area("a", "bearing", 61.0, 65.0), line_with(0.1)).settle
    beyond = Area("taper", "taper", 112.0, 130.0)
    assert one(beyond, line_with(0.1)).word == "not measured"
    assert "up to its end" in one(beyond, line_with(0.1)).settle
    assert one(beyond, line_with(9.0, at=114.0)).word == "not true"


def test_an_odd_reading_keeps_true_back() -> None:
    found = one(BEARING, line_with(0.5), odd=[(60.0, math.radians(135))])
    assert found.word == "too close to call"
    assert "135 deg" in found.settle
    assert "60.0 in" in found.settle
    assert one(BEARING, line_with(0.5), odd=[(90.0, 0.0)]).word == "true"
    assert one(BEARING, line_with(9.0), odd=[(60.0, 0.0)]).word == "not true"


EIGHT, SIXTEEN = (tuple(np.radians(np.arange(0, 360, step)).tolist()) for step in (45, 22.5))


def read_at(
    marks: tuple[float, ...], oval_thou: float, bend_tir_thou: float = 0.4
) -> tuple[ShaftLine, tuple[StationFit, ...]]:
    """The line and fits of stations that are oval at 60 in."""
    clock = np.array(marks)
    fits = []
    for x in X.tolist():
        reading = bend_tir_thou / 2000 * np.cos(clock - 1) if 50 < x < 70 else 0 * clock
        if x == 60:
            reading = reading + oval_thou / 1000 * np.cos(2 * clock)
        fits.append(fit_station(clock, reading, resolution_in=0.0005, repeatability_in=0.0002))
    return line_of(tuple(X.tolist()), tuple(fits), (20.0, 100.0)), tuple(fits)


@pytest.mark.slow
def test_straight_but_out_of_round_is_not_true_and_says_so() -> None:
    line, fits = read_at(SIXTEEN, 1.5)
    found = one(BEARING, line, fits=fits)
    assert found.word == "not true"
    assert found.station_in == 60.0
    assert found.tir_in == fits[X.tolist().index(60.0)].tir_in
    assert found.bend_tir_in < 0.001 < 0.0025 < found.tir_in
    assert found.note == (
        "Straight, but out of round by 2.9 thou at 60.0 in: pressing will not cure it."
    )
    # Without roundness errors, and where it is bent as well, there is nothing of the kind to say.
    line, fits = read_at(SIXTEEN, 0.1)
    assert (one(BEARING, line, fits=fits).word, one(BEARING, line, fits=fits).note) == ("true", "")
    line, fits = read_at(SIXTEEN, 1.5, bend_tir_thou=4.0)
    assert (one(BEARING, line, fits=fits).word, one(BEARING, line, fits=fits).note) == (
        "not true",
        "",
    )


def test_sixteen_marks_are_asked_for_where_they_would_settle_it() -> None:
    line, fits = read_at(EIGHT, 0.78)
    found = one(BEARING, line, fits=fits)
    assert found.word == "too close to call"
    assert "Read station 60.0 in at 16 marks" in found.settle
    line, fits = read_at(SIXTEEN, 0.78)
    assert one(BEARING, line, fits=fits).word == "true"


def test_marks_that_would_not_settle_it_are_not_asked_for() -> None:
    """So near the limit that many marks would leave it too close."""
    for marks in (EIGHT, SIXTEEN):
        line, fits = read_at(marks, 0.83)
        found = one(BEARING, line, fits=fits)
        assert found.word == "too close to call"
        assert "16 marks" not in found.settle
    line, fits = read_at(EIGHT, 0.95)
    found = one(BEARING, line, fits=fits)
    assert found.word == "too close to call", "a worn seat is not averaged away"
    assert "Pressing will not cure that" in found.settle


def test_simple_acceptance_goes_by_the_estimates_of_both_figures() -> None:
    line, fits = read_at(EIGHT, 0.83)
    assert one(BEARING, line, fits=fits, rule="simple").word == "true"
    line, fits = read_at(EIGHT, 1.5)
    assert one(BEARING, line, fits=fits, rule="simple").word == "not true"


def test_a_station_a_hair_outside_an_area_counts_as_in_it() -> None:
    beside = line_with(5.0, at=60.0)
    assert one(Area("a", "bearing", 60.2, 65.0), beside).station_in == 60.0
    assert one(Area("a", "bearing", 55.0, 59.8), beside).station_in == 60.0
    assert one(Area("a", "bearing", 60.3, 65.0), beside).word == "not measured"


def test_areas_between() -> None:
    areas = (BEARING, Area("taper", "taper", 108.0, 120.0), Area("log", "shaft log", 66.0, 80.0))
    gaps = between_areas(areas, 0.0, 120.0)
    assert [(g.from_in, g.to_in) for g in gaps] == [(0.0, 55.0), (80.0, 108.0)]
    assert {g.kind for g in gaps} == {"between"}
    nearly = [Area("a", "bearing", 0.4, 50.0), Area("b", "bearing", 50.6, 120.0)]
    assert [(g.from_in, g.to_in) for g in between_areas(nearly, 0.0, 120.0)] == [(50.0, 50.6)]
    assert between_areas([Area("all", "bearing", 0.0, 120.0)], 0.0, 120.0) == ()
    assert len(between_areas([], 0.0, 120.0)) == 1
    # Areas beyond what was read make no lengths that run backwards.
    far = [Area("log", "shaft log", 26.0, 34.0), Area("bearing", "bearing", 60.0, 66.0)]
    assert [(g.from_in, g.to_in) for g in between_areas(far, 2.0, 12.0)] == [(2.0, 12.0)]


def test_seen_from_other_supports() -> None:
    x = X
    e = 0.001 * (np.maximum(0, x - 60) - 40 * (x - 20) / 80)
    line = ShaftLine(x, np.stack([e, 0 * e], 1), np.full(x.size, 1e-5), np.array([20.0, 100.0]))
    assert one(BEARING, line).word == "not true"
    assert one(Area("a", "bearing", 64.0, 80.0), line.referred_to(66.0, 78.0)).word == "true"


@pytest.mark.slow
@pytest.mark.parametrize("factor", [1.0, 1.1])
def test_wrong_true_is_rare_at_the_limit(factor: float) -> None:
    count = words(factor, 40, 4, roll=(315, 45))
    assert count["true"] <= 3
    assert count.total() == 40


@pytest.mark.slow
def test_clearly_under_the_limit_is_true() -> None:
    assert words(0.4, 25, 4, roll=(315, 45))["true"] >= 22


def hit_at(station_in: float, asked_rad: float) -> RecordedHit:
    return RecordedHit(station_in, 0.0, asked_rad)


def test_what_a_large_hit_may_have_left_keeps_true_back_and_names_the_station() -> None:
    line = line_with(0.8)
    assert one(BEARING, line).word == "true"
    found = one(BEARING, line, turned=[hit_at(63.0, 0.008)])
    assert found.word == "too close to call"
    assert "between the stations: read one at 63.0 in" in found.settle
    assert one(BEARING, line, turned=[hit_at(63.0, 0.0005)]).word == "true"
    assert one(BEARING, line, turned=[hit_at(20.0, 0.008)]).word == "true"


def test_the_station_it_asks_for_settles_it() -> None:
    places = np.sort(np.append(X, 63.0))
    line = line_with(0.8)
    ecc = np.tile(line.ecc_in[:1], (places.size, 1))
    closer = ShaftLine(places, ecc, np.full(places.size, 0.0001), line.rollers_in)
    assert one(BEARING, closer, turned=[hit_at(63.0, 0.006)]).word == "true"
