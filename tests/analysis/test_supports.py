"""A sweep seen from its rollers and from other supports."""

from __future__ import annotations

import csv
import io
import math

import pytest

from core.analysis.supports import CSV_COLUMNS, figures_csv, see
from core.analysis.sweep import SweepAnalysis, analyse
from core.base.errors import BadShaft
from core.runout.readings import StationReadings, SweepReadings
from core.runout.verdict import Area

CLOCKS = tuple(math.radians(45 * n) for n in range(8))
AREAS = (Area("bearing", "bearing", 80.0, 90.0, 0.002), Area("coupling", "coupling", 5.0, 12.0))


def worked(bend_in: float = 60.0, tir_in: float = 0.012) -> SweepAnalysis:
    """One sharp bend towards clock 90, read without noise from rollers at 24 and 96."""

    def ecc(x: float) -> float:
        return tir_in / 2 * (1 - abs(x - bend_in) / 36)

    stations = tuple(
        StationReadings(x, CLOCKS, tuple(ecc(x) * math.sin(t) for t in CLOCKS))
        for x in (float(n) for n in range(6, 120, 6))
    )
    sweep = SweepReadings(stations, (24.0, 96.0), repeatability_in=0.0001, length_in=120.0)
    return analyse(sweep, areas=AREAS)


def test_from_the_rollers_it_is_the_sweep_as_measured() -> None:
    one = worked()
    seen = see(one, areas=AREAS)
    assert seen.on_rollers
    assert seen.verdicts == one.verdicts
    middle = next(s for s in seen.stations if s.station_in == 60.0)
    assert middle.tir_in == pytest.approx(0.012, rel=0.02)
    assert math.degrees(middle.high_spot_rad) == pytest.approx(90, abs=1)
    at = one.station_in.index(60.0)
    assert middle.runout == one.fits[at].runout, "a station has one interval"
    assert middle.word == "not true"


def test_other_supports_take_the_chord_off() -> None:
    seen = see(worked(), areas=AREAS, supports_in=(12.0, 60.0))
    assert not seen.on_rollers
    by_station = {s.station_in: s for s in seen.stations}
    assert by_station[12.0].tir_in == pytest.approx(0.0, abs=1e-5)
    assert by_station[60.0].tir_in == pytest.approx(0.0, abs=1e-5)
    # Beyond the bend the shaft leaves the chord of its first leg at the bend's whole angle.
    angle = 0.012 / 2 / 36 * 2
    assert by_station[96.0].tir_in == pytest.approx(2 * angle * 36, rel=0.03)
    assert by_station[36.0].tir_in == pytest.approx(0.0, abs=1e-4)
    assert {v.area.name for v in seen.verdicts} >= {"bearing", "coupling"}
    words = {v.area.name: v.word for v in seen.verdicts}
    assert words["bearing"] == "not true"


def test_the_broken_line_follows_the_stations() -> None:
    seen = see(worked(), areas=AREAS)
    x, toward_0, toward_90 = min(seen.broken_line, key=lambda p: abs(p[0] - 60.0))
    assert toward_90 == pytest.approx(0.006, rel=0.05)
    assert toward_0 == pytest.approx(0.0, abs=2e-4)
    assert abs(x - 60.0) < 1.0


def test_supports_that_cannot_be_are_refused() -> None:
    with pytest.raises(BadShaft):
        see(worked(), supports_in=(30.0, 30.0))
    with pytest.raises(BadShaft):
        see(worked(), supports_in=(-50.0, 60.0))


def test_the_figures_as_csv() -> None:
    seen = see(worked(), areas=AREAS)
    rows = list(csv.DictReader(io.StringIO(figures_csv(seen))))
    assert tuple(rows[0]) == CSV_COLUMNS
    assert len(rows) == len(seen.stations)
    middle = next(r for r in rows if r["station_in"] == "60")
    assert float(middle["tir_thou"]) == pytest.approx(12.0, rel=0.02)
    assert middle["verdict"] == "not true"
