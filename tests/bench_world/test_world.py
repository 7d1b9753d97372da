"""The second world against figures worked out by hand; it shares nothing with the program."""

from __future__ import annotations

import ast
import math
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from tests.bench.world import first_sweep, kinds, loop, run
from tests.bench.world.kinds import KINDS, make
from tests.bench.world.press import Press
from tests.bench.world.rig import Rig, Setup, Warm, pair
from tests.bench.world.shaft import Roundness, Shaft, Zone, wave

HOME = Path(run.__file__).parent
ROLLERS = (12.0, 84.0)
CLOCK = np.arange(0, 360, 5) * np.pi / 180
STILL = np.zeros(CLOCK.size)


def rig(shaft: Shaft, **setup: object) -> Rig:
    return Rig(shaft, Setup(ROLLERS, ROLLERS, (48.0,), **setup), np.random.default_rng(1))  # type: ignore[arg-type]


def first_harmonic(shown: np.ndarray) -> tuple[float, float]:
    return float(shown @ np.cos(CLOCK) / 36), float(shown @ np.sin(CLOCK) / 36)


@pytest.mark.parametrize("name", ["shaft", "rig", "press", "kinds"])
def test_the_world_itself_knows_nothing_of_the_program(name: str) -> None:
    tree = ast.parse((HOME / f"{name}.py").read_text())
    roots = {
        getattr(node, "module", None) or node.names[0].name
        for node in ast.walk(tree)
        if isinstance(node, ast.Import | ast.ImportFrom)
    }
    assert not {r for r in roots if r.split(".")[0] in ("core", "tui")}
    assert {r for r in roots if r.startswith("tests")} <= {
        f"tests.bench.world.{own}" for own in ("shaft", "rig", "press")
    }


def test_a_kink_between_the_rollers() -> None:
    """e = k (s - a) (b - s) / (b - a) under the kink, in proportion to the rollers beside it."""
    shaft = Shaft(96.0, (Zone(36.0, (0.003, 0.004)),))
    at_kink = 2 * 0.005 * 24 * 48 / 72
    assert shaft.bend_tir_in([36.0, 24.0, 12.0, 0.0], ROLLERS) == pytest.approx(
        [at_kink, at_kink / 2, 0, at_kink / 2]
    )
    assert shaft.centre_in(36.0, ROLLERS)[0] == pytest.approx([-0.0480, -0.0640])


@pytest.mark.parametrize(("peaked", "share"), [(False, 8), (True, 12)])
def test_a_spread_bend_lies_under_the_kink_by_a_known_share(peaked: bool, share: int) -> None:
    """In the middle of a zone w the line is k w / 8 (even) or k w / 12 (peaked) off the corner."""
    kink, spread = (
        Shaft(96.0, (Zone(48.0, (0.01, 0.0), w, peaked),)).centre_in([40.0, 48.0, 56.0], ROLLERS)
        for w in (0.0, 8.0)
    )
    assert (spread - kink)[:, 0] == pytest.approx([0, 0.01 * 8 / share, 0], abs=1e-12)


def test_a_bow_over_the_whole_span_rises_an_eighth_of_turn_times_span() -> None:
    shaft = Shaft(96.0, (Zone(48.0, (0.004, 0.0), 72.0, peaked=False),))
    assert shaft.bend_tir_in(48.0, ROLLERS) == pytest.approx([2 * 0.004 * 72 / 8])


def test_the_swing_counts_the_lobes() -> None:
    lobed = Roundness(np.array([0.0]), np.array([[0.001, 0.0]]), np.array([[0.0, 0.0]]))
    assert Shaft(96.0, (), lobed).swing_in(30.0, ROLLERS) == pytest.approx([0.002], rel=1e-3)
    bent = Shaft(96.0, (Zone(48.0, (-0.001, 0.0)),), lobed)  # e = 18 thou toward 0
    assert bent.swing_in(48.0, ROLLERS) == pytest.approx([0.036])  # (e + A) - (-e + A)


def test_an_eccentric_wheel_of_the_shafts_diameter_looks_like_a_bend() -> None:
    """One of two wheels 35 degrees off straight down moves the axis by w / (2 cos 35) upwards."""
    wheels = (pair(0.0005, 0.0, 1.0), pair())
    shown = rig(Shaft(96.0), wheels=wheels).dial_in(48.0, CLOCK, STILL)
    lift = 0.0005 / (2 * math.cos(math.radians(35)))
    assert first_harmonic(shown) == pytest.approx((lift / 2, 0.0), abs=1e-9)  # half way along
    turned = rig(Shaft(96.0), wheels=wheels)
    turned.turn_wheel(0, 0)
    assert first_harmonic(turned.dial_in(12.0, CLOCK, STILL)) == pytest.approx((-lift, 0), abs=1e-9)


