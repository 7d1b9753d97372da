"""A whole sweep: shared noise, stations rolled the other way, a dial that moved, oval seats."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from core.base.errors import BadReadings, BadShaft
from core.demo.simulate import Ovality, TrueBend, TrueBow, TrueShaft, read_sweep
from core.runout.misreadings import dial_moved, turned_clocks_deg
from core.runout.noise import sweep_noise
from core.runout.readings import QuickReading, StationReadings, SweepReadings
from core.runout.sweep_fit import fit_sweep

ROLLERS = (20.0, 100.0)
STATIONS = list(range(3, 120, 6))
EIGHT = np.radians(np.arange(0, 360, 45))
BENT = TrueShaft(120.0, bends=(TrueBend(40, (0.004, 0.002)), TrueBend(80, (0.001, -0.005))))


def swept(shaft: TrueShaft = BENT, seed: int = 3, **how) -> SweepReadings:  # type: ignore[no-untyped-def]
    return read_sweep(shaft, ROLLERS, STATIONS, EIGHT, rng=np.random.default_rng(seed), **how)


def the_other_way(station: StationReadings) -> StationReadings:
    clocks = tuple((-c) % (2 * math.pi) for c in station.clock_rad)
    return replace(station, clock_rad=clocks)


def with_station(sweep: SweepReadings, i: int, station: StationReadings) -> SweepReadings:
    stations = list(sweep.stations)
    stations[i] = station
    return replace(sweep, stations=tuple(stations))


def test_line_agrees_with_the_true_shaft() -> None:
    fit = fit_sweep(swept())
    away = (fit.line.ecc_in - BENT.centre_in(STATIONS, ROLLERS)) / fit.line.sigma_in[:, None]
    assert np.abs(away).max() < 4.5
    assert 0.5 < away.std() < 1.5
    assert fit.other_way == ()
    assert fit.moved == ()
    assert fit.roller_ovality is not None
    assert fit.roller_ovality.words == ()
    assert not fit.roller_ovality.even


def test_same_answer_as_station_by_station() -> None:
    from core.runout.station_fit import fit_station

    sweep = swept()
    together = fit_sweep(sweep)
    for station, fit, priors in zip(sweep.stations, together.fits, together.priors, strict=True):
        alone = fit_station(
            station.clock_rad,
            station.reading_in,
            resolution_in=sweep.resolution_in,
            repeatability_in=together.repeatability_in,
            priors=priors,
        )
        assert alone.ecc_in == pytest.approx(fit.ecc_in, abs=1e-12)
        assert alone.tir_high_in == pytest.approx(fit.tir_high_in, abs=1e-12)
        assert alone.residual_in == pytest.approx(fit.residual_in, abs=1e-12)


@pytest.mark.parametrize("repeat_in", [0.0001, 0.0003, 0.0008])
def test_noise_is_pooled_and_slips_do_not_spoil_it(repeat_in: float) -> None:
    sweep = swept(repeatability_in=repeat_in, resolution_in=0.0001)
    pairs = [(s.clock_rad, s.reading_in) for s in sweep.stations]
    found = sweep_noise(pairs, resolution_in=0.0001).repeatability_in
    assert found == pytest.approx(repeat_in, rel=0.35)
    for i in (2, 9, 15):
        wrong = list(pairs[i][1])
        wrong[3] += 0.1
        pairs[i] = (pairs[i][0], tuple(wrong))
    spoilt = sweep_noise(pairs, resolution_in=0.0001).repeatability_in
    assert spoilt == pytest.approx(found, rel=0.25)


def test_without_readings_the_usual_noise() -> None:
    usual = sweep_noise([], resolution_in=0.0005).repeatability_in
    assert usual == pytest.approx(0.0002, rel=0.05)


@pytest.mark.parametrize("i", [0, 6, 9, 18])
def test_station_rolled_the_other_way_is_told(i: int) -> None:
    sweep = swept()
    assert abs(BENT.centre_in([STATIONS[i]], ROLLERS)[0, 1]) > 0.004
    found = fit_sweep(with_station(sweep, i, the_other_way(sweep.stations[i]))).other_way
    assert [f.station_in for f in found] == [STATIONS[i]]
    wrong = np.degrees(the_other_way(sweep.stations[i]).clock_rad).tolist()
    mended = turned_clocks_deg(found[0].first_mark_rad, 1, wrong)
    assert np.radians(mended) == pytest.approx(sweep.stations[i].clock_rad)


def test_rolled_the_other_way_from_another_first_mark() -> None:
    marks = np.radians(np.arange(40, 400, 45))
    sweep = read_sweep(BENT, ROLLERS, STATIONS, marks, rng=np.random.default_rng(3))
    station = sweep.stations[9]
    first = station.clock_rad[0]
    wrong = replace(
        station, clock_rad=tuple((2 * first - c) % (2 * math.pi) for c in station.clock_rad)
    )
    found = fit_sweep(with_station(sweep, 9, wrong)).other_way
    assert [f.station_in for f in found] == [STATIONS[9]]
    assert found[0].first_mark_rad == pytest.approx(first)
    mended = turned_clocks_deg(found[0].first_mark_rad, 1, np.degrees(wrong.clock_rad).tolist())
    assert np.radians(mended) == pytest.approx(np.array(station.clock_rad) % (2 * math.pi))
    assert found[0].mirrored_miss_in < found[0].miss_in / 3


def test_clocks_of_a_station_turned_round_are_given_as_the_marks_are_written() -> None:
    marks = [30.0, 120.0, 210.0, 300.0]
    assert turned_clocks_deg(math.radians(30), 1, marks) == (30.0, 300.0, 210.0, 120.0)
    # written against the shaft's clock: its 330 deg is the mark written 30
    assert turned_clocks_deg(math.radians(330), -1, marks) == (30.0, 300.0, 210.0, 120.0)
    # odd writing comes back as written; the order of reading and marks left out do not matter
    assert turned_clocks_deg(0.0, 1, [90.0, 360.0, -90.0]) == (-90.0, 360.0, 90.0)
    assert turned_clocks_deg(math.radians(120), 1, [40.0 / 3, 680.0 / 3]) == (680.0 / 3, 40.0 / 3)


def test_uneven_marks_cannot_be_turned_round() -> None:
    with pytest.raises(BadReadings, match="evenly about the first"):
        turned_clocks_deg(0.0, 1, [0.0, 90.0, 180.0])


def test_stations_right_on_the_rollers_do_not_upset_the_rest() -> None:
    stations = sorted([*STATIONS, 20, 100])
    sweep = read_sweep(BENT, ROLLERS, stations, EIGHT, rng=np.random.default_rng(4))
    fit = fit_sweep(sweep)
    assert fit.other_way == ()
    i = stations.index(57)
    assert [
        f.station_in
        for f in fit_sweep(with_station(sweep, i, the_other_way(sweep.stations[i]))).other_way
    ] == [57]


def test_two_stations_rolled_the_other_way() -> None:
    sweep = swept()
    for i in (6, 14):
        sweep = with_station(sweep, i, the_other_way(sweep.stations[i]))
    assert [f.station_in for f in fit_sweep(sweep).other_way] == [STATIONS[6], STATIONS[14]]


@pytest.mark.slow
def test_bent_and_bowed_shafts_raise_no_such_alarm() -> None:
    rng = np.random.default_rng(8)
    for seed in range(25):
        kappa = rng.normal(0, 0.005, (3, 2))
        shaft = TrueShaft(
            120.0,
            bends=tuple(
                TrueBend(float(s), (float(k[0]), float(k[1])))
                for s, k in zip(rng.uniform(10, 110, 3), kappa, strict=True)
            ),
            bows=(TrueBow(30, 90, (0.004, -0.003)),),
        )
        assert fit_sweep(swept(shaft, seed)).other_way == ()


def test_creep_and_jump_of_the_dial() -> None:
    clock = tuple(float(c) for c in EIGHT)
    true = 0.01 * np.cos(EIGHT - 1)
    known = {"resolution_in": 0.0005, "repeatability_in": 0.0002}
    crept = dial_moved(
        clock, tuple(true + 0.004 * np.arange(8) / 8), float(true[0] + 0.004), **known
    )
    assert crept is not None
    assert (crept.kind, crept.before_index) == ("crept", None)
    assert crept.mended_in == pytest.approx(tuple(true), abs=1e-6)
    jumped = dial_moved(
        clock, tuple(true + 0.004 * (np.arange(8) >= 5)), float(true[0] + 0.004), **known
    )
    assert jumped is not None
    assert (jumped.kind, jumped.before_index) == ("jumped", 5)
    assert jumped.mended_in == pytest.approx(tuple(true), abs=1e-6)
    assert dial_moved(clock, tuple(true), float(true[0] + 0.0005), **known) is None
    assert dial_moved(clock, tuple(true), None, **known) is None


def test_drift_is_told_station_by_station() -> None:
    fit = fit_sweep(swept(closing=True, drift_in=0.005))
    assert len(fit.moved) == len(STATIONS)
    assert all(f.drift_in is not None and f.drift_in > 0.003 for f in fit.fits)
    assert fit_sweep(swept(closing=True)).moved == ()


def test_oval_seat_on_a_roller_is_recognised() -> None:
    shaft = replace(BENT, roller_lift_in=(0.002, 0.0), roller_lift_clock_rad=(0.5, 0.0))
    seats = fit_sweep(swept(shaft)).roller_ovality
    assert seats is not None
    assert seats.found == (True, False)
    assert not seats.even
    assert seats.lift_in[0] == pytest.approx(0.002, abs=0.0004)
    assert len(seats.words) == 1
    assert "20 in" in seats.words[0]
    assert np.abs(seats.own_in).max() < 0.001


def test_a_shaft_oval_all_along_is_not_blamed_on_one_roller() -> None:
    shaft = replace(BENT, ovality=(Ovality(0.0, 120.0, 0.001, 0.3),))
    seats = fit_sweep(swept(shaft)).roller_ovality
    assert seats is not None
    assert seats.even
    assert len(seats.words) == 1
    assert "whole shaft" in " ".join(seats.words)


def test_quick_stations_join_the_line() -> None:
    sweep = swept()
    e = BENT.centre_in([STATIONS[5]], ROLLERS)[0]
    quick = QuickReading(2 * math.hypot(*e), math.atan2(e[1], e[0]))
    fit = fit_sweep(with_station(sweep, 5, StationReadings(float(STATIONS[5]), quick=quick)))
    assert fit.line.ecc_in[5] == pytest.approx(e)
    assert fit.line.sigma_in[5] > 3 * fit.line.sigma_in[6]
    assert fit.other_way == ()


def test_half_read_sweep_tells_what_is_missing() -> None:
    sweep = with_station(swept(), 4, StationReadings(27.0, (0.0, 1.0), (0.0, 0.001)))
    with pytest.raises(BadReadings, match=r"Station 27\.000 in: .*5 different marks"):
        fit_sweep(sweep)
    fit = fit_sweep(sweep, strict=False)
    assert len(fit.fits) == len(STATIONS) - 1
    assert [place for place, _ in fit.troubles] == [27.0]


@pytest.mark.parametrize(
    ("change", "error", "says"),
    [
        ({"stations": ()}, BadReadings, "no readings"),
        ({"rollers_in": (30.0, 30.0)}, BadShaft, "two different stations"),
        (
            {"rollers_in": (20.0, 130.0), "length_in": 120.0},
            BadShaft,
            "Roller 130.000 in is not on",
        ),
        ({"length_in": 100.0}, BadShaft, "Station 105.000 in is not on"),
        ({"rollers_in": (math.nan, 30.0)}, BadShaft, "not a number"),
        ({"resolution_in": -1.0}, BadReadings, "Resolution"),
    ],
)
def test_impossible_sweeps(change: dict, error: type[Exception], says: str) -> None:  # type: ignore[type-arg]
    with pytest.raises(error, match=says):
        fit_sweep(replace(swept(), **change))


def test_one_station_is_no_line() -> None:
    sweep = swept()
    with pytest.raises(BadReadings, match="at least two stations"):
        fit_sweep(replace(sweep, stations=sweep.stations[:1]))
    with pytest.raises(BadShaft, match="twice"):
        fit_sweep(replace(sweep, stations=(*sweep.stations, sweep.stations[0])))


def test_a_repeatability_that_the_readings_contradict_is_not_believed() -> None:
    """Told 0.2 thou, truly 0.6: the sweep's own scatter counts, and the intervals are right."""
    inside = total = 0
    for seed in range(6):
        sweep = swept(seed=seed, repeatability_in=0.0006, resolution_in=0.0005)
        told = fit_sweep(replace(sweep, repeatability_in=0.0002))
        assert told.noise_understated
        assert told.repeatability_in == pytest.approx(fit_sweep(sweep).repeatability_in, rel=0.5)
        true = 2 * np.hypot(*BENT.centre_in(STATIONS, ROLLERS).T)
        for fit, tir in zip(told.fits, true, strict=True):
            if tir > 0:
                inside += fit.tir_low_in <= tir <= fit.tir_high_in
                total += 1
    assert inside / total > 0.9


def test_a_repeatability_told_right_is_used() -> None:
    for seed in range(6):
        sweep = swept(seed=seed, repeatability_in=0.0003, resolution_in=0.0005)
        fit = fit_sweep(replace(sweep, repeatability_in=0.0003))
        assert fit.noise_understated or fit.repeatability_in == 0.0003
    assert not fit.noise_understated


@pytest.mark.parametrize("size", [0.0, -0.0004, math.nan, math.inf])
@pytest.mark.parametrize("what", ["ovality", "lobes"])
def test_an_impossible_usual_roundness_is_refused_in_words(what: str, size: float) -> None:
    with pytest.raises(BadReadings, match=f"Usual {what} of the sections"):
        fit_sweep(replace(swept(), **{f"{what}_prior_in": size}))
