"""A changed owner or size at intake: asked in one line what it means; old visits keep theirs."""

from __future__ import annotations

from pathlib import Path

import pytest

from core.base.errors import ShaftlogError
from core.book import customers, history, jobs, shafts
from core.book.connection import Book
from core.book.search import find as search
from core.jobs.visits import read_visits
from tests.support.app_helpers import first_job, go, message, opened, text
from tests.support.book_helpers import SmallJob, add_job, open_fixed
from tests.support.typed_figures import enter, press
from tui.screens.intake.intake_fields import (
    CORRECTED,
    NOW,
    SOLD,
    read_whole,
    store,
    store_as_meant,
    what_is_meant,
)
from tui.widgets.form import Form


@pytest.fixture
def book(tmp_path: Path) -> Book:
    return open_fixed(tmp_path / "shop.db")


@pytest.fixture
def small(book: Book) -> SmallJob:
    return add_job(book)


def come_again(book: Book, small: SmallJob) -> str:
    """The first visit is over, a second one is open."""
    jobs.set_state(book, small.job.id, "released")
    return jobs.start_job(book, shaft_id=small.shaft.id).id


def answers(book: Book, job_id: str, name: str, value: object) -> list[str]:
    """What is asked."""
    return [item.name for item in what_is_meant(book, read_whole(book, job_id), name, value)]


def test_the_first_name_of_a_new_customer_is_not_asked_about(book: Book, small: SmallJob) -> None:
    assert answers(book, small.job.id, "name", "Haldorson") == []


@pytest.mark.parametrize("known_by", ["another boat", "an earlier job"])
def test_a_changed_name_asks_corrected_or_sold(book: Book, small: SmallJob, known_by: str) -> None:
    """Found: the old customer was renamed on all other boats and jobs, without a question."""
    job_id = small.job.id
    if known_by == "another boat":
        customers.add_vessel(book, customer_id=small.customer.id, name="Gray Mitten")
    else:
        job_id = come_again(book, small)
    assert answers(book, job_id, "name", "New Owner Nell") == [CORRECTED, SOLD]
    assert answers(book, job_id, "name", small.customer.name) == []


def test_sold_to_another_owner_and_both_names_find_the_boat(book: Book, small: SmallJob) -> None:
    other = customers.add_vessel(book, customer_id=small.customer.id, name="Gray Mitten")
    job_id = come_again(book, small)
    whole = read_whole(book, job_id)
    store(book, whole, "name", "New Owner Nell", SOLD)
    assert read_whole(book, job_id).customer.name == "New Owner Nell"
    assert read_whole(book, small.job.id).customer.name == small.customer.name
    assert customers.vessel(book, other.id).customer_id == small.customer.id
    for words in ("haldorsen", "nell"):
        found = {one.tag for one in search.find(book, words)}
        assert found == {jobs.job(book, one).tag for one in (small.job.id, job_id)}, words


def test_a_name_corrected_holds_on_all_jobs(book: Book, small: SmallJob) -> None:
    job_id = come_again(book, small)
    store(book, read_whole(book, job_id), "name", "Haldorson, Ines", CORRECTED)
    assert read_whole(book, small.job.id).customer.name == "Haldorson, Ines"


@pytest.mark.parametrize(
    ("name", "value", "done"),
    [
        ("diameter_in", 1.2, "turned down"),
        ("diameter_in", 1.3, "sleeved"),
        ("length_in", 70.0, "shortened"),
        ("material", "N05500", ""),
    ],
)
def test_a_changed_size_keeps_that_of_the_earlier_visit_and_what_was_done(
    book: Book, small: SmallJob, name: str, value: object, done: str
) -> None:
    """Found: the card of the job released before showed the new diameter."""
    job_id = come_again(book, small)
    assert answers(book, job_id, name, value) == [NOW, CORRECTED]
    store(book, read_whole(book, job_id), name, value, NOW)
    assert getattr(read_whole(book, job_id).shaft, name) == value
    assert getattr(read_whole(book, small.job.id).shaft, name) == getattr(small.shaft, name)
    assert [one.why for one in history.past_of(book, small.shaft.id)] == [done]
    first = read_visits(book, job_id).visits[0]
    assert (f"since: {done}." in first.size_then) == (done != "")


def test_a_size_entered_wrong_is_corrected_on_the_earlier_visit_too(
    book: Book, small: SmallJob
) -> None:
    job_id = come_again(book, small)
    store(book, read_whole(book, job_id), "diameter_in", 1.26, CORRECTED)
    assert read_whole(book, small.job.id).shaft.diameter_in == 1.26
    assert history.past_of(book, small.shaft.id) == ()


def test_what_another_bench_changed_while_it_was_asked_is_not_overwritten(
    book: Book, small: SmallJob
) -> None:
    job_id = come_again(book, small)
    seen = read_whole(book, job_id)
    shafts.change_shaft(book, small.shaft.id, diameter_in=1.24)
    with pytest.raises(ShaftlogError, match="Another bench changed the shaft while you were asked"):
        store_as_meant(book, seen, "diameter_in", 1.1, NOW)
    assert read_whole(book, job_id).shaft.diameter_in == 1.24


@pytest.mark.slow
async def test_the_question_is_one_line_and_one_digit(tmp_path: Path) -> None:
    async with opened(tmp_path) as (app, pilot):
        job_id = first_job(app)
        old = read_whole(app.book, job_id)
        customers.add_vessel(app.book, customer_id=old.customer.id, name="Gray Mitten")
        await go(app, pilot, "intake")
        await enter(pilot, "Nell")
        shown = text(app)
        assert "1 Same person, name corrected: Nell" in " ".join(shown.split())
        assert "was sold to Nell" in shown
        await press(pilot, "2")
        assert read_whole(app.book, job_id).customer.name == "Nell"
        assert "Customer: stored." in message(app)
        form = app.screen.query_one(Form)
        assert form.text_of("phone") == "", "the fields are those of the new owner"
        nell = read_whole(app.book, job_id).customer
        customers.add_vessel(app.book, customer_id=nell.id, name="Wren")
        form.focus_field("name")
        await press(pilot, *"Ned", "escape")
        assert "what does the change mean?" in text(app), "leaving asks too"
        await press(pilot, "escape")
        assert read_whole(app.book, job_id).customer.name == "Nell"
