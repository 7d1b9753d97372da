"""The copy to work on is as fresh as on the day the shop was made, and sound."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import timedelta
from pathlib import Path

import pytest

from core.base.records import Job, Reading
from core.base.times import moment, utc_now
from core.book import jobs, rows
from core.book.connection import Book
from core.book.opening import open_book
from core.book.releases import last_release
from core.book.search.find import find
from core.book.upkeep.check import check_book
from core.book.upkeep.move_times import moved
from core.demo.copy import demo_copy
from core.jobs.intake.due import day_of, is_late

ROOT = Path(__file__).resolve().parents[2]
DAY_41 = timedelta(days=41, minutes=3)


@pytest.fixture(scope="module")
def place(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return demo_copy(tmp_path_factory.mktemp("demo") / "shop.db")


@pytest.fixture
def fresh(place: Path) -> Iterator[Book]:
    with open_book(place) as book:
        yield book


def test_moments_and_days_move_and_nothing_else() -> None:
    told = "As received: 2026-02-17 23:58 UTC, due 2026-02-18, tag 26-006, 2026-02-17T23:58:01.500Z"
    assert moved(told, DAY_41) == (
        "As received: 2026-03-31 00:01 UTC, due 2026-03-31, tag 26-006, 2026-03-31T00:01:01.500Z"
    )
    assert [moved(text, DAY_41) for text in (None, "", "1-3/4 x 2026", "2026-99-99")] == [
        None, "", "1-3/4 x 2026", "2026-99-99",
    ]  # fmt: skip


def test_the_last_entry_was_made_a_moment_ago(fresh: Book) -> None:
    taken = max(reading.taken_at for reading in rows.select(fresh, Reading, "1"))
    assert timedelta(0) < utc_now() - moment(taken) < timedelta(minutes=10)
    late = [is_late(job.due, day_of(fresh.now())) for job in jobs.open_jobs(fresh)]
    assert sum(late) <= 2


def test_papers_and_search_move_along(fresh: Book) -> None:
    shipped = ROOT / "demo.db"
    with open_book(shipped, read_only=True) as old:
        closed = {
            job.tag: (job, last_release(old, job.id))
            for job in rows.select(old, Job, "closed_at IS NOT NULL")
        }
    for tag, (before, paper) in closed.items():
        after = jobs.job_by_tag(fresh, tag)
        now = last_release(fresh, after.id)
        by = moment(after.opened_at) - moment(before.opened_at)
        assert by > timedelta(days=200)
        assert paper is not None
        assert now is not None
        assert now.ticket_text == moved(paper.ticket_text, by)
        assert moment(now.at) - moment(paper.at) == by
        month = f"{moment(after.opened_at):%b %Y}"
        assert tag in [found.tag for found in find(fresh, month)]


def test_the_copy_is_sound_and_its_guards_are_back(place: Path, fresh: Book) -> None:
    assert check_book(place).sound
    with open_book(ROOT / "demo.db", read_only=True) as old:
        assert guards(fresh) == guards(old)


def guards(book: Book) -> set[tuple[str, str]]:
    rows = book.con.execute("SELECT name, sql FROM sqlite_master WHERE type = 'trigger'")
    return {(row[0], row[1]) for row in rows}
