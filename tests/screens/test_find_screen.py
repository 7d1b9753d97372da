"""F3: how many there are, more than a page of them, what was done; contact data from intake."""

from __future__ import annotations

from pathlib import Path

from textual.widgets import Static

from core.book import customers, jobs, shafts
from core.book.opening import open_book
from core.book.privacy.erase import erase_customer
from core.book.search.find import Page
from core.book.upkeep.merge import merge_book
from core.jobs.find_jobs import find_jobs
from core.reports.job_export import job_record
from tests.support.app_helpers import message, opened
from tests.support.book_helpers import add_job, open_fixed
from tui.screens.board.search_rows import count_words
from tui.screens.intake.intake_fields import read_whole, store
from tui.widgets.list_box import ListBox
from tui.widgets.number_input import LineInput


async def test_a_long_list_goes_on_at_its_end_and_says_how_long_it_is(tmp_path: Path) -> None:
    """Found: 50 of 4,519 were listed, without a count or a way to the others."""
    async with opened(tmp_path) as (app, pilot):
        with app.book.write():
            here = jobs.open_jobs(app.book)[0]
            jobs.set_state(app.book, here.id, "released")
            for _ in range(55):
                new = jobs.start_job(app.book, shaft_id=here.shaft_id)
                jobs.set_state(app.book, new.id, "released")
        total = find_jobs(app.book, "released").total
        await pilot.press("f3")
        app.screen.query_one(LineInput).value = "released"
        await pilot.pause()
        box = app.screen.query_one(ListBox)
        assert len(box.rows) == 50
        await pilot.pause(0.3)
        assert f"{total} jobs. 50 listed" in message(app)
        assert "Visit " in str(app.screen.query_one("#about", Static).content)
        box.move(40)
        await pilot.press("pagedown", "pagedown")
        assert len(box.rows) == total
        assert len({row.name for row in box.rows}) == total


def test_the_count_in_words() -> None:
    assert count_words(Page((), 0), 0) == ""
    assert count_words(Page((), 1, sure=1), 1) == "1 job."
    assert count_words(Page((), 4519, sure=4519), 50).startswith("4,519 jobs. 50 listed")
    assert count_words(Page((), 50, True, 50), 50) == "More than 49 jobs."
    assert count_words(Page((), 60, sure=40), 50).startswith("40 of that time; then 20 ")


def test_contact_fields_are_stored_found_exported_merged_and_deleted(tmp_path: Path) -> None:
    """Found: columns for them were there, and no screen that took them."""
    typed = {"email": "mo@example.com", "address": "7 Dock Street", "about": "the yellow tug"}
    with open_fixed(tmp_path / "b.db") as book, open_book(tmp_path / "other.db") as other:
        small = add_job(book)
        for name, value in typed.items():
            store(book, read_whole(book, small.job.id), name, value)
        for value in typed.values():
            assert [one.tag for one in find_jobs(book, value).found] == [small.job.tag]
            assert value in str(job_record(book, small.job, contact=True))
            assert value not in str(job_record(book, small.job, contact=False))
        merge_book(other, book.path, dry_run=False)
        assert customers.customer(other, small.customer.id).notes == "the yellow tug"
        erase_customer(book, small.customer.id)
        gone = customers.customer(book, small.customer.id)
        assert (gone.email, gone.address, gone.notes) == ("", "", "")
        assert all(not find_jobs(book, value).total for value in typed.values())
        assert shafts.shaft(book, small.shaft.id) == small.shaft
