"""Owner and shaft as of each visit: what is entered on a later visit leaves the old jobs alone."""

from __future__ import annotations

import ast
from pathlib import Path

import pytest

import core
import tui
from core.base.records import Job
from core.book import customers, history, jobs, settings, shafts
from core.book.audit import note_change
from core.book.changes import changes_of
from core.book.connection import Book
from core.book.errors import Overtaken
from core.book.opening import open_book
from core.book.privacy.erase import customer_by_words, erase_customer, erase_plan
from core.book.search import find as search
from core.jobs.measured import read_fit_facts
from core.jobs.straightening import read_rounds
from core.jobs.visits import read_visits
from core.reports.ticket_collect import ticket_of
from tests.support.book_helpers import SmallJob


def visit(book: Book, small: SmallJob) -> Job:
    """The first visit is over, a second one begins."""
    jobs.set_state(book, small.job.id, "released")
    return jobs.start_job(book, shaft_id=small.shaft.id)


def test_a_boat_that_was_sold_keeps_its_old_owner_on_old_jobs(book: Book, small: SmallJob) -> None:
    """Found: the new owner's name went over all boats and jobs of the old one."""
    other = customers.add_vessel(book, customer_id=small.customer.id, name="Gray Mitten")
    second = visit(book, small)
    nell = customers.sold_to(book, small.vessel.id, name="New Owner Nell", phone="555-0111")
    assert history.owner_of(book, second) == nell
    first = jobs.job(book, small.job.id)
    assert history.owner_of(book, first).name == "Haldorsen, Ines"
    assert customers.vessel(book, other.id).customer_id == small.customer.id
    assert customers.customer(book, small.customer.id).name == "Haldorsen, Ines"
    for words in ("haldorsen", "nell"):
        found = {one.tag for one in search.find(book, words)}
        assert found == {first.tag, second.tag}, words
    assert "Haldorsen" in ticket_of(book, first.id).text
    assert "Nell" in ticket_of(book, second.id).text


def test_a_corrected_name_is_corrected_everywhere_and_still_found(
    book: Book, small: SmallJob
) -> None:
    second = visit(book, small)
    customers.change_customer(book, small.customer.id, name="Haldorson, Ines")
    for job in (jobs.job(book, small.job.id), second):
        assert history.owner_of(book, job).name == "Haldorson, Ines"
    assert len(search.find(book, "haldorsen")) == len(search.find(book, "haldorson")) == 2


def test_a_shaft_turned_down_keeps_its_old_size_on_old_jobs(book: Book, small: SmallJob) -> None:
    """Found: the card of a job released in 2023 said 1.1 in, its ticket 1.25."""
    was = small.shaft.diameter_in
    second = visit(book, small)
    shafts.change_shaft(book, small.shaft.id, why="turned down", diameter_in=1.1)
    first = jobs.job(book, small.job.id)
    assert history.shaft_of(book, first).diameter_in == was
    assert history.shaft_of(book, second).diameter_in == 1.1
    assert read_fit_facts(book, first.id).diameter_in == was
    (kept,) = history.past_of(book, small.shaft.id)
    assert (kept.why, kept.until_at) == ("turned down", second.opened_at)
    shafts.change_shaft(book, small.shaft.id, length_in=70.0)
    assert history.shaft_of(book, first).length_in == small.shaft.length_in
    assert len(history.past_of(book, small.shaft.id)) == 1


def test_a_corrected_size_holds_for_the_old_jobs_too(book: Book, small: SmallJob) -> None:
    visit(book, small)
    shafts.change_shaft(book, small.shaft.id, corrected=True, diameter_in=1.26)
    assert history.shaft_of(book, jobs.job(book, small.job.id)).diameter_in == 1.26
    assert history.past_of(book, small.shaft.id) == ()


@pytest.mark.parametrize("act", ["limit", "removed", "added"])
def test_areas_and_limits_are_those_of_the_visit(book: Book, small: SmallJob, act: str) -> None:
    (area,) = shafts.areas_of(book, small.shaft.id)
    second = visit(book, small)
    if act == "limit":
        shafts.change_area(book, area.id, limit_in=0.009)
    elif act == "removed":
        shafts.remove_area(book, area.id)
    else:
        shafts.add_area(book, shaft_id=small.shaft.id, kind="other", from_in=3.0, to_in=5.0)
    assert history.areas_of(book, jobs.job(book, small.job.id)) == (area,)
    assert history.areas_of(book, second) == shafts.areas_of(book, small.shaft.id) != (area,)


def test_each_visit_shows_its_own_size(book: Book, small: SmallJob) -> None:
    seen = [small.job]
    for diameter_in in (1.2, 1.1, 1.0):
        jobs.set_state(book, seen[-1].id, "released")
        seen.append(jobs.start_job(book, shaft_id=small.shaft.id))
        shafts.change_shaft(book, small.shaft.id, diameter_in=diameter_in)
    sizes = [history.shaft_of(book, job).diameter_in for job in seen]
    assert sizes == [small.shaft.diameter_in, 1.2, 1.1, 1.0]


