"""Hits of a round, quick check, contradictions, the story of a job, the forecast."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from core.base.errors import ShaftlogError
from core.bends.find import find_bends
from core.demo.simulate import TrueBend, TrueBow, TrueShaft, apply_hit
from core.runout.checked_line import joint_covariance_in2
from core.runout.line import ShaftLine
from core.straightening.after_hits import best_check_stations, expected_after
from core.straightening.doubts import doubts
from core.straightening.history import RecordedHit, Round, StationsRead, expected_dial, follow
from core.straightening.plan import PlannedHit, after_quick_check, plan_round, with_taken_shares
from core.straightening.response import Response
from tests.support.bent_lines import EXACT, ROLLERS, SIGMA, STATIONS, TWO, line_of, read


def test_the_round_is_the_fitted_bends_largest_effect_first() -> None:
    hits = plan_round(line_of(TWO))
    assert len(hits) == 2
    near = {round(h.station_in): h for h in hits}
    assert set(near) == {40, 78}
    np.testing.assert_allclose(near[40].kappa_rad, [0.006, 0.0], atol=1e-4)
    np.testing.assert_allclose(near[78].kappa_rad, [-0.001, 0.005], atol=1e-4)
    assert near[40].high_side_rad == pytest.approx(np.pi, abs=0.02)
    assert hits[-1].worst_tir_after_in < 0.0016
    assert hits[0].worst_tir_after_in > hits[-1].worst_tir_after_in
    assert len(hits[0].check_stations_in) == 4
    assert set(hits[0].check_stations_in) <= set(STATIONS.tolist())


def test_bends_at_hand_give_the_same_round() -> None:
    line = line_of(TWO)
    given = plan_round(line, bends=find_bends(line))
    assert [h.station_in for h in given] == [h.station_in for h in plan_round(line)]


def test_a_true_shaft_needs_no_hits() -> None:
    assert plan_round(line_of(TrueShaft(120.0))) == ()
    little = TrueShaft(120.0, bends=(TrueBend(60.0, (0.00002, 0.0)),))
    assert plan_round(line_of(little)) == ()


def test_wider_limits_need_fewer_hits() -> None:
    unlike = TrueShaft(120.0, bends=(TrueBend(30.0, (0.006, 0.0)), TrueBend(96.0, (0.0, 0.0004))))
    line = line_of(unlike)
    counts = [len(plan_round(line, limit_in=limit)) for limit in (0.002, 0.02, 0.5)]
    assert counts == [2, 1, 0]


def test_a_small_bend_beside_a_large_one_waits() -> None:
    beside = TrueShaft(120.0, bends=(TrueBend(60.0, (0.010, 0.0)), TrueBend(70.0, (0.0, 0.0005))))
    hits = plan_round(line_of(beside))
    assert [round(h.station_in) for h in hits] == [60]
    done = TrueShaft(120.0, bends=beside.bends[1:])
    assert [round(h.station_in) for h in plan_round(line_of(done))] == [70]


def test_only_limited_stations_count() -> None:
    limits = np.where(STATIONS > 60, 0.002, np.inf)
    hits = plan_round(line_of(TWO), limit_in=limits)
    after = hits[-1].ecc_after_in
    assert 2 * np.hypot(*after.T)[STATIONS > 60].max() < 0.002
    with pytest.raises(ShaftlogError, match="limit"):
        plan_round(line_of(TWO), limit_in=0.0)


def test_a_bow_takes_a_few_hits_spread_along_it() -> None:
    bow = TrueShaft(120.0, bows=(TrueBow(40.0, 80.0, (0.004, 0.0)),))
    hits = plan_round(line_of(bow))
    at = sorted(h.station_in for h in hits)
    assert 3 <= len(hits) <= 6
    assert at[0] > 38
    assert at[-1] < 82
    assert sum(h.kappa_rad[0] for h in hits) == pytest.approx(0.004, rel=0.05)
    assert hits[-1].worst_tir_after_in < 0.002


def test_turning_the_shaft_turns_the_hits() -> None:
    turn = np.array([[0.0, -1.0], [1.0, 0.0]])
    line = line_of(TWO)
    other = ShaftLine(line.station_in, line.ecc_in @ turn.T, line.sigma_in, line.rollers_in)
    for plain, turned in zip(plan_round(line), plan_round(other), strict=True):
        assert turned.station_in == plain.station_in
        np.testing.assert_allclose(turned.kappa_rad, turn @ plain.kappa_rad, atol=1e-8)


def test_the_response_scales_what_is_asked_not_what_is_wanted() -> None:
    line = line_of(TWO)
    weak = plan_round(line, response=Response(mean=0.7))
    plain = plan_round(line)
    np.testing.assert_allclose(weak[0].kappa_rad, plain[0].kappa_rad)
    assert weak[0].ask_for_rad == pytest.approx(plain[0].ask_for_rad / 0.7)


def test_quick_check_finds_the_whole_line_from_three_stations() -> None:
    line = line_of(TWO)
    hits = plan_round(line)
    rng = np.random.default_rng(7)
    shaft = TWO
    for hit in hits:
        shaft = apply_hit(shaft, hit.station_in, hit.kappa_rad, rng=rng)
    places = hits[0].check_stations_in
    after = after_quick_check(line, hits, places, read(shaft, places), SIGMA)
    assert after is not None
    truth = shaft.centre_in(STATIONS, ROLLERS)
    off = np.abs(after.ecc_in - truth)
    by_plan = np.abs(expected_after(line, hits).ecc_in - truth)
    assert off.max() < 0.2 * by_plan.max()
    assert (off < 4 * after.sigma_in[:, None]).all()


@pytest.mark.slow
def test_intervals_after_a_quick_check_are_honest() -> None:
    rng = np.random.default_rng(11)
    inside = total = 0
    for seed in range(60):
        line = line_of(TWO, seed)
        hits = plan_round(line)
        shaft = TWO
        for hit in hits:
            shaft = apply_hit(shaft, hit.station_in, hit.kappa_rad, rng=rng)
        places = hits[0].check_stations_in
        after = after_quick_check(line, hits, places, read(shaft, places, seed), SIGMA)
        if after is None:
            continue
        off = np.abs(after.ecc_in - shaft.centre_in(STATIONS, ROLLERS))
        inside += int((off < 1.96 * after.sigma_in[:, None]).sum())
        total += off.size
    assert total > 2000
    assert 0.92 < inside / total < 1.0


def test_the_hits_tell_their_shares() -> None:
    line = line_of(TWO)
    hits = plan_round(line)
    shaft = TWO
    for hit, share in zip(hits, (0.7, 1.2), strict=True):
        shaft = apply_hit(
            shaft, hit.station_in, hit.kappa_rad, rng=np.random.default_rng(1),
            response=share, **EXACT,
        )  # fmt: skip
    places = hits[0].check_stations_in
    after = after_quick_check(line, hits, places, read(shaft, places), SIGMA)
    shares = [h.taken_share for h in with_taken_shares(hits, after)]
    np.testing.assert_allclose(shares, [0.7, 1.2], atol=0.06)


def test_a_check_that_contradicts_asks_for_a_sweep() -> None:
    line = line_of(TWO)
    hits = plan_round(line)
    places = hits[0].check_stations_in
    untouched = read(TWO, places)
    assert after_quick_check(line, hits, places, untouched, SIGMA) is None


def test_reading_every_station_is_the_sweep_itself() -> None:
    line = line_of(TWO)
    hits = plan_round(line)
    shaft = apply_hit(TWO, hits[0].station_in, hits[0].kappa_rad, rng=np.random.default_rng(3))
    swept = read(shaft, tuple(STATIONS.tolist()))
    after = after_quick_check(line, hits[:1], STATIONS, swept, SIGMA)
    np.testing.assert_allclose(after.ecc_in, swept, atol=3 * SIGMA)


def test_best_stations_leave_less_doubt_than_others() -> None:
    line = line_of(TWO)
    hits = plan_round(line)
    after = expected_after(line, hits)

    def doubt(index: tuple[int, ...]) -> float:
        cov = joint_covariance_in2(after)
        rows = np.array([[2 * i, 2 * i + 1] for i in index]).ravel()
        inner = cov[np.ix_(rows, rows)] + SIGMA**2 * np.eye(rows.size)
        return float(np.trace(cov - cov[:, rows] @ np.linalg.solve(inner, cov[rows])))

    best = doubt(best_check_stations(line, hits, 3, SIGMA))
    rng = np.random.default_rng(5)
    others = [doubt(tuple(rng.choice(STATIONS.size, 3, replace=False))) for _ in range(40)]
    assert best < np.median(others)
    assert best <= 1.3 * min(others)


@pytest.mark.parametrize(
    ("response", "turn_deg", "words"),
    [
        (-1.0, 0.0, "pressed on the wrong side"),
        (0.0, 0.0, "almost nothing"),
        (2.6, 0.0, "2.6 times"),
        (1.0, 70.0, "70 degrees up the clock"),
        (1.0, 3.0, ""),
        (0.7, 0.0, ""),
    ],
)
def test_readings_that_contradict_the_hit(response: float, turn_deg: float, words: str) -> None:
    line = line_of(TWO)
    hit = plan_round(line)[0]
    cos, sin = np.cos(np.radians(turn_deg)), np.sin(np.radians(turn_deg))
    taken = response * np.array([[cos, -sin], [sin, cos]]) @ hit.kappa_rad
    shaft = apply_hit(TWO, hit.station_in, taken, rng=np.random.default_rng(1), **EXACT)
    places = hit.check_stations_in
    said = doubts(line, [hit], places, read(shaft, places), SIGMA)
    assert len(said) == bool(words)
    assert words in " ".join(said)


def test_proper_hits_are_seldom_doubted() -> None:
    line = line_of(TWO)
    hits = plan_round(line)
    places = hits[0].check_stations_in
    false = 0
    for seed in range(200):
        rng = np.random.default_rng(seed)
        shaft = TWO
        for hit in hits:
            shaft = apply_hit(shaft, hit.station_in, hit.kappa_rad, rng=rng)
        false += bool(doubts(line, hits, places, read(shaft, places, seed), SIGMA))
    assert false <= 2


@pytest.mark.parametrize(
    ("places", "ecc", "sigma", "match"),
    [
        ((4.5, 9.0), np.zeros((2, 2)), SIGMA, "was not in the sweep"),
        ((9.0, 9.0), np.zeros((2, 2)), SIGMA, "twice"),
        ((), np.zeros((0, 2)), SIGMA, "at least one"),
        ((9.0,), np.zeros((2, 2)), SIGMA, "one eccentricity vector"),
        ((9.0,), np.full((1, 2), np.nan), SIGMA, "plain numbers"),
        ((9.0,), np.zeros((1, 2)), 0.0, "above zero"),
    ],
)
def test_bad_quick_checks(
    places: tuple[float, ...], ecc: np.ndarray, sigma: float, match: str
) -> None:
    line = line_of(TWO)
    with pytest.raises(ShaftlogError, match=match):
        after_quick_check(line, plan_round(line), places, ecc, sigma)


def test_a_hit_outside_the_shaft_is_refused() -> None:
    line = line_of(TWO)
    stray = PlannedHit(400.0, np.array([0.001, 0.0]))
    with pytest.raises(ShaftlogError, match="outside the shaft"):
        after_quick_check(line, [stray], (9.0,), np.zeros((1, 2)), SIGMA)
    with pytest.raises(ShaftlogError, match="angle"):
        PlannedHit(40.0, np.array([np.nan, 0.0]))


def test_a_line_with_a_hole_is_refused() -> None:
    line = line_of(TWO)
    ecc = line.ecc_in.copy()
    ecc[3] = np.nan
    holed = ShaftLine(line.station_in, ecc, line.sigma_in, line.rollers_in)
    with pytest.raises(ShaftlogError, match="no figure"):
        plan_round(holed)


@pytest.mark.parametrize("count", [1, 2, 3])
def test_a_line_of_few_stations_is_planned_all_the_same(count: int) -> None:
    few = slice(8, 8 + count)
    line = line_of(TWO)
    short = ShaftLine(STATIONS[few], line.ecc_in[few], line.sigma_in[few], line.rollers_in)
    hits = plan_round(short)
    assert hits
    assert hits[-1].worst_tir_after_in < short.bend_tir_in.max()
    assert len(hits[0].check_stations_in) == count


def test_the_dial_expected_at_the_nearest_stations() -> None:
    line = line_of(TWO)
    hits = plan_round(line)
    told = expected_dial(line, hits)
    assert len(told) == len(hits)
    for hit, places in zip(hits, told, strict=True):
        assert all(abs(x - hit.station_in) <= 6.0 for x, _, _ in places)
        assert max(before for _, before, _ in places) > max(after for _, _, after in places)
    station, before, _ = told[0][0]
    assert before == pytest.approx(float(line.bend_tir_in[np.argmin(np.abs(STATIONS - station))]))


def _made(hit: PlannedHit) -> RecordedHit:
    return RecordedHit(hit.station_in, hit.high_side_rad, hit.ask_for_rad)


def test_the_story_of_a_job_is_the_same_as_living_it() -> None:
    """Rounds kept as raw data give, told again, the line and shares found while working."""
    line, shaft, so_far = line_of(TWO), TWO, ()
    now, rounds = line, []
    rng = np.random.default_rng(9)
    for seed in range(3):
        hits = plan_round(now, hits_so_far=so_far)
        if not hits:
            break
        for hit in hits:
            shaft = apply_hit(
                shaft, hit.station_in, hit.kappa_rad * hit.aim_for, rng=rng, response=0.8
            )
        places = hits[0].check_stations_in
        found = read(shaft, places, seed)
        now = after_quick_check(now, hits, places, found, SIGMA)
        assert now is not None
        so_far += with_taken_shares(hits, now)
        check = StationsRead(np.array(places), found, np.full(len(places), SIGMA))
        rounds.append(Round(tuple(_made(h) for h in hits), check))
    story = follow(line, rounds)
    np.testing.assert_allclose(story.line.ecc_in, now.ecc_in, atol=1e-7)
    told = [h.taken_share for h in story.hits]
    np.testing.assert_allclose(told, [h.taken_share for h in so_far], atol=1e-3)
    assert story.responses["press"].mean < 0.97
    assert not story.swept
    assert len(story.records("S20910")) >= 2


def test_the_story_waits_for_its_check_and_a_sweep_settles_it() -> None:
    line = line_of(TWO)
    hits = plan_round(line)
    made = tuple(_made(h) for h in hits)
    waiting = follow(line, [Round(made)])
    assert waiting.waits_for_check
    np.testing.assert_allclose(waiting.line.ecc_in, expected_after(line, hits).ecc_in, atol=1e-9)
    assert all(h.taken_share is None for h in waiting.hits)
    shaft = TWO
    for hit in hits:
        shaft = apply_hit(shaft, hit.station_in, hit.kappa_rad, rng=np.random.default_rng(2))
    swept = follow(line, [Round(made, sweep=line_of(shaft, 3))])
    assert swept.swept
    np.testing.assert_allclose(swept.line.ecc_in, line_of(shaft, 3).ecc_in, atol=3 * SIGMA)
    assert all(h.taken_share is not None for h in swept.hits)


def test_press_and_heat_teach_apart() -> None:
    line = line_of(TWO)
    hits = plan_round(line)
    shaft = TWO
    for hit, share in zip(hits, (1.0, 0.4), strict=True):
        shaft = apply_hit(
            shaft, hit.station_in, hit.kappa_rad, rng=np.random.default_rng(1),
            response=share, **EXACT,
        )  # fmt: skip
    made = (_made(hits[0]), replace(_made(hits[1]), method="heat"))
    shop = {"heat": Response(0.5, 0.1, 0.2, 12)}
    asked = replace(made[1], asked_rad=2 * made[1].asked_rad)
    told = follow(line, [Round(made, sweep=line_of(shaft, 5))], shop)
    assert set(told.responses) == {"press", "heat"}
    assert told.responses["press"].mean == pytest.approx(1.0, abs=0.05)
    assert told.responses["heat"].mean < 0.5
    assert [r.method for r in told.records("S20910")] == ["press", "heat"]
    shares = [r.taken_rad for r in told.records("S20910")]
    np.testing.assert_allclose(shares, [1.0, 0.4], atol=0.06)
    # heat asked for twice the angle by a record of one half is expected to take it all out
    by_plan = follow(line, [Round((made[0], asked))], shop).line
    np.testing.assert_allclose(by_plan.ecc_in, expected_after(line, hits).ecc_in, atol=1e-9)


def test_the_story_says_when_a_check_contradicts() -> None:
    line = line_of(TWO)
    hit = plan_round(line)[0]
    wrong = apply_hit(TWO, hit.station_in, -hit.kappa_rad, rng=np.random.default_rng(1), **EXACT)
    places = hit.check_stations_in
    check = StationsRead(np.array(places), read(wrong, places), np.full(len(places), SIGMA))
    story = follow(line, [Round((_made(hit),), check)])
    assert story.line is None
    assert "wrong side" in story.rounds[0].doubts[0]
    with pytest.raises(ShaftlogError, match="no angle"):
        follow(line, [Round((RecordedHit(40.0, 0.0, 0.0),))])
