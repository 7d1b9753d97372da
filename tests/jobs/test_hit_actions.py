"""Noting, correcting and taking back hits, without a screen."""

from __future__ import annotations

import math
from pathlib import Path

import numpy as np
import pytest

from core.base.errors import ShaftlogError
from core.base.records import Job
from core.book import hits, jobs, penetrant_checks, sweeps
from core.book.connection import Book
from core.book.opening import open_book
from core.jobs.hit_actions import (
    HitEntry,
    HitsChanged,
    before_sweep,
    check_may_hit,
    correct_hit,
    half_read_sweep,
    next_round,
    note_hit,
    quick_check,
    undo_hit,
)
from core.jobs.straightening import check_stations_in, read_rounds, work_out
from tests.support.bench_book import bent, new_job, new_sweep
from tests.support.book_helpers import Ticker

ENTRY = HitEntry(60.0, math.radians(90), 0.0003)


@pytest.fixture
def swept(tmp_path: Path) -> tuple[Book, Job]:
    """A job with its sweep as received finished."""
    book, job = new_job(tmp_path / "shop.db", now=Ticker())
    sweep = new_sweep(book, job, purpose="as received", read=99)
    sweeps.finish_sweep(book, sweep.id)
    return book, job


def note(book: Book, job: Job, entry: HitEntry = ENTRY, **more):
    return note_hit(book, job.id, entry, seen=read_rounds(book, job.id).hit_ids, **more)


def test_as_planned_leaves_empty_what_nobody_read(swept: tuple[Book, Job]) -> None:
    made = note(*swept)
    assert (made.load_lbf, made.travel_in, made.stays_in) == (None, None, None)
    assert made.clock_deg == pytest.approx(90.0)


def test_the_clock_is_stored_as_a_number_not_as_it_is_shown(swept: tuple[Book, Job]) -> None:
    made = note(*swept, HitEntry(60.0, math.radians(91.37), 0.0003))
    assert made.clock_deg == pytest.approx(91.37)


def test_two_benches_that_note_the_hit_they_were_shown_store_one(
    swept: tuple[Book, Job], tmp_path: Path
) -> None:
    book, job = swept
    with open_book(tmp_path / "shop.db", by="bench 2") as other:
        shown_here, shown_there = (read_rounds(b, job.id).hit_ids for b in (book, other))
        note_hit(book, job.id, ENTRY, seen=shown_here)
        with pytest.raises(HitsChanged, match=r"60\.00 in, clock 90.*bench 1") as raised:
            note_hit(other, job.id, ENTRY, seen=shown_there)
        assert [made.station_in for made in raised.value.newer] == [60.0]
        assert len(hits.hits_of(other, job.id)) == 1
        note_hit(other, job.id, ENTRY, seen=shown_there, confirmed=True)
        assert len(hits.hits_of(book, job.id)) == 2, "the person said that it is one more hit"


def test_a_hit_taken_back_elsewhere_is_said_too(swept: tuple[Book, Job]) -> None:
    book, job = swept
    note(book, job)
    shown = read_rounds(book, job.id).hit_ids
    undo_hit(book, job.id)
    with pytest.raises(HitsChanged, match="took a hit back"):
        note_hit(book, job.id, ENTRY, seen=shown)


def test_a_hit_that_was_not_shown_is_not_taken_back(swept: tuple[Book, Job]) -> None:
    book, job = swept
    note(book, job)
    shown = read_rounds(book, job.id).hit_ids
    theirs = note(book, job, HitEntry(30.0, 1.0, 0.0003))
    with pytest.raises(ShaftlogError, match=r"30\.00 in.*Nothing is taken back"):
        undo_hit(book, job.id, seen=shown)
    assert len(hits.hits_of(book, job.id)) == 2
    assert undo_hit(book, job.id, seen=read_rounds(book, job.id).hit_ids).id == theirs.id


