"""A job told from its raw data, in the corners: other rollers, hits far out, shares told twice."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from core.base.errors import BadShaft
from core.demo.simulate import TrueBend, TrueShaft, apply_hit
from core.runout.checked_line import CheckedLine
from core.runout.line import ShaftLine
from core.straightening.check import BEYOND_STATIONS_IN
from core.straightening.history import RecordedHit, Round, StationsRead, follow
from core.straightening.plan import PlannedHit, after_quick_check, line_and_hits, shares_asked
from tests.support.bent_lines import ROLLERS, SIGMA, STATIONS, TWO, line_of, read

HIT = RecordedHit(42.0, 0.0, 0.004)


@pytest.mark.parametrize("rollers", [(18.0, 108.0), (12.0, 102.0)])
def test_a_sweep_on_other_rollers_settles_the_line_and_tells_no_shares(
    rollers: tuple[float, float],
) -> None:
    """Nothing of it can be set against the line before: each is seen from supports of its own."""
    ecc = TWO.centre_in(STATIONS, rollers)
    sweep = ShaftLine(STATIONS, ecc, np.full(STATIONS.size, SIGMA), np.array(rollers))
    story = follow(line_of(TWO), [Round((HIT,), sweep=sweep)])
    assert story.line is sweep
    assert story.swept
    assert story.rounds[0].doubts == ()
    assert [hit.taken_share for hit in story.hits] == [None]


def test_a_sweep_that_shows_nothing_came_off() -> None:
    """The line is that of the sweep, within its noise; what it says of the hit is said too."""
    sweep = line_of(TWO, seed=4)
    story = follow(line_of(TWO), [Round((HIT,), sweep=sweep)])
    np.testing.assert_allclose(story.line.ecc_in, sweep.ecc_in, atol=3 * SIGMA)
    # Nothing came off the shaft: the hit stayed below yield, and the readings say so.
    assert "took out almost nothing" in story.rounds[0].doubts[0]


def _worked(seed: int) -> tuple[TrueShaft, Round]:
    """Two bends hit as a press hits, with a quick check after it and then a full sweep."""
    made = (HIT, RecordedHit(78.0, -1.37, 0.005))
    shaft, rng = TWO, np.random.default_rng(seed)
    for hit in made:
        shaft = apply_hit(shaft, hit.station_in, hit.kappa_rad, rng=rng)
    places = (33.0, 45.0, 81.0)
    check = StationsRead(np.array(places), read(shaft, places, seed), np.full(3, SIGMA))
    return shaft, Round(made, check, line_of(shaft, 100 + seed))


def test_a_full_sweep_is_worked_in_with_the_hits_and_the_check() -> None:
    """All that was read together lies closer to the truth than the sweep by itself, and its own
    uncertainty says so (textbook: a weighted mean is never less certain than its parts)."""
    together, alone = [], []
    for seed in range(12):
        shaft, one = _worked(seed)
        story = follow(line_of(TWO, seed), [one])
        truth = shaft.centre_in(STATIONS, ROLLERS)
        assert story.swept
        assert isinstance(story.line, CheckedLine)
        assert story.line.swept is one.sweep
        assert (story.line.sigma_in < SIGMA).all()
        together.append(np.square(story.line.ecc_in - truth).mean())
        alone.append(np.square(one.sweep.ecc_in - truth).mean())
    assert np.mean(together) < 0.75 * np.mean(alone)


def test_a_sweep_with_more_stations_keeps_them_all() -> None:
    shaft, one = _worked(3)
    places = np.sort(np.append(STATIONS, [42.0, 60.0]))
    ecc = shaft.centre_in(places, ROLLERS)
    more = ShaftLine(places, ecc, np.full(places.size, SIGMA), np.array(ROLLERS))
    line = follow(line_of(TWO), [Round(one.hits, one.check, more)]).line
    assert line.station_in.tolist() == places.tolist()
    own = np.isin(places, [42.0, 60.0])
    np.testing.assert_array_equal(line.ecc_in[own], ecc[own])
    assert (line.sigma_in[~own] < SIGMA).all()
    fewer = ShaftLine(STATIONS[::2], shaft.centre_in(STATIONS[::2], ROLLERS), more.sigma_in[:10],
                      np.array(ROLLERS))  # fmt: skip
    assert follow(line_of(TWO), [Round(one.hits, one.check, fewer)]).line is fewer


def test_a_sweep_that_contradicts_the_hits_stays_as_it_was_read() -> None:
    """The shaft was dropped: no hit explains what the sweep shows."""
    shaft, one = _worked(4)
    dropped = TrueShaft(120.0, bends=(*shaft.bends, TrueBend(96.0, (0.0, 0.008))))
    sweep = line_of(dropped, 5)
    assert follow(line_of(TWO), [Round(one.hits, one.check, sweep)]).line is sweep


def test_a_misread_check_does_not_spoil_the_sweep_after_it() -> None:
    _, one = _worked(6)
    wrong = StationsRead(one.check.station_in, -one.check.ecc_in + 0.02, one.check.sigma_in)
    assert follow(line_of(TWO), [Round(one.hits, wrong)]).line is None
    line = follow(line_of(TWO), [Round(one.hits, wrong, one.sweep)]).line
    assert isinstance(line, CheckedLine)
    np.testing.assert_allclose(line.ecc_in, one.sweep.ecc_in, atol=3 * SIGMA)


def test_nothing_left_to_hit_never_hides_a_station_that_the_sweep_has_over_its_limit() -> None:
    """Hits and checks say that all is inside; the sweep surely shows a bend: it is planned for."""
    _, one = _worked(7)
    calm = np.zeros_like(one.sweep.ecc_in)
    known = follow(line_of(TWO), [one]).line
    bent = line_of(TrueShaft(120.0, bends=(TrueBend(60.0, (0.0, 0.0004)),)), 8)
    inside = replace(known, ecc_in=calm, swept=None)
    assert line_and_hits(inside) == (inside, ())
    line, hits = line_and_hits(replace(inside, swept=bent))
    assert [abs(hit.station_in - 60.0) < 6.0 for hit in hits] == [True]
    assert line is bent, "what the dial shows before a hit and after it is of one line"


def test_a_check_at_a_station_that_no_line_has_any_more_does_not_stop_a_full_sweep() -> None:
    """The sweep before the check was mended or replaced after the check was read."""
    _, one = _worked(6)
    check = StationsRead(one.check.station_in + 1.0, one.check.ecc_in, one.check.sigma_in)
    with pytest.raises(BadShaft, match="was not in the sweep"):
        follow(line_of(TWO), [Round(one.hits, check)])
    line = follow(line_of(TWO), [Round(one.hits, check, one.sweep)]).line
    alone = follow(line_of(TWO), [Round(one.hits, None, one.sweep)]).line
    np.testing.assert_array_equal(line.ecc_in, alone.ecc_in)


def test_the_share_by_itself_is_the_measurement_without_the_expectation() -> None:
    """Two normal opinions m1 +- s1 and m2 +- s2 join to the weighted mean (textbook)."""
    expected, measured, doubt, aim_for = 0.25, 0.7, 0.06, 1.25
    weight = expected**-2 + doubt**-2
    joined = (expected**-2 + measured * doubt**-2) / weight
    hit = PlannedHit(
        40.0,
        np.array([0.004, 0.0]),
        aim_for=aim_for,
        share_sigma=expected,
        taken_share=joined,
        taken_sigma=weight**-0.5,
    )
    ((share, sigma),) = shares_asked([hit])
    assert share == pytest.approx(measured / aim_for)
    assert sigma == pytest.approx(doubt / aim_for)


@pytest.mark.parametrize("end", [STATIONS[0], STATIONS[-1]])
def test_a_hit_may_lie_a_foot_beyond_the_last_station(end: float) -> None:
    """Twelve inches of shaft beyond what was read; a hit further out is a slip of the pen."""
    line, places = line_of(TWO), (21.0, 57.0, 99.0)
    found = read(TWO, places)
    out = 1.0 if end > ROLLERS[0] else -1.0
    near, far = (
        PlannedHit(float(end + out * (BEYOND_STATIONS_IN + more)), np.array([0.001, 0.0]))
        for more in (-0.5, 0.5)
    )
    assert BEYOND_STATIONS_IN == 12.0
    after_quick_check(line, [near], places, found, SIGMA)
    with pytest.raises(BadShaft, match="outside the shaft"):
        after_quick_check(line, [far], places, found, SIGMA)
