"""Closed is closed: no function of the book enters anything on a closed job."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from contextlib import suppress
from pathlib import Path

import pytest

import core.book
from core.base.records import Job
from core.book import (
    customers,
    history,
    jobs,
    settings,
)
from core.book.audit import events_of
from core.book.connection import Book
from core.book.errors import ClosedJob
from core.book.readings import (
    take_reading,
)
from core.book.upkeep.tables import WITH_ID
from tests.book.test_changes import WRITES, Parts
from tests.support.book_helpers import SmallJob, add_job, open_fixed


def test_a_note_may_be_added_later(everything_closed: tuple[Book, SmallJob, Parts]) -> None:
    book, small, _ = everything_closed
    assert jobs.add_note(book, job_id=small.job.id, text="owner says it runs well").text


def test_opening_it_again_needs_a_name_and_lets_entries_in(tmp_path: Path) -> None:
    with open_fixed(tmp_path / "shop.db") as book:
        small = add_job(book)
        jobs.set_state(book, small.job.id, "returned")
        for state in ("open", "waiting"):  # at another bench that does not know it is closed
            with pytest.raises(ClosedJob, match="opens it again, with a name"):
                jobs.set_state(book, small.job.id, state)
        jobs.set_state(book, small.job.id, "open", by="Bo")
        take_reading(book, small.sweep.id, station_in=6, clock_deg=0, value_in=0.001, raw="1")
        told = [(e.what, e.new) for e in events_of(book, "job", small.job.id)]
        assert ("opened again by", "Bo") in told
        customers.change_customer(book, small.customer.id, phone="1")


AFTER_CLOSING = {
    "add_customer", "change_customer", "add_vessel", "add_shaft", "new_bar",  # not of the job
    "change_vessel", "sold_to", "change_shaft", "add_area", "change_area", "remove_area",
    # of the boat: the closed visit keeps them as they were
    "start_job",  # the next visit
    "save",  # settings: the closed job is judged by those of its time
    "add_note",  # what the owner says later
    "log_printed",  # its paper was printed once more
    "settle",  # this one is of the customer; of a job: test_merge.py
}  # fmt: skip
"""Functions that write although the job is closed; what the job shows stays as it was."""
OTHER_WRITERS = {
    "insert", "change", "note_change", "write", "store_act",  # what the others are made of
    "keep_vessel", "keep_shaft",  # history itself
    "save_draft", "drop_draft", "here", "leave", "remember", "call_all",  # of the moment
    "open_book", "recover", "salvage", "mend_index", "merge_book", "move_times",  # whole books
    "erase_customer", "erase_again", "restored_words", "strike_everywhere", "drop_drafts",
    # personal data on request, from closed jobs too
    "insert_many", "add_cards", "take_up", "catch_up_cards", "rebuild_cards",  # cards of no job
    "note_conflict", "give_tag", "settle_marks",  # parts of a merge
}  # fmt: skip
"""Functions that write and are no entry on a job."""


def shown(book: Book, job: Job) -> list[object]:
    """All that belongs to a job, and the boat, shaft and limits as it shows them."""
    own: list[object] = [
        book.rows(f"SELECT * FROM {table} WHERE job_id = ? ORDER BY id", (job.id,))
        for table in WITH_ID
        if table != "note"
        and "job_id" in [row[1] for row in book.rows(f"PRAGMA table_info({table})")]
    ]
    own.append(
        book.rows(
            "SELECT reading.* FROM reading JOIN sweep ON sweep_id = sweep.id WHERE job_id = ? "
            "ORDER BY reading.id",
            (job.id,),
        )
    )
    own += [jobs.job(book, job.id), history.vessel_of(book, job), history.shaft_of(book, job)]
    limits = settings.as_of(book, job.closed_at)
    return [*own, history.areas_of(book, job), limits.limit_taper_in, limits.acceptance_rule]


@pytest.mark.parametrize("name", WRITES)
def test_no_writer_changes_what_a_closed_job_shows(
    everything_closed: tuple[Book, SmallJob, Parts], name: str
) -> None:
    """Every function that writes, from the list that the event log is tested with."""
    book, small, parts = everything_closed
    job = jobs.job(book, small.job.id)
    before = shown(book, job)
    with suppress(_Enough), book.write():
        if name in AFTER_CLOSING:
            WRITES[name](book, small, parts)
        else:
            with pytest.raises(ClosedJob):
                WRITES[name](book, small, parts)
        assert shown(book, job) == before
        raise _Enough


@pytest.fixture(scope="module")
def everything_closed(
    tmp_path_factory: pytest.TempPathFactory,
) -> Iterator[tuple[Book, SmallJob, Parts]]:
    with open_fixed(tmp_path_factory.mktemp("all closed") / "shop.db") as book:
        small = add_job(book)
        parts = Parts(book, small)
        jobs.set_state(book, small.job.id, "released")
        yield book, small, parts


class _Enough(Exception):
    """Ends the transaction of a case, so that all cases start from the same rows."""


def test_every_function_of_the_book_that_writes_is_known_here() -> None:
    """Red here: a new function that writes, itself or through another, is on no list. Put it into
    `WRITES` of test_changes.py, so that it is tried on a closed job."""
    calls: dict[str, set[str]] = {}
    top = Path(core.book.__file__).parent
    for path in top.rglob("*.py"):
        if path.parent.name in ("schema", "search"):
            continue
        for node in ast.walk(ast.parse(path.read_text())):
            if isinstance(node, ast.FunctionDef):
                found = (one.func for one in ast.walk(node) if isinstance(one, ast.Call))
                names = {getattr(f, "attr", getattr(f, "id", "")) for f in found}
                calls.setdefault(node.name, set()).update(names)
    writers = {"write", "insert"}
    while new := {name for name, called in calls.items() if called & writers} - writers - COMMON:
        writers |= new
    public = {name for name in writers if not name.startswith("_")}
    assert public - set(WRITES) - OTHER_WRITERS - {"undo_reading"} == set()


COMMON = {"__init__", "reopen", "run", "add"}
"""Names of methods that stand for many things."""
