"""A shaft that comes back, or the bar in the place of one that is scrap."""

from __future__ import annotations

import pytest

from core.book import history, jobs, shafts
from core.book.connection import Book
from core.book.errors import Overtaken
from core.book.opening import open_book
from core.jobs.next_visit import begin_next_visit, open_job_on, scrapped_in
from tests.support.book_helpers import SmallJob


def test_the_next_job_is_on_the_same_shaft(book: Book, small: SmallJob) -> None:
    assert open_job_on(book, small.shaft.id) == small.job
    jobs.set_state(book, small.job.id, "released")
    new, words = begin_next_visit(book, small.job.id)
    assert new.shaft_id == small.shaft.id
    assert "same shaft" in words
    assert open_job_on(book, small.shaft.id) == new


def test_after_a_replacement_the_old_bar_is_scrap_and_a_new_one_is_begun(
    book: Book, small: SmallJob
) -> None:
    """Found: the scrapped bar was offered once more, 'visit 2 of this shaft'."""
    jobs.set_state(book, small.job.id, "replaced")
    scrapped = scrapped_in(book, small.shaft.id)
    assert scrapped is not None
    new, words = begin_next_visit(book, small.job.id)
    assert f"replaced in {scrapped.tag} and is scrap" in words
    assert new.shaft_id != small.shaft.id
    bar = history.shaft_of(book, new)
    assert (bar.diameter_in, bar.position) == (small.shaft.diameter_in, small.shaft.position)
    kinds = [area.kind for area in shafts.areas_of(book, bar.id)]
    assert kinds == [area.kind for area in shafts.areas_of(book, small.shaft.id)]
    assert history.shaft_of(book, jobs.job(book, small.job.id)) == small.shaft


def test_two_benches_begin_one_job_on_one_new_bar(book: Book, small: SmallJob) -> None:
    """Found: each press on the job that ended with a new shaft made one more bar and job."""
    jobs.set_state(book, small.job.id, "replaced")
    first, _ = begin_next_visit(book, small.job.id)
    with (
        open_book(book.path, by="Bo") as other,
        pytest.raises(Overtaken, match=f"job {first.tag} is open"),
    ):
        begin_next_visit(other, small.job.id)
    assert open_job_on(book, small.shaft.id) == first
    assert len(shafts.shafts_of(book, small.vessel.id)) == 2


def test_the_visit_after_goes_on_with_the_bar_in_place(book: Book, small: SmallJob) -> None:
    jobs.set_state(book, small.job.id, "replaced")
    first, _ = begin_next_visit(book, small.job.id)
    jobs.set_state(book, first.id, "released")
    assert scrapped_in(book, small.shaft.id) is None
    second, words = begin_next_visit(book, small.job.id)
    assert second.shaft_id == first.shaft_id
    assert "same shaft" in words


def test_a_closed_job_is_not_opened_beside_an_open_one(book: Book, small: SmallJob) -> None:
    jobs.set_state(book, small.job.id, "returned")
    new, _ = begin_next_visit(book, small.job.id)
    with pytest.raises(Overtaken, match=f"job {new.tag} is open"):
        jobs.set_state(book, small.job.id, "open", by="Ada")