def test_a_round_lasts_until_something_is_read(swept: tuple[Book, Job]) -> None:
    book, job = swept
    assert next_round(read_rounds(book, job.id)) == 1
    assert [note(book, job).round_no, note(book, job).round_no] == [1, 1]
    sweeps.finish_sweep(book, new_sweep(book, job, purpose="working", read=99).id)
    assert note(book, job).round_no == 2


def test_a_wrong_side_is_corrected_after_the_check_in_its_own_round(
    swept: tuple[Book, Job],
) -> None:
    book, job = swept
    made = note(book, job)
    sweep_id = quick_check(book, job.id, work_out(read_rounds(book, job.id)).story)
    read_all(book, sweep_id)
    fixed = correct_hit(book, made.id, HitEntry(60.0, math.radians(270), 0.0003))
    assert (fixed.round_no, fixed.at) == (1, made.at)
    raw = read_rounds(book, job.id)
    assert raw.rounds[0].check is not None, "the check after the hit still counts"
    assert [h.clock_deg for h in raw.rounds[0].hits] == [pytest.approx(270)]
    assert undo_hit(book, job.id).id == fixed.id
    assert hits.hits_of(book, job.id) == (hits.hit(book, made.id),)
    with pytest.raises(ShaftlogError, match="change a figure"):
        correct_hit(book, made.id, ENTRY)


def test_a_quick_check_copies_the_last_full_sweep(swept: tuple[Book, Job]) -> None:
    book, job = swept
    full = sweeps.sweeps_of(book, job.id)[-1]
    with pytest.raises(ShaftlogError, match="nothing to check"):
        quick_check(book, job.id, work_out(read_rounds(book, job.id)).story)
    note(book, job)
    story = work_out(read_rounds(book, job.id)).story
    check = sweeps.sweep(book, quick_check(book, job.id, story))
    for name in (
        "roller_a_in", "roller_b_in", "marks_deg", "direction", "resolution_in",
        "repeatability_in", "dial_turn_in", "gauge", "measured_by", "closing",
    ):  # fmt: skip
        assert getattr(check, name) == getattr(full, name), name
    assert check.stations_in == check_stations_in(story)
    assert quick_check(book, job.id, story) == check.id, "the one begun already"


def test_who_may_hit(swept: tuple[Book, Job]) -> None:
    book, job = swept
    check_may_hit(book, job.id)
    (check,) = penetrant_checks.start_checks(
        book, job_id=job.id, standard="shop", areas=[("taper", 100.0, 110.0)]
    )
    penetrant_checks.set_result(book, check.id, result="crack")
    with pytest.raises(ShaftlogError, match="crack"):
        note(book, job)
    penetrant_checks.overrule(book, check.id, by="A. Foreman", reason="scratch")
    note(book, job)
    jobs.set_state(book, job.id, "returned")
    for act in (lambda: note(book, job), lambda: undo_hit(book, job.id)):
        with pytest.raises(ShaftlogError, match="closed"):
            act()


def test_a_hit_in_the_middle_of_a_sweep_is_asked_for(swept: tuple[Book, Job]) -> None:
    book, job = swept
    assert half_read_sweep(book, job.id) is None
    begun = new_sweep(book, job, purpose="working", read=1)
    found = half_read_sweep(book, job.id)
    assert found is not None
    assert (found[0].id, found[1] > 0) == (begun.id, True)
    made = note(book, job, HitEntry(60.0, 1.0, 0.0003, at=before_sweep(begun)))
    assert made.at < begun.started_at


def read_all(book: Book, sweep_id: str) -> None:
    """Every mark of a sweep, the shaft as it came."""
    from core.book.readings import take_reading

    sweep = sweeps.sweep(book, sweep_id)
    for station_in in sweep.stations_in:
        for clock_deg in sweep.marks_deg:
            value_in = float(np.round(bent(station_in, clock_deg), 4))
            take_reading(
                book, sweep_id, station_in=station_in, clock_deg=clock_deg, value_in=value_in,
                raw=f"{1000 * value_in:g}",
            )  # fmt: skip
    sweeps.finish_sweep(book, sweep_id)
