"""Sweeps set up, rolled backwards, read the quick way, their stations edited: by keys."""

from __future__ import annotations

import pytest

from core.base.records import Job
from core.book import jobs, sweeps
from core.book.connection import Book
from core.book.readings import readings_of
from core.jobs.evaluate import evaluate_sweep
from core.jobs.sweep.sweep_readings import readings_for_core
from tests.support.bench_book import bent, new_sweep
from tests.support.sweep_hands import (
    SIZES,
    app_on,
    open_sweep_screen,
    painted,
    settle,
    typed,
    values,
)
from tui.screens.sweep.sweep import SweepScreen
from tui.screens.sweep.sweep_menu import menu_items
from tui.screens.sweep.sweep_setup import SweepSetupScreen
from tui.screens.sweep.sweep_stations import StationsScreen
from tui.widgets.message import MessageLine


@pytest.mark.slow
async def test_rolled_backwards_mirrors_the_clock(book_and_job: tuple[Book, Job]) -> None:
    book, job = book_and_job
    sweep = new_sweep(book, job, direction=-1)
    async with app_on(book).run_test() as pilot:
        screen = await open_sweep_screen(pilot, job)
        await typed(pilot, "1")
        assert "mark 315 deg" in screen.bench.field.canvas.text()
        for text in ("5", "4"):
            await typed(pilot, text)
        await settle(pilot)
        station = readings_for_core(book, sweep.id).stations[0]
        degrees = [round(c * 57.29578) for c in station.clock_rad]
        assert degrees == [0, 315, 270]


@pytest.mark.slow
async def test_the_quick_way_takes_tir_and_clock(book_and_job: tuple[Book, Job]) -> None:
    book, job = book_and_job
    sweep = new_sweep(book, job, marks_deg=(), direction=-1)
    async with app_on(book).run_test() as pilot:
        screen = await open_sweep_screen(pilot, job)
        await typed(pilot, "-4")
        assert "cannot be negative" in screen.query_one(MessageLine).said
        await pilot.press("slash")
        await typed(pilot, "6.5")
        await typed(pilot, "400")
        assert "not on the circle" in screen.query_one(MessageLine).said
        await pilot.press("slash")
        await typed(pilot, "270")
        await settle(pilot)
        quick = readings_for_core(book, sweep.id).stations[0].quick
        assert quick is not None
        assert quick.tir_in == pytest.approx(0.0065)
        assert round(quick.high_spot_rad * 57.29578) == 270
        assert screen.bench.known.stations[6.0].tir_in == pytest.approx(0.0065)


@pytest.mark.slow
@pytest.mark.parametrize("size", SIZES)
async def test_a_new_sweep_is_set_up_by_keys_and_finished(
    book_and_job: tuple[Book, Job], size: tuple[int, int]
) -> None:
    book, job = book_and_job
    async with app_on(book).run_test(size=size) as pilot:
        screen = await open_sweep_screen(pilot, job)
        assert isinstance(pilot.app.screen, SweepSetupScreen)
        await pilot.press("4", "enter", "2")
        await pilot.press("escape", "f12", "3")
        await pilot.pause()
        assert isinstance(pilot.app.screen, SweepSetupScreen)
        assert pilot.app.screen.values["purpose"] == "final"
        await pilot.press("f12")
        await settle(pilot)
        assert pilot.app.screen is screen
        sweep = sweeps.last_sweep(book, job.id)
        assert sweep is not None
        assert (sweep.purpose, len(sweep.marks_deg)) == ("final", 6)
        assert (sweep.roller_a_in, sweep.roller_b_in) == (24.0, 96.0)
        assert len(sweep.stations_in) > 15
        assert screen.session is not None
        await typed(pilot, "3")
        await pilot.press("f12", "1")
        await settle(pilot)
        assert sweeps.sweep(book, sweep.id).finished_at is not None


@pytest.mark.slow
async def test_the_list_of_stations_is_edited_by_keys(book_and_job: tuple[Book, Job]) -> None:
    book, job = book_and_job
    sweep = new_sweep(book, job, read=2, stations_in=(6.0, 12.0, 18.0))
    async with app_on(book).run_test() as pilot:
        screen = await open_sweep_screen(pilot, job)
        await pilot.press("f8")
        await pilot.pause()
        assert isinstance(pilot.app.screen, StationsScreen)
        await typed(pilot, "15")
        assert sweeps.sweep(book, sweep.id).stations_in == (6.0, 12.0, 15.0, 18.0)
        await pilot.press("f7", "1")
        assert sweeps.sweep(book, sweep.id).stations_in == (6.0, 12.0, 18.0)
        await pilot.press("pageup", "down", "f6")
        await typed(pilot, "13")
        assert sweeps.sweep(book, sweep.id).stations_in == (6.0, 13.0, 18.0)
        moved = readings_for_core(book, sweep.id)
        assert [s.station_in for s in moved.stations] == [6.0, 13.0]
        assert len(moved.stations[1].clock_rad) == 8
        await pilot.press("f7", "2")
        assert sweeps.sweep(book, sweep.id).stations_in == (18.0, 13.0, 6.0)
        await typed(pilot, "500")
        assert "not on the shaft" in pilot.app.screen.query_one(MessageLine).said
        await pilot.press(*["backspace"] * 3, "f8")
        await typed(pilot, "12")
        made = sweeps.sweep(book, sweep.id).stations_in
        assert {24.0, 96.0, 13.0, 6.0} <= set(made)
        await pilot.press("escape")
        await settle(pilot)
        assert pilot.app.screen is screen
        assert screen.session is not None
        assert screen.session.stations_in == made


