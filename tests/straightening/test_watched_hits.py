"""One station read right after each hit: it tells what that hit took out, before the next."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from core.base.errors import BadShaft
from core.bends.shapes import lift
from core.demo.simulate import TrueShaft, apply_hit
from core.straightening.history import RecordedHit, Round, StationsRead, follow
from core.straightening.plan import PlannedHit, plan_round
from core.straightening.response import Response
from tests.support.bent_lines import EXACT, ROLLERS, SIGMA, STATIONS, TWO, line_of, read

PRESS = {"press": Response()}


def pressed(shaft: TrueShaft, hit: PlannedHit, share: float) -> TrueShaft:
    """The shaft after a hit that takes out this share of what it is asked."""
    asked = hit.kappa_rad * hit.aim_for
    rng = np.random.default_rng(0)
    return apply_hit(shaft, hit.station_in, asked, rng=rng, response=share, **EXACT)


def recorded(shaft: TrueShaft, hit: PlannedHit, seed: int = 5) -> RecordedHit:
    """As the book has it, with a roll of the shaft as it is now at the standing dial."""
    place = (float(hit.watch_station_in or 0.0),)
    watched = StationsRead(np.array(place), read(shaft, place, seed), np.array([SIGMA]))
    return RecordedHit(hit.station_in, hit.high_side_rad, hit.ask_for_rad, watched=watched)


def round_of(shares: tuple[float, float]) -> tuple[Round, TrueShaft]:
    """The planned round of two hits, each read at the standing dial; and the shaft after it."""
    hits = plan_round(line_of(TWO))
    assert len(hits) == 2
    shaft, made = TWO, []
    for hit, share in zip(hits, shares, strict=True):
        shaft = pressed(shaft, hit, share)
        made.append(recorded(shaft, hit))
    return Round(tuple(made)), shaft


def test_the_standing_dial_tells_what_each_hit_took_out() -> None:
    made, _ = round_of((0.6, 1.2))
    story = follow(line_of(TWO), [made], PRESS)
    first, second = story.hits
    assert first.taken_share == pytest.approx(0.6, abs=3 * first.taken_sigma)
    assert second.taken_share == pytest.approx(1.2, abs=3 * second.taken_sigma)
    assert max(first.taken_sigma, second.taken_sigma) < 0.06  # before: 0.25
    assert story.rounds[0].checked
    assert not story.waits_for_check


def test_the_line_follows_the_readings_at_the_standing_dial() -> None:
    made, shaft = round_of((0.6, 1.2))
    blind = replace(made, hits=tuple(replace(hit, watched=None) for hit in made.hits))
    truth = shaft.centre_in(STATIONS, ROLLERS)
    with_dial, without = (follow(line_of(TWO), [entry], PRESS).line for entry in (made, blind))
    assert with_dial is not None
    assert without is not None
    off, off_blind = (np.abs(line.ecc_in - truth).max() for line in (with_dial, without))
    assert off < 0.3 * off_blind
    assert with_dial.sigma_in.max() < 0.7 * without.sigma_in.max()


def test_a_hit_on_the_wrong_side_is_said_before_the_round_is_over() -> None:
    hits = plan_round(line_of(TWO))
    shaft = pressed(TWO, hits[0], -1.0)
    story = follow(line_of(TWO), [Round((recorded(shaft, hits[0]),))], PRESS)
    assert story.line is None
    assert "pressed on the wrong side" in story.rounds[0].doubts[0]


def test_this_job_learns_from_its_standing_dial() -> None:
    made, _ = round_of((0.6, 0.6))
    learnt = follow(line_of(TWO), [made], PRESS).responses["press"]
    assert learnt.mean < 0.8
    assert learnt.n_hits == 2


def test_the_dial_stands_where_the_hit_moves_the_shaft_most_or_stays() -> None:
    for hit in plan_round(line_of(TWO)):
        at = np.array([hit.station_in])
        move = np.abs(lift(STATIONS, at, at, np.array(ROLLERS))[:, 0])
        assert move[hit.watch_station_in == STATIONS][0] >= 0.7 * move.max()


def test_a_standing_dial_at_a_station_not_swept_is_refused() -> None:
    made, _ = round_of((1.0, 1.0))
    off = StationsRead(np.array([61.7]), np.zeros((1, 2)), np.array([SIGMA]))
    with pytest.raises(BadShaft, match=r"61\.7 in was not in the sweep"):
        follow(line_of(TWO), [Round((replace(made.hits[0], watched=off),))], PRESS)
