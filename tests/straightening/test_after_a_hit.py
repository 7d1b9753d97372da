"""What a hit left is hit again: a lone station beside it is no section off centre."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from core.runout.line import ShaftLine
from core.straightening.choice import CandidateSites, fewest
from core.straightening.plan import HIT_REACH_IN, PlannedHit, plan_round

STATIONS = np.arange(3.0, 96.0, 6.0)
ROLLERS = np.array([12.0, 84.0])
ALONE = 7


def line_with_one_off() -> ShaftLine:
    """Straight but for one station 1.6 thou off: TIR 3.2."""
    rng = np.random.default_rng(3)
    ecc = rng.normal(0, 5e-5, (STATIONS.size, 2))
    ecc[ALONE] += (0.0016, 0.0)
    return ShaftLine(STATIONS, ecc, np.full(STATIONS.size, 1.3e-4), ROLLERS)


def hit_at(station_in: float) -> PlannedHit:
    return PlannedHit(station_in, np.array([0.003, 0.0]))


def test_a_lone_station_is_no_bend_before_anything_was_hit() -> None:
    assert plan_round(line_with_one_off()) == ()


def test_beside_a_hit_it_is_what_the_hit_left() -> None:
    near = hit_at(float(STATIONS[ALONE]) + HIT_REACH_IN - 1)
    far = hit_at(float(STATIONS[ALONE]) + HIT_REACH_IN + 3)
    planned = plan_round(line_with_one_off(), hits_so_far=[near])
    assert planned
    assert plan_round(replace(line_with_one_off()), hits_so_far=[far]) == ()


def test_no_large_hits_that_nearly_cancel_for_a_residue_of_a_thou() -> None:
    planned = plan_round(line_with_one_off(), hits_so_far=[hit_at(float(STATIONS[ALONE]))])
    assert max(hit.angle_rad for hit in planned) < 0.001


def test_a_large_bend_is_still_taken_out_whole() -> None:
    """The weight against large hits costs nothing where the line asks for one."""
    place = 48.0
    rise = np.maximum(STATIONS - place, 0) * 0.01
    ends = np.interp(ROLLERS, STATIONS, rise)
    rise = rise - np.interp(STATIONS, ROLLERS, ends, left=0, right=float(ends[1]))
    allowed = np.full(STATIONS.size, 0.001)
    sites = CandidateSites.on(STATIONS[2:-2], ROLLERS, allowed[2:-2])
    ecc = np.column_stack([rise, np.zeros_like(rise)])[2:-2]
    found = fewest(sites, ecc, enough_at=0.7, enough=0.7, most=6)
    assert found.worst <= 0.7
