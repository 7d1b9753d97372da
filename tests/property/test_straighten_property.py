"""Hits and quick checks: nothing may depend on where clock 0 or station 0 was chalked."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from core.bends.find import find_bends
from core.demo.simulate import apply_hit
from core.runout.line import ShaftLine
from core.straightening.plan import after_quick_check, plan_round
from tests.support.random_shafts import random_shaft

ROLLERS = (12.0, 108.0)
STATIONS = np.arange(3.0, 120.0, 6.0)
SIGMA = 0.000125


def _line(seed: int, n_bends: int) -> tuple[ShaftLine, np.ndarray]:
    """A line, and the line after the planner's hits were made with scatter."""
    rng = np.random.default_rng(seed)
    shaft = random_shaft(rng, n_bends)
    ecc = shaft.centre_in(STATIONS, ROLLERS) + rng.normal(0, SIGMA, (STATIONS.size, 2))
    line = ShaftLine(STATIONS, ecc, np.full(STATIONS.size, SIGMA), np.array(ROLLERS))
    for hit in plan_round(line):
        shaft = apply_hit(shaft, hit.station_in, hit.kappa_rad, rng=rng)
    return line, shaft.centre_in(STATIONS, ROLLERS)


cases = st.tuples(st.integers(0, 10_000), st.integers(1, 3))


@pytest.mark.slow
@settings(max_examples=12, deadline=None)
@given(cases, st.floats(0, 2 * np.pi))
def test_clock_zero_does_not_matter(case: tuple[int, int], turn: float) -> None:
    line, after = _line(*case)
    rotate = np.array([[np.cos(turn), -np.sin(turn)], [np.sin(turn), np.cos(turn)]])
    turned = ShaftLine(STATIONS, line.ecc_in @ rotate.T, line.sigma_in, line.rollers_in)
    # the same bends are handed over turned: the search of bends is not under test here
    bends = find_bends(line)
    bent = ShaftLine(STATIONS, bends.bent.ecc_in @ rotate.T, line.sigma_in, line.rollers_in)
    fitted = replace(bent, ecc_in=bends.fitted.ecc_in @ rotate.T)
    hits = plan_round(line, bends=bends)
    others = plan_round(turned, bends=replace(bends, fitted=fitted, bent=bent))
    assert [h.station_in for h in hits] == [h.station_in for h in others]
    assert [h.check_stations_in for h in hits] == [h.check_stations_in for h in others]
    places = hits[0].check_stations_in
    found = after[np.isin(STATIONS, places)]
    one = after_quick_check(line, hits, places, found, SIGMA)
    two = after_quick_check(turned, others, places, found @ rotate.T, SIGMA)
    assert (one is None) == (two is None)
    if one is not None and two is not None:
        np.testing.assert_allclose(one.ecc_in @ rotate.T, two.ecc_in, atol=1e-7)
        np.testing.assert_allclose(one.sigma_in, two.sigma_in, rtol=1e-5)


@pytest.mark.slow
@settings(max_examples=12, deadline=None)
@given(cases, st.integers(-40, 40))
def test_station_zero_does_not_matter(case: tuple[int, int], moved: int) -> None:
    line, after = _line(*case)
    shift = 0.25 * moved  # a multiple of the grid hits are set to
    other = ShaftLine(STATIONS + shift, line.ecc_in, line.sigma_in, line.rollers_in + shift)
    hits, others = plan_round(line), plan_round(other)
    assert [h.station_in + shift for h in hits] == [h.station_in for h in others]
    places = hits[0].check_stations_in
    found = after[np.isin(STATIONS, places)]
    one = after_quick_check(line, hits, places, found, SIGMA)
    two = after_quick_check(other, others, np.array(places) + shift, found, SIGMA)
    assert (one is None) == (two is None)
    if one is not None and two is not None:
        np.testing.assert_allclose(one.ecc_in, two.ecc_in, atol=1e-8)


@pytest.mark.slow
@settings(max_examples=12, deadline=None)
@given(cases)
def test_a_check_never_makes_the_line_less_certain(case: tuple[int, int]) -> None:
    line, after = _line(*case)
    hits = plan_round(line)
    places = hits[0].check_stations_in
    found = after[np.isin(STATIONS, places)]
    few = after_quick_check(line, hits, places[:1], found[:1], SIGMA)
    more = after_quick_check(line, hits, places, found, SIGMA)
    if few is not None and more is not None:
        assert (more.sigma_in <= few.sigma_in * (1 + 1e-9)).all()
        assert hits[-1].worst_tir_after_in < line.bend_tir_in.max()
