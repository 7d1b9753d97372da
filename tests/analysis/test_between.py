"""What hits may have left between the stations: how much, the stations themselves say."""

from __future__ import annotations

import numpy as np

from core.analysis.area_verdicts import judge_areas
from core.analysis.between import LEFT_SHARES, KnownLine
from core.analysis.sweep import analyse
from core.demo.simulate import TrueShaft, read_sweep
from core.runout.line import Array, ShaftLine
from core.runout.verdict import Area
from core.straightening.history import RecordedHit

X = np.arange(6.0, 115.0, 6.0)
ROLLERS = np.array([12.0, 108.0])
HITS = [RecordedHit(at, 0.0, 0.008) for at in (36.5, 60.0, 83.0)]


def known(rise_in: Array, hits: list[RecordedHit]) -> KnownLine:
    """A line that rises like this (n,) over its rollers, well read."""
    ecc = np.column_stack([rise_in, 0 * rise_in])
    return KnownLine(ShaftLine(X, ecc, np.full(X.size, 3e-5), ROLLERS), turned=hits)


def left_by_spread_hits(length_in: float) -> Array:
    """What hits spread evenly over a length leave of sharp bends of the same angle (n,)."""
    room = [np.maximum(length_in / 2 - np.abs(X - hit.station_in), 0.0) for hit in HITS]
    return np.asarray(0.008 * sum(r**2 for r in room) / (2 * length_in))


def test_hits_that_left_nothing_at_their_stations_leave_little_between_them() -> None:
    sharp, spread = (known(left_by_spread_hits(w), HITS) for w in (0.5, 7.0))
    assert sharp.left[1][0] > 0.6
    assert spread.left[0] == LEFT_SHARES[1:], "sharp hits are out of the question"
    assert sharp.within(80.0, 92.0, 0.002).bend_chance > 0.9
    assert spread.within(80.0, 92.0, 0.002).bend_chance < 0.7


def test_a_small_hit_may_have_been_put_where_no_bend_was() -> None:
    """All of its angle is left then, a corner between two stations."""
    small = [RecordedHit(57.0, 0.0, 0.0005)]
    rise = np.where(np.isin(X, (54.0, 60.0)), 0.0005, 0.0)
    with_it, without = (known(rise, hits).within(54.0, 60.0, 0.002) for hits in (small, []))
    assert with_it.bend_chance < without.bend_chance - 0.05


def test_an_area_is_judged_by_all_that_is_known_of_its_line() -> None:
    """Hits and checks worked into a sweep tell more than the sweep; its figures stay as read."""
    ecc = np.column_stack([np.full(X.size, 0.00085), 0 * X])
    swept = ShaftLine(X, ecc, np.full(X.size, 0.00025), ROLLERS)
    together = ShaftLine(X, ecc, np.full(X.size, 0.00006), ROLLERS)
    bearing = Area("bearing", "bearing", 42.0, 54.0, 0.002)
    (alone,) = judge_areas([bearing], swept)
    (both,) = judge_areas([bearing], swept, known=together)
    assert alone.word == "too close to call"
    assert both.word == "true"
    assert both.runout == alone.runout


def test_an_area_that_only_earlier_readings_doubt_is_read_again_not_called_out_of_round() -> None:
    """The sweep alone has it straight; with the hits and checks before it, it may be over."""
    ecc = np.column_stack([np.full(X.size, 0.0006), 0 * X])
    sigma = np.full(X.size, 0.00006)
    higher = ecc + np.outer(0.00045 * np.exp(-(((X - 48.0) / 9) ** 2)), [1.0, 0.0])
    together = ShaftLine(X, higher, sigma, ROLLERS)
    bearing = Area("bearing", "bearing", 42.0, 54.0, 0.002)
    (found,) = judge_areas([bearing], ShaftLine(X, ecc, sigma, ROLLERS), known=together)
    assert found.word == "too close to call"
    assert found.settle.startswith("Read station 48.0 in again")
    assert "round" not in found.settle


def test_a_line_of_other_stations_is_not_reckoned_with() -> None:
    shaft, rng = TrueShaft(120.0), np.random.default_rng(1)
    marks = (np.arange(8) * np.pi / 4).tolist()
    sweep = read_sweep(shaft, (12.0, 108.0), X.tolist(), marks, rng=rng)
    line = analyse(sweep).line
    fewer = ShaftLine(X[1:], line.ecc_in[1:], line.sigma_in[1:], ROLLERS)
    assert analyse(sweep, known=line).known is line
    assert analyse(sweep, known=fewer).known is None
