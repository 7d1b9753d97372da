"""The names that programs outside may import, and what they give; renaming one breaks somebody."""

from __future__ import annotations

import inspect
from dataclasses import fields
from importlib import import_module

import numpy as np
import pytest

from core.analysis.sweep import analyse
from core.bends.find import Bend, find_bends
from core.runout.line import ShaftLine
from core.runout.station_fit import fit_station
from core.straightening.history import RecordedHit, Round, StationsRead, follow
from core.straightening.plan import after_quick_check, plan_round
from core.straightening.press import stroke_for_set
from core.straightening.response import Response

NAMES = {
    "core.runout.readings": "StationReadings SweepReadings",
    "core.runout.sweep_fit": "fit_sweep",
    "core.runout.verdict": "Area",
    "core.analysis.next_station": "next_station",
    "core.straightening.history": "RecordedHit StationsRead Round follow RepairHistory",
}


@pytest.mark.parametrize("module", NAMES)
def test_names_are_importable(module: str) -> None:
    loaded = import_module(module)
    assert not [name for name in NAMES[module].split() if not hasattr(loaded, name)]


def test_a_station_gives_the_swing_and_the_part_of_the_bend() -> None:
    clock = np.radians(np.arange(0, 360, 45))
    fit = fit_station(clock, 0.005 * np.cos(clock), resolution_in=0.0005)
    for name in ("tir_in", "bend_tir_in"):
        low, value, high = (
            getattr(fit, name.replace("_in", part + "_in")) for part in ("_low", "", "_high")
        )
        assert low <= value <= high
        assert value == pytest.approx(0.010, abs=0.001)
    assert fit.ecc_in.shape == (2,)
    assert fit.ecc_sigma_in > 0
    assert fit.shown_tir_in == pytest.approx(0.010)
    assert fit.slips == ()


def bent() -> ShaftLine:
    x = np.arange(0.0, 97.0, 6.0)
    ecc = np.zeros((len(x), 2))
    ecc[:, 0] = np.interp(x, [12, 45, 84], [0.0, 0.080, 0.0])
    ecc[:, 0] += np.where(x < 12, (x - 12) * 0.080 / 33, 0) - np.where(
        x > 84, (x - 84) * 0.080 / 39, 0
    )
    return ShaftLine(x, ecc, np.full(len(x), 0.0002), (12.0, 84.0))


def test_from_a_line_to_the_line_after_a_round() -> None:
    line = bent()
    assert line.bend_tir_in.max() > 0.1
    assert line.referred_to(0.0, 96.0).station_in.shape == line.station_in.shape
    (bend,) = find_bends(line).bends
    assert isinstance(bend, Bend)
    assert bend.station_in == pytest.approx(45, abs=0.2)
    assert {"station_u95_in", "kappa_rad", "resolved"} <= {f.name for f in fields(Bend)}
    hits = plan_round(line, limit_in=0.002, response=None, hits_so_far=())
    for name in ("station_in", "kappa_rad", "ask_for_rad", "check_stations_in", "watch_station_in"):
        assert hasattr(hits[0], name), name
    read = np.array(hits[0].check_stations_in)
    after = after_quick_check(line, hits, read, np.zeros((len(read), 2)), np.full(len(read), 2e-4))
    assert isinstance(after, ShaftLine)
    assert after.bend_tir_in.max() < 0.1 * line.bend_tir_in.max()


def test_the_history_of_a_repair() -> None:
    line = bent()
    hit = RecordedHit(45.0, 0.0, 0.004, method="press", watched=None)
    check = StationsRead(np.array([42.0]), np.array([[0.0077, 0.0]]), np.array([0.0002]))
    history = follow(line, [Round((hit,), check=check, sweep=None)], {"press": Response()})
    assert isinstance(history.line, ShaftLine)
    assert history.swept is False
    assert len(history.hits) == 1
    assert "hits_so_far" in inspect.signature(analyse).parameters


def test_a_stroke() -> None:
    stroke = stroke_for_set(2.0, 24.0, 28e6, 60e3, 0.002)
    for name in ("load_lbf", "travel_in", "stays_in", "moment_ratio"):
        assert getattr(stroke, name) > 0