@pytest.mark.slow
async def test_what_stands_typed_is_still_there_on_coming_back(
    book_and_job: tuple[Book, Job],
) -> None:
    book, job = book_and_job
    new_sweep(book, job)
    async with app_on(book).run_test() as pilot:
        await open_sweep_screen(pilot, job)
        await pilot.press("7", "full_stop", "5", "escape")
        await pilot.pause()
        assert not isinstance(pilot.app.screen, SweepScreen)
        screen = await open_sweep_screen(pilot, job)
        assert screen.bench.field.value == "7.5"


@pytest.mark.slow
async def test_a_released_job_takes_no_reading(book_and_job: tuple[Book, Job]) -> None:
    book, job = book_and_job
    sweep = new_sweep(book, job, read=2)
    jobs.set_state(book, job.id, "released")
    async with app_on(book).run_test() as pilot:
        screen = await open_sweep_screen(pilot, job)
        await typed(pilot, "5")
        assert "takes no entries" in screen.query_one(MessageLine).said
        assert len(values(book, sweep.id)) == 16


@pytest.mark.slow
async def test_a_station_rolled_the_other_way_is_turned_round_by_one_key(
    book_and_job: tuple[Book, Job],
) -> None:
    book, job = book_and_job

    def shape(station_in: float, clock_deg: float) -> float:
        return bent(station_in, -clock_deg if station_in == 54.0 else clock_deg)

    sweep = new_sweep(book, job, read=19, shape=shape)
    async with app_on(book).run_test() as pilot:
        screen = await open_sweep_screen(pilot, job)
        assert [t.station_in for t in screen.bench.known.turned] == [54.0]
        assert "rolled the other way" in painted(screen)
        await pilot.press("f7")
        await settle(pilot)
        assert screen.bench.known.turned == ()
        turned = readings_for_core(book, sweep.id)
        station = next(s for s in turned.stations if s.station_in == 54.0)
        for clock_rad, reading_in in zip(station.clock_rad, station.reading_in, strict=True):
            assert reading_in == pytest.approx(bent(54.0, clock_rad * 57.29578), abs=0.0003)
        assert len(readings_of(book, sweep.id, all_rows=True)) == 19 * 8 + 8


@pytest.mark.slow
async def test_the_reading_line_is_in_sight_in_the_smallest_window(
    book_and_job: tuple[Book, Job],
) -> None:
    book, job = book_and_job
    sweep = new_sweep(book, job)
    async with app_on(book).run_test(size=(40, 10)) as pilot:
        screen = await open_sweep_screen(pilot, job)
        await typed(pilot, "2.5")
        region = screen.bench.field.region
        assert 0 < region.y < 9
        assert region.width > 35
        assert "mark 45 deg" in screen.bench.field.canvas.text()
        assert values(book, sweep.id) == [(6.0, 0.0, "2.5")]


@pytest.mark.slow
async def test_a_reading_said_to_be_right_counts_on_the_screen_on_the_ticket_and_next_time(
    book_and_job: tuple[Book, Job],
) -> None:
    """A dent of 8 thou at one mark looks like a slip; the machinist looks again and keeps it."""
    book, job = book_and_job

    def shape(station_in: float, clock_deg: float) -> float:
        dent = 0.008 if (station_in, clock_deg) == (54.0, 90.0) else 0.0
        return bent(station_in, clock_deg) - dent

    sweep = new_sweep(book, job, read=19, shape=shape)
    async with app_on(book).run_test() as pilot:
        screen = await open_sweep_screen(pilot, job)
        assert [s.station_in for s in screen.bench.known.slips] == [54.0]
        tir_without_it = screen.bench.known.stations[54.0].tir_in
        await pilot.press("f12")
        await pilot.pause()
        names = [item.name for item in menu_items(screen.session, screen.bench.known)]
        await pilot.press(str(1 + names.index("right")))
        await settle(pilot)
        assert screen.bench.known.slips == ()
        tir_in = screen.bench.known.stations[54.0].tir_in
        assert tir_in == pytest.approx(tir_without_it, abs=1e-9)
    on_paper = evaluate_sweep(book, sweeps.sweep(book, sweep.id))
    at = on_paper.station_in.index(54.0)
    assert on_paper.fits[at].tir_in == pytest.approx(tir_in, abs=1e-9)
    assert on_paper.slips == ()
    assert any(
        "8.0 thou low" in words or "8.1 thou low" in words or "7.9 thou low" in words
        for words in on_paper.notes
    )
    async with app_on(book).run_test() as pilot:
        screen = await open_sweep_screen(pilot, job)
        assert screen.bench.known.slips == ()
        await pilot.press("f5")  # taken back: it looks odd again
        await settle(pilot)
        assert [s.station_in for s in screen.bench.known.slips] == [54.0]