def test_an_oval_seat_lifts_the_axis_twice_a_turn() -> None:
    """Wheels at +-35 degrees from down: lobes under them give cos(2 x 35) / cos 35 of amplitude."""
    seats = ((0.001, 0.0), (0.001, 0.0))
    shown = rig(Shaft(96.0), seats_in=seats).dial_in(48.0, CLOCK, STILL)
    factor = math.cos(math.radians(70)) / math.cos(math.radians(35))
    assert np.ptp(shown) / 2 == pytest.approx(0.001 * factor, rel=1e-6)


def test_a_warm_bar_cools() -> None:
    warm = Warm(0.004, 20.0, 0.0)
    bench = rig(Shaft(96.0), warm=warm)
    hot, later = (
        first_harmonic(bench.dial_in(48.0, CLOCK, STILL + minutes))[0] for minutes in (0.0, 20.0)
    )
    assert hot == pytest.approx(0.004 * (1 - 4 * 12 * 84 / 96**2))  # less the rise at the rollers
    assert later / hot == pytest.approx(math.exp(-1))


def test_the_dial_rounds_and_time_passes() -> None:
    bench = rig(Shaft(96.0, (Zone(48.0, (-0.001, 0.0)),)), repeatability_in=0.0)
    station = bench.read([48.0])[0]
    steps = np.array(station.reading_in) / 0.0005
    assert steps == pytest.approx(np.round(steps))
    assert np.ptp(station.reading_in) == pytest.approx(0.036, abs=0.0006)
    assert (bench.minutes, bench.read_stations) == (1.5, 1)


def test_a_hit_leaves_what_the_press_and_the_place_let_it() -> None:
    exact = Press(0.0, 0.0, 0.0, (6.0, 6.0))
    rng = np.random.default_rng(1)
    shaft = exact.hit(Shaft(96.0), 40.0, (0.003, 0.0), [], rng)
    assert shaft.zones[0] == Zone(40.0, (0.003, 0.0), 6.0)
    again = exact.hit(shaft, 41.0, (0.003, 0.0), [40.0, 70.0], rng)
    assert again.zones[1].turn_rad[0] == pytest.approx(0.003 * 0.92)


def test_a_turn_of_the_dial_lost_now_and_then() -> None:
    readings = rig(Shaft(96.0), slip_rate=0.3, repeatability_in=0.0).read([40.0] * 40)
    spread = np.array([np.ptp(s.reading_in) for s in readings])
    assert (spread > 0.045).any()
    assert (spread < 1e-9).any()


@pytest.mark.parametrize("kind", list(KINDS))
def test_every_kind_is_drawn_the_same_again(kind: str) -> None:
    one, two = make(kind, 5, 1), make(kind, 5, 1)
    x = np.array([10.0, 40.0])
    assert one.shaft.swing_in(x, ROLLERS).tolist() == two.shaft.swing_in(x, ROLLERS).tolist()
    assert one.rig().read([9.0]) == two.rig().read([9.0])
    a, b = one.setup.rollers_in
    assert 0 < a < b < one.shaft.length_in


def test_roundness_has_the_spread_asked_for() -> None:
    rng = np.random.default_rng(3)
    drawn = [kinds.roundness(rng, 96.0, 0.0004, 0.0001).at(np.array([33.0])) for _ in range(800)]
    assert np.std([oval for oval, _ in drawn]) == pytest.approx(0.0004, rel=0.15)
    assert np.std([lobes for _, lobes in drawn]) == pytest.approx(0.0001, rel=0.15)


def test_waves_rise_towards_their_clock() -> None:
    assert wave(np.array([[0.0, 1.0]]), np.array([0.0, np.pi / 2]), 1)[0] == pytest.approx([0, 1])


def test_a_straight_shaft_is_read_once_and_called_true() -> None:
    world = make("kinks", 11, 0)
    outcome = loop.straighten(replace(world, shaft=Shaft(world.shaft.length_in), bends=()))
    assert (outcome.ending, outcome.hits, outcome.reads) == (
        "finished", 0, len(world.setup.stations_in),
    )  # fmt: skip
    assert {a.word for a in outcome.areas} == {"true"}
    assert outcome.worst_in == 0


def test_a_bent_shaft_is_worked_to_its_end() -> None:
    outcome = loop.straighten(make("kinks", 11, 1))
    figures = run.summed([outcome])
    assert outcome.ending == "finished"
    assert outcome.hits > 0
    assert outcome.minutes == 6 * outcome.hits + 1.5 * outcome.reads
    assert figures.areas == len(outcome.areas) >= 7
    assert "hits" in run.words(figures)


def test_a_first_sweep_is_compared_with_the_bends_there_are() -> None:
    found = first_sweep.first_sweep(make("kinks", 11, 2))
    assert found.right_number
    assert max(found.off_in) < 0.5
    assert "right number 1.000" in run.first_words([found])
