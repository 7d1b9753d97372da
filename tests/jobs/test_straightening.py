"""The round of a job, worked out from what the book holds."""

from __future__ import annotations

from core.book import jobs
from core.book.opening import open_book
from core.jobs.straightening import check_stations_in, read_rounds, work_out
from tests.support.golden import ROOT


def test_check_stations_were_swept_before() -> None:
    """Of the demo's job in hand: every station to check is one of the sweep before the round."""
    with open_book(ROOT / "demo.db", read_only=True) as book:
        bench = work_out(read_rounds(book, jobs.job_by_tag(book, "26-008").id))
    assert bench.story is not None
    stations = check_stations_in(bench.story)
    assert stations
    assert set(stations) <= set(bench.story.rounds[-1].before.station_in)
