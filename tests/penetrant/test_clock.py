"""Penetrant check: standards with their standing, the stage clock, the areas."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, datetime, timedelta

import pytest

from core.base.errors import ShaftlogError
from core.penetrant.areas import areas_to_check
from core.penetrant.clock import (
    AS_USUAL,
    Conditions,
    Stamps,
    bells,
    clock,
    dwell_least_min,
    standard,
    standards,
)

START = datetime(2026, 3, 2, 9, 0, tzinfo=UTC)
NAVY = standard("NAVSEA T9074-AS-GIB-010/271 Rev 1")


def _after(minutes: float) -> datetime:
    return START + timedelta(minutes=minutes)


def test_published_times() -> None:
    # NAVSEA T9074-AS-GIB-010/271 Rev 1 par. 5.6.4, 5.6.6.1, 5.6.7.1
    assert NAVY.dwell.least_min == 15
    assert NAVY.short_dwell.least_min == 5
    assert NAVY.dry.most_min == 10
    assert (NAVY.develop.least_min, NAVY.develop.most_min) == (7, 30)
    assert not NAVY.from_memory
    # ASME V Article 6, one secondary page
    asme = standard("ASME V Article 6")
    assert (asme.dwell.least_min, asme.develop.least_min, asme.develop.most_min) == (5, 10, 60)
    assert dwell_least_min(asme, Conditions(cold=True)) == 10


def test_figures_from_memory_say_so() -> None:
    for found in standards():
        told = " ".join(found.said)
        assert ("from memory, not checked" in told) >= found.from_memory
    assert standard("ISO 3452-1").from_memory
    assert standard("ASTM E1417 / E165, solvent removable visible").from_memory


def test_the_first_standard_is_one_read_in_print() -> None:
    assert standard("") is standards()[0]
    assert not standards()[0].from_memory
    with pytest.raises(ShaftlogError, match="Choose one of: NAVSEA"):
        standard("the old one")


@pytest.mark.parametrize(
    ("minutes", "stage", "left_min"),
    [(0, "dwell", 15), (14.9, "dwell", 0.1), (15, "wipe", None), (90, "wipe", None)],
)
def test_dwell(minutes: float, stage: str, left_min: float | None) -> None:
    told = clock(NAVY, Stamps(START), _after(minutes))
    assert told.stage == stage
    if left_min is None:
        assert told.seconds_left is None
    else:
        assert told.seconds_left == pytest.approx(60 * left_min)
        assert told.next_bell.at == _after(15)


def test_every_stage_in_order() -> None:
    stages = [clock(NAVY, Stamps(), START).stage]
    stages.append(clock(NAVY, Stamps(START), _after(1)).stage)
    wiped = Stamps(START, _after(15))
    stages.append(clock(NAVY, wiped, _after(16)).stage)
    dusted = Stamps(START, _after(15), _after(20))
    stages += [clock(NAVY, dusted, _after(20 + m)).stage for m in (1, 7, 30, 30.1)]
    seen = Stamps(START, _after(15), _after(20), _after(30))
    stages.append(clock(NAVY, seen, _after(500)).stage)
    assert stages == [
        "not started", "dwell", "dry", "developing", "look", "look", "too late", "done",
    ]  # fmt: skip
    assert clock(NAVY, seen, _after(500)).warnings == ()


def test_waiting_too_long_for_the_developer() -> None:
    assert clock(NAVY, Stamps(START, _after(15)), _after(26)).stage == "too late"
    late = Stamps(START, _after(15), _after(26))
    assert "after 11 min, at most 10" in clock(NAVY, late, _after(27)).warnings[0]


def test_too_early_is_named() -> None:
    early = Stamps(START, _after(8), _after(10), _after(12))
    first, second = clock(NAVY, early, _after(60)).warnings
    assert "after 8 of 15 min" in first
    assert "after 2 of 7 min" in second
    allowed = Conditions(short_dwell=True)
    assert len(clock(NAVY, early, _after(60), allowed).warnings) == 1


def test_a_longest_dwell_where_the_standard_has_one() -> None:
    iso = standard("ISO 3452-1")
    assert clock(iso, Stamps(START), _after(30)).stage == "wipe"
    assert clock(iso, Stamps(START), _after(30)).seconds_left == 1800
    assert clock(iso, Stamps(START), _after(61)).stage == "too late"


def test_bells_ring_once_each_whatever_the_screen() -> None:
    """A program started again in the middle hears the bells still to come, and only those."""
    dusted = Stamps(START, _after(15), _after(20))
    rung = bells(NAVY, dusted)
    assert [b.at for b in rung] == [_after(27), _after(45), _after(50)]
    assert clock(NAVY, dusted, _after(28)).next_bell == rung[1]
    assert clock(NAVY, dusted, _after(51)).next_bell is None
    assert bells(NAVY, Stamps()) == ()
    assert bells(NAVY, Stamps(START, _after(15), _after(20), _after(30))) == ()


def test_a_clock_set_back_is_noticed() -> None:
    told = clock(NAVY, Stamps(START, _after(-5)), _after(1))
    assert "out of order" in told.warnings[0]


def test_cold_changes_only_standards_that_say_so() -> None:
    assert dwell_least_min(NAVY, Conditions(cold=True)) == dwell_least_min(NAVY, AS_USUAL)


@dataclass(frozen=True)
class Ride:
    kind: str
    from_in: float
    to_in: float


RIDING = (Ride("coupling", 0, 5), Ride("bearing", 50, 58), Ride("taper", 104, 112))


def test_areas_follow_the_shaft() -> None:
    found = {a.name: a for a in areas_to_check(116.0, 2.0, RIDING, [43.5])}
    assert (
        found["coupling keyway and its end"].from_in,
        found["coupling keyway and its end"].to_in,
    ) == (0, 6)
    assert (found["propeller taper"].from_in, found["propeller taper"].to_in) == (103, 112)
    assert (found["propeller thread"].from_in, found["propeller thread"].to_in) == (112, 116)
    spot = found["straightened spot at 43.5 in"]
    assert (spot.from_in, spot.to_in) == (40.5, 46.5)
    assert not any(a.assumed for a in found.values())
    assert {"coupling end", "propeller keyway and its end"} <= set(found)


def test_a_shaft_zeroed_at_the_propeller_is_turned_round() -> None:
    flipped = [Ride(r.kind, 116 - r.to_in, 116 - r.from_in) for r in RIDING]
    plain = {a.name: a for a in areas_to_check(116.0, 2.0, RIDING)}
    for area in areas_to_check(116.0, 2.0, flipped, zero_at_coupling=False):
        other = plain[area.name]
        assert (area.from_in, area.to_in) == (116 - other.to_in, 116 - other.from_in)


def test_nothing_entered_is_assumed_and_said() -> None:
    found = areas_to_check(100.0, 2.0)
    assert all(a.assumed for a in found)
    assert all(0 <= a.from_in < a.to_in <= 100 for a in found)


def test_close_hits_are_one_area() -> None:
    names = [a.name for a in areas_to_check(116.0, 2.0, RIDING, [60, 61.5, 80])]
    assert "straightened spots 60 to 61.5 in" in names
    assert "straightened spot at 80 in" in names


def test_bad_shaft() -> None:
    with pytest.raises(ShaftlogError, match="not on the shaft"):
        areas_to_check(116.0, 2.0, RIDING, [120.0])
    with pytest.raises(ShaftlogError, match="length and the diameter"):
        areas_to_check(0.0, 2.0)


def test_a_taper_up_to_the_end_leaves_no_thread_to_look_at() -> None:
    riding = [Ride("taper", 88.0, 96.0)]
    names = [area.name for area in areas_to_check(96.0, 1.75, riding)]
    assert "propeller taper" in names
    assert "propeller thread" not in names
