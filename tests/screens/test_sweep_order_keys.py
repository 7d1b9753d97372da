"""By keys: a sweep goes where the next reading tells most; what is read once more for a sweep."""

from __future__ import annotations

import pytest

from core.base.records import Job
from core.book import sweeps
from core.book.connection import Book
from core.jobs.sweep.extra_readings import FIRST_AGAIN, extra_of
from core.jobs.sweep.sweep_entry import choose_order, goes_by_itself
from tests.support.bench_book import bent, new_sweep
from tests.support.sweep_hands import app_on, open_sweep_screen, settle, typed
from tui.screens.sweep.sweep_setup import SweepSetupScreen
from tui.widgets.message import MessageLine


@pytest.mark.slow
async def test_the_sweep_goes_to_the_station_that_tells_most(
    book_and_job: tuple[Book, Job],
) -> None:
    book, job = book_and_job
    sweep = new_sweep(book, job)
    choose_order(book, sweep, True)
    visited = []
    async with app_on(book).run_test(size=(80, 24)) as pilot:
        screen = await open_sweep_screen(pilot, job)
        for _ in range(3):
            assert screen.session is not None
            assert screen.session.station_in is not None
            visited.append(screen.session.station_in)
            for clock in sweep.marks_deg:
                await typed(pilot, f"{1000 * bent(visited[-1], clock):.1f}")
            await settle(pilot)
        assert "Move the dial to station" in screen.query_one(MessageLine).said
    ends = sweep.stations_in[0], sweep.stations_in[-1]
    assert tuple(visited[:2]) == ends
    assert ends[0] < visited[2] < ends[1]
    assert visited[2] != sweep.stations_in[1]


@pytest.mark.slow
async def test_the_order_is_chosen_and_taken_back_on_the_set_up(
    book_and_job: tuple[Book, Job],
) -> None:
    book, job = book_and_job
    sweep = new_sweep(book, job)
    async with app_on(book).run_test(size=(80, 24)) as pilot:
        await open_sweep_screen(pilot, job)
        for digit, tells in (("2", True), ("1", False)):
            await pilot.press("f12", "5")
            await settle(pilot)
            assert isinstance(pilot.app.screen, SweepSetupScreen)
            await pilot.press("down", "down", "down", "down", digit)
            await settle(pilot)
            assert goes_by_itself(book, sweep) is tells
            await pilot.press("escape")
            await settle(pilot)


@pytest.mark.slow
async def test_the_first_station_once_more_says_what_moved_and_is_left_out_again(
    book_and_job: tuple[Book, Job],
) -> None:
    book, job = book_and_job
    sweep = new_sweep(book, job, read=19)
    async with app_on(book).run_test(size=(80, 24)) as pilot:
        screen = await open_sweep_screen(pilot, job)
        assert "first station again" in screen.query_one(MessageLine).said
        await pilot.press("f12", "9", "1")
        await settle(pilot)
        assert screen.bench.what == FIRST_AGAIN
        for clock in sweep.marks_deg:
            await typed(pilot, f"{1000 * bent(sweep.stations_in[0], clock + 90.0) + 5:.1f}")
        await settle(pilot)
        await pilot.press("f12", "1")
        await settle(pilot)
        assert "has moved by" in screen.query_one(MessageLine).said
        assert screen.session is not None
        assert screen.session.sweep.id == sweep.id
        await pilot.press("f12", "9", "3")
        await settle(pilot)
        assert extra_of(book, sweep, FIRST_AGAIN) is None
    assert sweeps.sweep(book, sweep.id).finished_at is None
