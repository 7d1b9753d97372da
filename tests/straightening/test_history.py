"""A job told from its raw data, in the corners: other rollers, hits far out, shares told twice."""

from __future__ import annotations

import numpy as np
import pytest

from core.base.errors import BadShaft
from core.runout.line import ShaftLine
from core.straightening.check import BEYOND_STATIONS_IN
from core.straightening.history import RecordedHit, Round, follow
from core.straightening.plan import PlannedHit, after_quick_check, shares_asked
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
    """The line is the sweep's; what it says of the hit is told beside it."""
    sweep = line_of(TWO, seed=4)
    story = follow(line_of(TWO), [Round((HIT,), sweep=sweep)])
    assert story.line is sweep
    assert story.rounds[0].after is sweep
    # Nothing came off the shaft: the hit stayed below yield, and the readings say so.
    assert "took out almost nothing" in story.rounds[0].doubts[0]


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
