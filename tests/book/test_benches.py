"""Several programs on one book: each sees the other's entries, two people on one job are warned."""

from __future__ import annotations

import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

from core.book import presence
from core.book.connection import Book
from core.book.opening import open_book
from core.book.readings import readings_of, take_reading
from tests.support.book_helpers import SmallJob, Ticker, add_job, open_fixed


@pytest.fixture
def other(book: Book, small: SmallJob) -> Iterator[Book]:
    with open_book(book.path, by="Bo") as opened:
        opened.changed_elsewhere()
        yield opened


def take(book: Book, small: SmallJob, clock_deg: float) -> None:
    take_reading(book, small.sweep.id, station_in=6, clock_deg=clock_deg, value_in=0.001, raw="1")


def test_each_sees_what_the_other_stored(book: Book, small: SmallJob, other: Book) -> None:
    assert not other.changed_elsewhere()
    take(book, small, 0)
    assert other.changed_elsewhere()
    assert not other.changed_elsewhere()
    assert len(readings_of(other, small.sweep.id)) == 1
    take(other, small, 90)
    assert not other.changed_elsewhere(), "its own entries are no news"
    assert book.changed_elsewhere()
    assert len(readings_of(book, small.sweep.id)) == 2


@pytest.mark.slow
def test_two_programs_write_at_once_and_nothing_is_lost(path: Path) -> None:
    with open_fixed(path) as book:
        small = add_job(book)
    code = (
        "import sys\nfrom core.book.readings import take_reading\n"
        "from core.book.opening import open_book\n"
        f"with open_book({str(path)!r}, wait_s=20) as book:\n"
        "    for n in range(60):\n"
        f"        take_reading(book, {small.sweep.id!r}, station_in=float(n), "
        "clock_deg=float(sys.argv[1]), value_in=0.001, raw='1')\n"
    )
    running = [subprocess.Popen([sys.executable, "-c", code, str(n)]) for n in range(3)]
    assert [child.wait() for child in running] == [0, 0, 0]
    with open_book(path) as book:
        assert len(readings_of(book, small.sweep.id)) == 180


def test_two_people_on_one_job_are_warned(book: Book, small: SmallJob, other: Book) -> None:
    ticker = Ticker(0)
    book._now = other._now = ticker
    assert presence.here(book, small.job.id, "bench 1") == ()
    (seen,) = presence.here(other, small.job.id, "bench 2")
    assert (seen.bench, seen.by) == ("bench 1", "Ada")
    assert [p.bench for p in presence.here(book, small.job.id, "bench 1")] == ["bench 2"]
    presence.leave(book, small.job.id, "bench 1")
    assert presence.others(other, small.job.id, "bench 2") == ()


def test_a_bench_that_was_killed_is_forgotten(book: Book, small: SmallJob, other: Book) -> None:
    ticker = Ticker(0)
    book._now = other._now = ticker
    presence.here(book, small.job.id, "bench 1")
    ticker.step *= 0
    ticker.moment = ticker.moment.replace(minute=ticker.moment.minute + 2)
    assert presence.here(other, small.job.id, "bench 2") == ()
