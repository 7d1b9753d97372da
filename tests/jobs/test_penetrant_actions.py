"""The penetrant check without a screen: what is due, whole acts taken back, where to look."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from core.base.errors import ShaftlogError
from core.base.records import Job
from core.book import hits, jobs, penetrant_checks, settings, sweeps
from core.book.connection import Book
from core.book.errors import Overtaken
from core.jobs.hit_actions import HitEntry, note_hit
from core.jobs.penetrant import (
    AreaCheck,
    bends_in_readings,
    hit_cautions,
    not_looked_at,
    readings_as_received,
    spots,
)
from core.jobs.penetrant_actions import (
    BEGUN_AGAIN,
    begin,
    put_result,
    shop_standard,
    stamp_due,
    stamp_some,
    switch,
    take_back,
)
from core.jobs.straightening import read_rounds
from tests.support.bench_book import new_job, new_sweep


class Check:
    """One job whose clock is moved by hand."""

    def __init__(self, book: Book, job: Job) -> None:
        self.book, self.job = book, job
        self.now = datetime(2026, 3, 14, 12, 0, tzinfo=UTC)
        self.bends_in: tuple[float, ...] = ()
        book._now = lambda: self.now

    def later(self, minutes: float) -> None:
        self.now += timedelta(minutes=minutes)

    @property
    def areas(self) -> tuple[AreaCheck, ...]:
        return spots(self.book, self.job.id, self.now, self.bends_in)

    def stages(self) -> list[tuple[str, bool, str]]:
        return [(one.area.name, one.again, one.stage) for one in self.areas]

    def due(self, at: int = 0):
        return stamp_due(self.book, self.job.id, self.areas[at], self.areas)

    def some(self, *at: int):
        return stamp_some(self.book, self.job.id, [self.areas[n] for n in at], self.areas)

    def back(self, at: int = 0) -> str:
        check = self.areas[at].check
        assert check is not None
        return take_back(self.book, check)


@pytest.fixture
def check(tmp_path: Path) -> Iterator[Check]:
    book, job = new_job(tmp_path / "shop.db")
    with book:
        yield Check(book, job)


def test_one_key_stamps_only_the_areas_that_are_due_and_names_the_others(check: Check) -> None:
    check.some(0, 1, 2)
    check.later(5)
    check.some(3)
    check.later(11)
    done = check.due()
    assert (done.stamp, len(done.areas)) == ("wiped_at", 3)
    assert done.left_out == (f"{check.areas[3].area.name} (4 min left)",)
    assert check.areas[3].check is not None
    assert check.areas[3].check.wiped_at is None
    with pytest.raises(ShaftlogError, match=r"Not due yet.*4 min left"):
        check.due(3)


def test_undo_takes_the_whole_act_back_and_nothing_else(check: Check) -> None:
    before = check.stages()
    check.due()
    after_first = check.stages()
    check.later(16)
    check.due()
    check.later(1)
    check.some(0)
    check.later(0)
    assert check.back(1) == "wiped off at 3 areas", "area 0 went on since"
    assert check.areas[0].stage == "developing"
    check.back(0), check.back(0)
    check.now -= timedelta(minutes=17)
    assert check.stages() == after_first
    check.back(0)
    assert check.stages() == before


def test_begun_again_and_taken_back_shows_what_was_there(check: Check) -> None:
    check.some(0)
    check.later(200)
    before = check.stages()
    assert before[0][1:] == (True, "too late"), "dried out after two hours"
    begin(check.book, check.job.id, (check.areas[0],))
    assert check.areas[0].stage == "dwell"
    check.back(0)
    assert check.stages() == before
    assert all(c.notes != BEGUN_AGAIN for c in penetrant_checks.checks_of(check.book, check.job.id))


def test_wiped_two_hours_late_is_said(check: Check) -> None:
    check.some(0)
    check.later(120)
    penetrant_checks.stage(check.book, [check.areas[0].check.id], "wiped_at")
    assert "Wiped after 120 min, at most 90" in check.areas[0].again_because


def test_each_act_has_its_name_and_a_changed_condition_its_time(check: Check) -> None:
    jobs.change_job(check.book, check.job.id, worker="Jo Ferry")
    check.some(0)
    switch(check.book, check.job.id, "short_dwell", check.areas)
    check.later(6)
    for wait in (1, 8):
        check.some(0)
        check.later(wait)
    put_result(check.book, check.job.id, check.areas[0], "clear")
    found = check.areas[0].check
    assert found is not None
    assert {found.penetrant_by, found.wiped_by, found.developer_by, found.by} == {"Jo Ferry"}
    (stated,) = penetrant_checks.conditions_of(check.book, check.job.id)
    assert (stated.short_dwell, stated.by, stated.at[:16]) == (True, "Jo Ferry", "2026-03-14T12:00")


def test_the_standard_of_the_settings_is_the_first_offer(check: Check) -> None:
    settings.save(check.book, penetrant_standard="ISO 3452-1")
    assert shop_standard(check.book) == "ISO 3452-1"


def test_bends_as_received_are_looked_at_before_pressing(check: Check) -> None:
    sweeps.finish_sweep(check.book, new_sweep(check.book, check.job, read=99).id)
    check.bends_in = bends_in_readings(readings_as_received(check.book, check.job.id))
    assert check.bends_in == (pytest.approx(60, abs=0.5),)
    bend = next(one for one in check.areas if one.area.before_hits)
    assert bend.area.name.startswith("bend as received at ")
    assert bend.area.name in [area.name for area in not_looked_at(check.book, check.job.id)]
    check.some(0)
    listed = [one.area.name for one in spots(check.book, check.job.id, check.now)]
    assert bend.area.name in listed, "counted by every screen once the check is begun"
    hit(check)
    names = [one.area.name for one in check.areas]
    assert "straightened spot at 60 in" in names
    assert bend.area.name not in [area.name for area in not_looked_at(check.book, check.job.id)]


def test_spots_of_earlier_visits_are_looked_at_before_pressing(check: Check) -> None:
    hit(check)
    jobs.set_state(check.book, check.job.id, "returned")
    check.later(60 * 24 * 700)
    again = jobs.start_job(check.book, shaft_id=check.job.shaft_id)
    names = [one.area.name for one in spots(check.book, again.id, check.now)]
    assert "earlier spot at 60 in" in names
    assert "straightened spot at 60 in" not in names
    jobs.set_state(check.book, check.job.id, "replaced")
    assert "earlier spot" not in str(spots(check.book, again.id, check.now)), "that was another bar"


def test_a_hit_says_what_the_penetrant_says_against_it(check: Check) -> None:
    def said() -> str:
        return " ".join(hit_cautions(check.book, check.job.id, check.now))

    assert "NO AREA IS CHECKED" in said()
    check.due()
    assert "PENETRANT IS WET at 4 areas" in said()
    for wait in (16, 1, 8):
        check.later(wait)
        if wait != 8:
            check.due()
    for one in check.areas:
        put_result(check.book, check.job.id, one, "clear")
    assert said() == ""


def test_no_heat_near_wet_penetrant_without_a_name(check: Check) -> None:
    check.due()
    heat = HitEntry(60.0, 1.0, 0.001, method="heat")
    with pytest.raises(ShaftlogError, match="it burns"):
        note_hit(check.book, check.job.id, heat, seen=())
    named = HitEntry(
        60.0, 1.0, 0.001, method="heat", overrule_by="A. Foreman", overrule_reason="cleaned"
    )
    made = note_hit(check.book, check.job.id, named, seen=())
    assert (made.overrule_by, made.overrule_reason) == ("A. Foreman", "cleaned")
    press = HitEntry(60.0, 1.0, 0.001)
    seen = read_rounds(check.book, check.job.id).hit_ids
    note_hit(check.book, check.job.id, press, seen=seen)


def test_the_side_is_named_right(check: Check) -> None:
    hit(check)
    why = next(one.area.why for one in check.areas if one.area.straightened)
    assert "compressed the high side" in why


def hit(check: Check) -> None:
    hits.add_hit(
        check.book, job_id=check.job.id, round_no=1, method="press", station_in=60.0,
        clock_deg=90.0, angle_rad=0.001,
    )  # fmt: skip


def test_a_bend_as_received_gets_one_check_for_all_stages(check: Check) -> None:
    """Penetrant at all areas at once: no second check is left behind that nobody wipes."""
    check.bends_in = (36.0, 62.0)
    check.due()
    names = [c.area for c in penetrant_checks.checks_of(check.book, check.job.id)]
    assert len(names) == len(set(names)) == len(check.areas)
    check.later(16)
    check.due()
    assert all(c.wiped_at for c in penetrant_checks.checks_of(check.book, check.job.id))


def test_all_at_once_works_from_a_finished_area(check: Check) -> None:
    """New spots to look at, the cursor still on an area that is clear: they are started."""
    check.some(0)
    check.later(16)
    check.some(0)
    check.some(0)
    check.later(8)
    put_result(check.book, check.job.id, check.areas[0], "clear")
    done = check.due(0)
    assert done.stamp == "penetrant_at"
    assert check.areas[0].area.name not in done.areas
    assert len(done.areas) == len(check.areas) - 1


def test_a_crack_seen_at_another_bench_is_not_overwritten(check: Check) -> None:
    """Found: 'clear', answered to a question asked before, wrote over the crack without a word."""
    check.some(0)
    for wait in (15, 3):
        check.later(wait)
        check.some(0)
    check.later(15)
    seen = check.areas[0]
    put_result(check.book, check.job.id, check.areas[0], "crack")
    with pytest.raises(Overtaken, match=r"Another bench was at .* meanwhile: crack"):
        put_result(check.book, check.job.id, seen, "clear")
    found = check.areas[0].check
    assert found is not None
    assert found.result == "crack"


def test_an_area_begun_at_another_bench_is_not_begun_once_more(check: Check) -> None:
    seen = check.areas
    check.some(0)
    with pytest.raises(Overtaken, match="meanwhile: penetrant on"):
        stamp_some(check.book, check.job.id, seen[:1], seen)
