"""A hit in the middle of a sweep makes it a sweep of two shapes: found, told, never used."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from core.base.records import Sweep
from core.base.times import just_before
from core.book import hits, sweeps
from core.book.connection import Book
from core.book.readings import correct_reading, readings_of, take_reading, undo_reading
from core.jobs import facts
from core.jobs.evidence import shown_sweeps
from core.jobs.mixed_sweeps import of_one_shape, two_shapes
from core.jobs.straightening import read_rounds, unused_words
from core.jobs.visits import read_visits
from tests.support.bench_book import new_job, new_sweep


class Bench:
    """A job in a book whose clock goes on a minute with each thing done."""

    def __init__(self, book: Book, job) -> None:
        self.book, self.job = book, job
        self.now = datetime(2026, 3, 14, 8, 0, tzinfo=UTC)
        book._now = self._tick

    def _tick(self) -> datetime:
        self.now += timedelta(minutes=1)
        return self.now

    def sweep(self, purpose: str, stations: int = 3) -> Sweep:
        return new_sweep(
            self.book, self.job, purpose=purpose, read=stations, stations_in=(12.0, 60.0, 90.0)
        )

    def read(self, sweep: Sweep, station_in: float, value_in: float = 0.001) -> None:
        for clock_deg in range(0, 360, 45):
            take_reading(
                self.book, sweep.id, station_in=station_in, clock_deg=clock_deg,
                value_in=value_in, raw="1",
            )  # fmt: skip

    def hit(self, at: str = "") -> None:
        hits.add_hit(
            self.book, job_id=self.job.id, round_no=1, method="press", station_in=60.0,
            clock_deg=90.0, angle_rad=0.001, at=at,
        )  # fmt: skip

    def finish(self, sweep: Sweep) -> None:
        sweeps.finish_sweep(self.book, sweep.id)


@pytest.fixture
def bench(tmp_path: Path) -> Bench:
    return Bench(*new_job(tmp_path / "shop.db"))


def test_a_hit_in_the_middle_is_found_and_the_sweep_not_used(bench: Bench) -> None:
    first = bench.sweep("as received")
    bench.finish(first)
    half = bench.sweep("working", stations=2)
    bench.hit()
    bench.read(half, 90.0)
    bench.finish(half)
    book, job_id = bench.book, bench.job.id
    assert list(two_shapes(book, job_id)) == [half.id]
    assert [s.id for s in of_one_shape(book, job_id, "as received", "working")] == [first.id]
    raw = read_rounds(book, job_id)
    assert raw.rounds[0].sweep is None
    assert "60 in and read on after it: it shows two shapes" in raw.unused
    assert not facts.facts_of(book, job_id).swept_since_hit
    shown = shown_sweeps(book, bench.job.id).sweeps
    assert shown.since_hit == ()
    (visit,) = read_visits(book, job_id).visits
    assert visit.came is not None
    assert visit.came.id == first.id
    assert visit.left is None
    bench.finish(bench.sweep("working"))
    assert unused_words(book, job_id) == ""
    assert read_rounds(book, job_id).rounds[0].sweep is not None


def test_as_received_with_a_hit_in_it_is_no_start(bench: Bench) -> None:
    half = bench.sweep("as received", stations=2)
    bench.hit()
    bench.read(half, 90.0)
    bench.finish(half)
    assert read_rounds(bench.book, bench.job.id).start is None


def test_a_mended_value_was_read_when_its_mark_was_first_entered(bench: Bench) -> None:
    first = bench.sweep("as received")
    bench.finish(first)
    bench.hit()
    old = readings_of(bench.book, first.id)[0]
    correct_reading(bench.book, old.id, value_in=0.002, raw="2")
    assert not two_shapes(bench.book, bench.job.id)


def test_a_reading_taken_back_and_read_again_after_the_hit_counts(bench: Bench) -> None:
    first = bench.sweep("as received")
    undo_reading(bench.book, first.id)
    bench.hit()
    bench.read(first, 90.0)
    assert list(two_shapes(bench.book, bench.job.id)) == [first.id]


def test_a_hit_noted_late_can_be_put_before_the_sweep(bench: Bench) -> None:
    bench.finish(bench.sweep("as received"))
    half = bench.sweep("working", stations=2)
    bench.hit(at=just_before(half.started_at))
    bench.read(half, 90.0)
    bench.finish(half)
    assert not two_shapes(bench.book, bench.job.id)
    assert read_rounds(bench.book, bench.job.id).rounds[0].sweep is not None
    assert facts.facts_of(bench.book, bench.job.id).swept_since_hit


def test_a_sweep_set_up_but_not_read_begins_after_the_hit(bench: Bench) -> None:
    bench.finish(bench.sweep("as received"))
    empty = bench.sweep("working", stations=0)
    bench.hit()
    for station_in in (12.0, 60.0, 90.0):
        bench.read(empty, station_in)
    bench.finish(empty)
    assert not two_shapes(bench.book, bench.job.id)
    assert read_rounds(bench.book, bench.job.id).rounds[0].sweep is not None