def test_a_vessel_with_a_new_engine_and_name(book: Book, small: SmallJob) -> None:
    visit(book, small)
    customers.change_vessel(book, small.vessel.id, name="Far Wren", engine_hp=400.0)
    assert history.vessel_of(book, jobs.job(book, small.job.id)).name == "Grey Petrel"
    assert len(search.find(book, "petrel")) == 2


def test_before_the_first_visit_is_over_nothing_is_kept(book: Book, small: SmallJob) -> None:
    shafts.change_shaft(book, small.shaft.id, diameter_in=1.3)
    customers.sold_to(book, small.vessel.id, name="Other")
    assert history.past_of(book, small.shaft.id) == history.past_of(book, small.vessel.id) == ()


def test_two_presses_make_one_job(book: Book, small: SmallJob) -> None:
    jobs.set_state(book, small.job.id, "released")
    first = jobs.start_job(book, shaft_id=small.shaft.id)
    with (
        open_book(book.path, by="Bo") as other,
        pytest.raises(Overtaken, match=f"job {first.tag} is open"),
    ):
        jobs.start_job(other, shaft_id=small.shaft.id)


def test_an_erased_owner_is_gone_from_the_past_too(book: Book, small: SmallJob) -> None:
    visit(book, small)
    customers.change_vessel(book, small.vessel.id, notes="Haldorsen's old boat")
    customers.sold_to(book, small.vessel.id, name="New Owner Nell")
    erase_customer(book, small.customer.id)
    everything = "\n".join(book.con.iterdump())
    assert "Haldorsen" not in everything
    assert "New Owner Nell" in everything


def test_a_limit_of_the_shop_changed_later_does_not_judge_an_old_job(
    book: Book, small: SmallJob
) -> None:
    """Found: a job released by 2 thou was shown NOT TRUE once the shop's limit became 1 thou."""
    shafts.change_area(book, shafts.areas_of(book, small.shaft.id)[0].id, limit_in=None)
    settings.save(book, limit_taper_in=0.003)
    second = visit(book, small)
    settings.save(book, limit_taper_in=0.001, acceptance_rule="simple")
    settings.save(book, limit_taper_in=0.0005)
    first = jobs.job(book, small.job.id)
    then = settings.as_of(book, first.closed_at)
    assert (then.limit_taper_in, then.acceptance_rule) == (0.003, "guarded")
    assert settings.as_of(book, second.closed_at) == settings.load(book)
    assert [a.limit_in for a in read_visits(book, first.id).areas] == [0.003]
    assert [a.limit_in for a in read_visits(book, second.id).areas] == [0.0005]
    assert read_rounds(book, first.id).areas[0].limit_in == 0.003


def test_a_limit_changed_in_a_book_taken_in_is_not_taken_for_ours(
    book: Book, small: SmallJob
) -> None:
    visit(book, small)
    with book.write():
        note_change(book, "setting", "limit_taper_in", "value", 0.004, 0.005)
    first = jobs.job(book, small.job.id)
    assert settings.as_of(book, first.closed_at) == settings.load(book)


def test_erasing_the_owner_of_an_old_job_leaves_the_new_owner(book: Book, small: SmallJob) -> None:
    """Found: `erase` with the tag of an old job took the data of whoever owns the boat now."""
    second = visit(book, small)
    nell = customers.sold_to(book, small.vessel.id, name="New Owner Nell")
    assert customer_by_words(book, small.job.tag).id == small.customer.id
    assert customer_by_words(book, second.tag) == nell
    assert [job.tag for job in erase_plan(book, small.customer.id).jobs] == [small.job.tag]
    assert [job.tag for job in erase_plan(book, nell.id).jobs] == [second.tag]


def test_the_changes_of_an_old_job_are_those_of_its_owner(book: Book, small: SmallJob) -> None:
    second = visit(book, small)
    nell = customers.sold_to(book, small.vessel.id, name="New Owner Nell")
    customers.change_customer(book, nell.id, phone="555-0111")
    customers.change_customer(book, small.customer.id, phone="555-0122")
    phones = {
        job.tag: [one.new for one in changes_of(book, job.id) if one.field == "phone"]
        for job in (small.job, second)
    }
    assert phones == {small.job.tag: ["555-0122"], second.tag: ["555-0111"]}


OF_NOW = {"new_job.py", "new_shaft.py", "changes.py"}
"""Files that mean the boat or shaft as it is now, or list what hangs on it by id."""


def test_a_job_is_shown_as_its_boat_and_shaft_were_at_the_visit() -> None:
    """Red here: a use case or screen reads the rows of now. Take `history.shaft_of(book, job)`."""
    found = set()
    for top in (core.__file__, tui.__file__):
        for path in Path(str(top)).parent.rglob("*.py"):
            if "demo" in path.parts or path.parts[-2:][0] == "book":
                continue
            for node in ast.walk(ast.parse(path.read_text())):
                call = ast.unparse(node.func) if isinstance(node, ast.Call) else ""
                if call in ("shafts.shaft", "shafts.areas_of", "customers.vessel"):
                    found.add(path.name)
    assert found - OF_NOW == set()
