"""A stroke led by what stays: each reading stored, the hit noted with the first."""

from __future__ import annotations

from dataclasses import replace

import pytest

from core.base.errors import ShaftlogError
from core.base.records import Job
from core.book import hits, shafts
from core.book.connection import Book
from core.book.errors import Overtaken
from core.jobs.hit_actions import HitEntry, as_planned_entry, entry_of
from core.jobs.press_setup import shown_set_rad, stroke_of
from core.jobs.straightening import planned_hit, read_rounds, tell, work_out
from core.jobs.strokes import (
    led,
    loads_of,
    once_more,
    read_load,
    stroke_of_entry,
    undo_load,
)
from tests.jobs.test_hit_actions import swept  # noqa: F401

ENTRY = HitEntry(60.0, 1.0, 0.003, blocks_in=24.0, diameter_in=2.0, by="Ada")


def read(book: Book, job: Job, stays_in: float, hit_id: str | None = None, entry=ENTRY) -> str:
    seen = read_rounds(book, job.id).hit_ids
    return read_load(book, job.id, entry, hit_id, stays_in, seen=seen).id


def the_stroke(book: Book, job: Job, entry: HitEntry = ENTRY):
    return stroke_of_entry(shafts.shaft(book, job.shaft_id), entry)


@pytest.fixture
def begun(swept: tuple[Book, Job]) -> tuple[Book, Job]:  # noqa: F811
    book, job = swept
    shafts.change_shaft(book, job.shaft_id, material="S31600", diameter_in=2.0)
    return book, job


def test_the_first_reading_notes_the_hit_and_the_last_is_what_stays(
    begun: tuple[Book, Job],
) -> None:
    book, job = begun
    hit_id = read(book, job, 0.0)
    read(book, job, 0.0124, hit_id)
    (made,) = hits.hits_of(book, job.id)
    assert (made.stays_in, made.travel_in, made.by) == (0.0124, None, "Ada")
    assert (made.blocks_in, made.diameter_in) == (24.0, 2.0)


def test_a_load_typed_as_what_the_dial_stays_at_is_refused(begun: tuple[Book, Job]) -> None:
    book, job = begun
    with pytest.raises(ShaftlogError, match=r"cannot stay at 6000\.0 thou"):
        read(book, job, 6.0)
    assert hits.hits_of(book, job.id) == (), "nothing is noted"
    with pytest.raises(ShaftlogError, match="after release"):
        read(book, job, 0.0, entry=replace(ENTRY, stays_in=0.7))


def test_the_stroke_goes_on_after_an_interruption_where_it_was(begun: tuple[Book, Job]) -> None:
    book, job = begun
    hit_id = read(book, job, 0.0)
    read(book, job, 0.0051, hit_id)
    (made,) = hits.hits_of(book, job.id)
    state = led(the_stroke(book, job), loads_of(book, made))
    again = led(the_stroke(book, job, entry_of(made)), loads_of(book, made))
    assert state == again
    assert [one.stays_in for one in state.tried] == [0.0, 0.0051]
    assert state.next.travel_in is not None
    assert state.next.travel_in > state.tried[-1].travel_in


def test_it_is_done_once_it_stays_where_asked(begun: tuple[Book, Job]) -> None:
    book, job = begun
    stroke = the_stroke(book, job)
    hit_id = read(book, job, stroke.stays_in)
    state = led(stroke, loads_of(book, hits.hit(book, hit_id)))
    assert state.next.done
    assert state.next.set_rad == pytest.approx(0.003)
    with pytest.raises(ShaftlogError, match="nothing is left"):
        once_more(ENTRY, state)


def test_undo_takes_the_last_reading_then_the_hit(begun: tuple[Book, Job]) -> None:
    book, job = begun
    hit_id = read(book, job, 0.0)
    read(book, job, 0.0124, hit_id)
    made = hits.hit(book, hit_id)
    assert not undo_load(book, made)
    assert hits.hits_of(book, job.id)[0].stays_in == 0.0
    assert undo_load(book, made)
    assert hits.hits_of(book, job.id) == ()
    assert hits.readings_of_job(book, job.id) == ()


def test_one_more_stroke_asks_for_what_lacks(begun: tuple[Book, Job]) -> None:
    book, job = begun
    stroke = the_stroke(book, job)
    hit_id = read(book, job, stroke.stays_in / 3)
    more = once_more(ENTRY, led(stroke, loads_of(book, hits.hit(book, hit_id))))
    assert more.asked_rad == pytest.approx(0.002)
    assert (more.station_in, more.blocks_in, more.stays_in) == (60.0, 24.0, None)


def test_without_the_diameter_there_no_load_is_worked_out(begun: tuple[Book, Job]) -> None:
    with pytest.raises(ShaftlogError, match="diameter under the ram"):
        the_stroke(*begun, replace(ENTRY, diameter_in=None))


def test_on_a_taper_the_shaft_s_diameter_is_never_taken(begun: tuple[Book, Job]) -> None:
    book, job = begun
    shafts.add_area(book, shaft_id=job.shaft_id, kind="taper", name="t", from_in=55, to_in=70)
    raw = read_rounds(book, job.id)
    hit = replace(work_out(raw).plan[0].hit, station_in=60.0)
    planned = planned_hit(raw, hit)
    assert planned.stroke is None
    assert "diameter" in planned.trouble
    assert as_planned_entry(planned, raw).diameter_in is None


def test_what_the_dial_showed_is_what_the_hit_was_to_take_out(begun: tuple[Book, Job]) -> None:
    """A stroke given up half way is no bad response of the steel."""
    book, job = begun
    shaft = shafts.shaft(book, job.shaft_id)
    stroke = stroke_of(shaft, 24.0, 60.0, 0.003)
    read(book, job, stroke.stays_in / 2)
    (made,) = hits.hits_of(book, job.id)
    assert shown_set_rad(shaft, made) == pytest.approx(0.0015)
    story = tell(read_rounds(book, job.id))
    assert story is not None
    assert story.hits[0].angle_rad == pytest.approx(0.0015, rel=1e-6)


def test_a_hit_whose_dial_was_not_read_keeps_the_angle_asked(begun: tuple[Book, Job]) -> None:
    book, job = begun
    assert shown_set_rad(shafts.shaft(book, job.shaft_id), _unread(book, job)) is None


def _unread(book: Book, job: Job):
    return hits.add_hit(
        book, job_id=job.id, round_no=1, method="press", station_in=60, clock_deg=1, angle_rad=0.003
    )


def test_a_load_read_at_another_bench_is_not_read_twice(begun: tuple[Book, Job]) -> None:
    book, job = begun
    hit_id = read(book, job, 0.0)
    read_load(book, job.id, ENTRY, hit_id, 0.002, seen=(), loads=1)
    with pytest.raises(Overtaken, match="Another bench was at this stroke"):
        read_load(book, job.id, ENTRY, hit_id, 0.002, seen=(), loads=1)
    assert [one.value_in for one in loads_of(book, hits.hit(book, hit_id))] == [0.0, 0.002]


def test_a_stroke_taken_back_at_another_bench_is_said_to_be_so(begun: tuple[Book, Job]) -> None:
    """It said that a hit had been noted after this one."""
    book, job = begun
    made = hits.hit(book, read(book, job, 0.0))
    hits.undo_hit(book, job.id)
    with pytest.raises(ShaftlogError, match="taken back or corrected meanwhile"):
        undo_load(book, made)
