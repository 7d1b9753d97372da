"""Bends at old places: pairing, chance, clock, what it usually means; figures worked by hand."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from core.bends.returning import (
    PastBend,
    ShaftPlace,
    Visit,
    chance_within,
    clock_doubt,
    keyway_clocks,
    nearness,
    same_again,
    together_in,
    was_hit,
)
from core.bends.returning_text import compared_words, headline, sentences, usual_cause
from core.runout.readings import StationReadings, SweepReadings
from core.runout.verdict import Area
from core.straightening.repair_or_replace import repeat_stops

DIAMETER_IN = 2.0
AREAS = (
    Area("shaft log", "shaft log", 30.0, 40.0),
    Area("strut bearing", "bearing", 80.0, 90.0),
    Area("taper", "taper", 108.0, 120.0),
)


def bend(station_in: float, u95_in: float, deg: float = 0.0, *, spread: bool = False) -> PastBend:
    return PastBend(ShaftPlace(station_in, u95_in, spread), 0.004, math.radians(deg))


def visit(tag: str, *bends: PastBend, **more: object) -> Visit:
    base = Visit(
        tag, f"day of {tag}", bends, seen_in=(0.0, 100.0), keyways_rad=(0.0, 0.0),
        mark_step_rad=math.radians(45),
    )  # fmt: skip
    return replace(base, **more)


def test_both_intervals_count_and_add_as_a_right_angle() -> None:
    assert together_in(ShaftPlace(0, 0.3), ShaftPlace(0, 0.4)) == pytest.approx(0.5)
    assert together_in(ShaftPlace(0, 3.0, spread=True), ShaftPlace(0, 0.4)) == pytest.approx(3.4)
    assert nearness(ShaftPlace(50.0, 0.3), ShaftPlace(50.5, 0.4), DIAMETER_IN) == "same place"
    assert nearness(ShaftPlace(50.0, 0.3), ShaftPlace(50.51, 0.4), DIAMETER_IN) == "beside it"
    assert nearness(ShaftPlace(50.0, 0.3), ShaftPlace(54.0, 0.4), DIAMETER_IN) == "beside it"
    assert nearness(ShaftPlace(50.0, 0.3), ShaftPlace(54.1, 0.4), DIAMETER_IN) == "elsewhere"
    # A wide interval is the same place however thick the shaft.
    assert nearness(ShaftPlace(50.0, 6.0), ShaftPlace(58.0, 8.0), DIAMETER_IN) == "same place"


def test_chance_is_the_covered_share_of_the_length() -> None:
    # 2 in either side of 50: 4 of 100 in.
    assert chance_within(2.0, [50.0], 1, (0.0, 100.0)) == pytest.approx(0.04)
    # Two bends now: 1 - 0.96^2.
    assert chance_within(2.0, [50.0], 2, (0.0, 100.0)) == pytest.approx(0.0784)
    # 49 and 51 overlap: 47 to 53; 1 reaches off the end: 0 to 3. 9 of 100 in.
    assert chance_within(2.0, [51.0, 1.0, 49.0], 1, (0.0, 100.0)) == pytest.approx(0.09)
    # What lies beyond the length read counts only as far as it reaches into it: 10 to 11.
    assert chance_within(2.0, [9.0], 1, (10.0, 110.0)) == pytest.approx(0.01)
    assert chance_within(200.0, [50.0], 1, (0.0, 100.0)) == 1.0
    assert chance_within(1.0, [50.0], 1, (0.0, 0.0)) == 1.0
    assert chance_within(1.0, [], 3, (0.0, 100.0)) == 0.0


def test_pairs_one_to_one_the_nearest_first() -> None:
    earlier = visit("a", bend(50.0, 0.1), bend(53.0, 0.1), bend(90.0, 0.1))
    now = visit("b", bend(51.8, 0.1), bend(52.9, 0.1), bend(20.0, 0.1))
    found = same_again(now, [earlier], DIAMETER_IN)
    assert [(a.now.spot.station_in, a.then.spot.station_in) for a in found] == [
        (51.8, 50.0), (52.9, 53.0),
    ]  # fmt: skip
    assert [a.near for a in found] == ["beside it", "same place"]
    # 0.1 apart, 0.1414 explained: chance of three within 0.1414 of 50, 53 or 90.
    share = 3 * 2 * math.hypot(0.1, 0.1) / 100
    assert found[1].chance == pytest.approx(1 - (1 - share) ** 3)
    assert headline(found) == "Same place again: 52.9 in, as in a, 1 more"


def test_every_earlier_visit_counts_newest_first_and_those_in_trouble_are_named() -> None:
    old, newer = visit("old", bend(50.0, 0.1)), visit("newer", bend(50.1, 0.1))
    lost = visit("lost", bend(50.0, 0.1), trouble="not swept")
    found = same_again(visit("now", bend(50.05, 0.1)), [old, newer, lost], DIAMETER_IN)
    assert [a.visit.tag for a in found] == ["newer", "old"]
    assert compared_words([old, lost]) == ("lost: not swept",)
    assert same_again(visit("now"), [old], DIAMETER_IN) == ()
    assert headline(()) == ""


def test_a_match_that_chance_brings_is_told_as_such() -> None:
    bow = bend(50.0, 40.0, spread=True)
    (found,) = same_again(visit("now", bend(30.0, 0.1)), [visit("a", bow)], DIAMETER_IN)
    assert found.chance == pytest.approx(0.802)  # 40.1 in either side of 50, of 100 in
    assert "may be chance" in headline([found])
    words = " ".join(sentences(found, AREAS, DIAMETER_IN))
    assert "nearly every shaft: it says little by itself" in words
    near = same_again(visit("now", bend(50.0, 0.3)), [visit("a", bend(50.2, 0.4))], DIAMETER_IN)
    # Half an inch either side of 50.2: 1 of 100 in.
    assert near[0].chance == pytest.approx(0.01)
    assert "about one shaft in 100" in " ".join(sentences(near[0], AREAS, DIAMETER_IN))


def test_clock_is_compared_only_when_both_met_the_keyway_at_one_clock() -> None:
    then, now = visit("a", bend(50, 0.1, 350.0)), visit("b", bend(50, 0.1, 20.0))
    (found,) = same_again(now, [then], DIAMETER_IN)
    assert math.degrees(found.turned_rad or 0) == pytest.approx(30.0)
    assert "High side 20 now, 350 then, the same side" in " ".join(sentences(found, AREAS, 2.0))
    opposite = replace(now, came=(bend(50, 0.1, 170.0),))
    (found,) = same_again(opposite, [then], DIAMETER_IN)
    assert "180 deg round: another blow" in " ".join(sentences(found, AREAS, 2.0))
    blind = replace(then, keyways_rad=(None, None))
    (found,) = same_again(now, [blind], DIAMETER_IN)
    assert found.turned_rad is None
    assert "The clocks cannot be compared: no keyway was met" in " ".join(
        sentences(found, AREAS, 2.0)
    )
    # Marks 45 deg apart: a keyway at 40 may be the same, one at 90 is not.
    assert clock_doubt(now, replace(then, keyways_rad=(None, math.radians(40)))) == ""
    moved = replace(then, keyways_rad=(0.0, math.radians(90)))
    assert "lay at 90 deg then and lies at 0 deg now" in clock_doubt(now, moved)


def test_keyway_clock_is_the_middle_of_the_blocked_marks_of_each_half() -> None:
    def station(x: float, *blocked_deg: float) -> StationReadings:
        return StationReadings(x, blocked_rad=tuple(math.radians(b) for b in blocked_deg))

    sweep = SweepReadings(
        (station(2, 350, 20), station(50), station(95, 90), station(98, 90)), (20.0, 80.0),
        length_in=100.0,
    )  # fmt: skip
    near, far = keyway_clocks(sweep)
    assert math.degrees(near or 0) == pytest.approx(5.0)
    assert math.degrees(far or 0) == pytest.approx(90.0)
    round_about = SweepReadings((station(2, 0, 90, 180, 270),), (20.0, 80.0), length_in=100.0)
    assert keyway_clocks(round_about) == (None, None)


def test_what_was_done_to_the_bend_then() -> None:
    def words(**more: object) -> str:
        then = visit("a", bend(50, 0.1), **more)
        (found,) = same_again(visit("b", bend(50, 0.1)), [then], DIAMETER_IN)
        return " ".join(sentences(found, AREAS, DIAMETER_IN))

    assert "may be the old bend, never taken out" in words()
    assert "never taken out" in words(hits_in=(70.0,))
    assert "how true it left was not swept" in words(hits_in=(51.0,))
    assert "left without a bend" in words(hits_in=(51.0,), left_known=True)
    left = (PastBend(ShaftPlace(50.2, 0.3), 0.0004, 0.0),)
    assert "left with 0.4 mrad still in it" in words(hits_in=(51.0,), left_known=True, left=left)
    assert "penetrant there before and after" in words(hits_in=(51.0,))
    assert "speaks for the boat" in words(hits_in=(51.0,), other_bar=True)


@pytest.mark.parametrize(
    ("station_in", "where", "cause"),
    [
        (85.0, "At the strut bearing", "strut"),
        (93.9, "Near the strut bearing", "strut"),
        (94.1, "On the free length", "a rope"),
        (28.0, "Near the shaft log", "engine and log"),
        (110.0, "At the taper", "propeller"),
    ],
)
def test_usual_cause_by_place(station_in: float, where: str, cause: str) -> None:
    words = usual_cause(station_in, AREAS, DIAMETER_IN)
    assert words.startswith(where)
    assert cause in words
    assert "never certainly" in words


def test_the_caution_of_repair_or_replace_asks_the_same_question() -> None:
    for apart in (0.0, 3.9, 4.1, 30.0):
        hit_before = was_hit(ShaftPlace(50.0), [50.0 + apart], DIAMETER_IN)
        assert bool(repeat_stops([50.0], [50.0 + apart], DIAMETER_IN)) is hit_before
        assert hit_before is (apart < 4.0)
