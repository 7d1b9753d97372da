"""Which check of an area counts, what an overrule belongs to, and whose stamp stands."""

from __future__ import annotations

from datetime import UTC, datetime

import pytest

from core.base.records import PenetrantCheck
from core.book import audit as events
from core.book import hits, penetrant_checks, settings, sweeps
from core.book.connection import Book
from core.book.errors import Refused
from core.book.readings import take_reading
from core.jobs import facts
from core.jobs.penetrant import clock_of, counted, planned_areas
from core.jobs.steps import steps_of
from core.penetrant.clock import standards
from tests.support.book_helpers import SmallJob

KEYWAY = [("keyway", 60.0, 66.0)]


def open_check(book: Book, small: SmallJob, **more: bool) -> PenetrantCheck:
    """A check of the keyway, nothing on yet."""
    made = penetrant_checks.start_checks(
        book, job_id=small.job.id, standard=standards()[0].title, areas=KEYWAY, **more
    )
    return made[-1]


def cracks(book: Book, small: SmallJob) -> int:
    return facts.facts_of(book, small.job.id).cracks


def test_a_later_check_does_not_hide_a_crack(book: Book, small: SmallJob) -> None:
    """Another bench opens the area again and finds it clear: the crack still stops the job."""
    first = open_check(book, small)
    penetrant_checks.set_result(book, first.id, result="crack")
    second = open_check(book, small)
    penetrant_checks.stage(book, [second.id], "penetrant_at")
    penetrant_checks.set_result(book, second.id, result="clear")
    assert cracks(book, small) == 1
    assert penetrant_checks.newest_checks(book, small.job.id)[0].id == first.id
    penetrant_checks.overrule(book, first.id, by="Ada", reason="dressed out, clear since")
    assert cracks(book, small) == 0
    assert penetrant_checks.newest_checks(book, small.job.id)[0].id == second.id


def test_a_check_taken_back_to_nothing_does_not_count(book: Book, small: SmallJob) -> None:
    first = open_check(book, small)
    penetrant_checks.set_result(book, first.id, result="clear")
    second = open_check(book, small)
    penetrant_checks.stage(book, [second.id], "penetrant_at")
    assert facts.facts_of(book, small.job.id).penetrant_clear == 0
    penetrant_checks.undo_stage(book, [second.id], "penetrant_at")
    assert facts.facts_of(book, small.job.id).penetrant_clear == 1


def test_an_overrule_goes_with_its_crack(book: Book, small: SmallJob) -> None:
    check = open_check(book, small)
    with pytest.raises(Refused, match="nothing to overrule"):
        penetrant_checks.overrule(book, check.id, by="Ada", reason="no reason")
    penetrant_checks.set_result(book, check.id, result="crack", notes="0.4 in long")
    penetrant_checks.overrule(book, check.id, by="Ada", reason="scratch")
    penetrant_checks.set_result(book, check.id, result="")
    penetrant_checks.set_result(book, check.id, result="crack")
    assert cracks(book, small) == 1, "a crack noted anew is not covered by the old overrule"
    assert penetrant_checks.check(book, check.id).notes == "0.4 in long"
    told = [e.old for e in events.events_of(book, "penetrant_check", check.id)]
    assert "Ada: scratch" in told, "who overruled stays in the log"


def test_the_first_stamp_stands_and_an_unused_check_takes_new_conditions(
    book: Book, small: SmallJob
) -> None:
    check = open_check(book, small)
    again = open_check(book, small, short_dwell=True)
    assert again.id == check.id
    assert again.short_dwell
    first = penetrant_checks.stage(book, [check.id], "penetrant_at")
    assert penetrant_checks.stage(book, [check.id], "penetrant_at") != first
    assert penetrant_checks.check(book, check.id).penetrant_at == first
    assert open_check(book, small).short_dwell, "one that runs keeps its own"


def test_a_standard_of_another_program_still_has_a_clock(book: Book, small: SmallJob) -> None:
    (check,) = penetrant_checks.start_checks(
        book, job_id=small.job.id, standard="house rule 7", areas=KEYWAY
    )
    assert clock_of(check, datetime.now(UTC)).stage == "not started"


def test_the_card_says_when_the_rest_is_over(book: Book, small: SmallJob) -> None:
    """A working sweep after the hit, then the rest of the shop's setting."""
    from core.book import hits

    sweeps.finish_sweep(book, small.sweep.id)
    hits.add_hit(book, job_id=small.job.id, round_no=1, method="press", station_in=12.0,
                 clock_deg=0.0, angle_rad=0.001)  # fmt: skip
    working = sweeps.start_sweep(book, job_id=small.job.id, purpose="working", roller_a_in=6.0,
                                 roller_b_in=18.0, stations_in=(6.0, 12.0, 18.0),
                                 marks_deg=(0.0, 180.0))  # fmt: skip
    take_reading(book, working.id, station_in=6.0, clock_deg=0.0, value_in=0.001, raw="1")
    sweeps.finish_sweep(book, working.id)

    def said() -> tuple[str, str, str]:
        step = next(s for s in steps_of(facts.facts_of(book, small.job.id)) if s.name == "hold")
        return step.place, step.purpose, step.say

    assert said() == ("hold", "", "after a rest")
    settings.save(book, hold_hours=0.0)
    assert said() == ("hold", "", "rest is over: sweep it again")
    check = sweeps.start_sweep(book, job_id=small.job.id, purpose="hold check", roller_a_in=6.0,
                               roller_b_in=18.0, stations_in=(6.0, 12.0, 18.0),
                               marks_deg=(0.0, 180.0))  # fmt: skip
    assert said() == ("sweep", "hold check", "go on, 0 readings taken")
    sweeps.finish_sweep(book, check.id)
    assert said()[0] == "hold"


def test_the_card_counts_every_planned_area_and_the_spot_that_was_hit(
    book: Book, small: SmallJob
) -> None:
    """As the penetrant screen and the release do; a spot hit after its check is left again."""
    now = datetime(2026, 3, 14, tzinfo=UTC)
    areas = [(a.name, a.from_in, a.to_in) for a in planned_areas(book, small.job.id)]
    assert counted(book, facts.facts_of(book, small.job.id), now).penetrant_areas == 0
    for made in penetrant_checks.start_checks(
        book, job_id=small.job.id, standard=standards()[0].title, areas=areas[:2]
    ):
        penetrant_checks.set_result(book, made.id, result="clear")
    found = counted(book, facts.facts_of(book, small.job.id), now)
    assert (found.penetrant_areas, found.penetrant_clear) == (len(areas), 2)
    hits.add_hit(
        book, job_id=small.job.id, round_no=1, method="press", station_in=30.0, clock_deg=0.0,
        angle_rad=0.001,
    )  # fmt: skip
    found = counted(book, facts.facts_of(book, small.job.id), now)
    assert (found.penetrant_areas, found.penetrant_spots_left) == (len(areas) + 1, 1)
