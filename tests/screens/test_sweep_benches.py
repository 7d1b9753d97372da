"""One sweep read at two benches."""

from __future__ import annotations

import subprocess
import sys
import time

import pytest

from core.base.records import Job
from core.book import jobs, presence, sweeps
from core.book.connection import Book
from core.book.opening import open_book
from core.book.readings import readings_of, take_reading
from core.jobs.sweep.sweep_slots import ReadingSlot
from tests.support.bench_book import new_sweep
from tests.support.sweep_hands import ROOT, app_on, at_sweep, beat, open_sweep_screen, typed, values
from tui.widgets.canvas import GridView
from tui.widgets.header import TopLine
from tui.widgets.message import MessageLine


@pytest.mark.slow
async def test_readings_of_another_bench_appear(book_and_job: tuple[Book, Job]) -> None:
    book, job = book_and_job
    async with at_sweep(book, job) as (pilot, screen, sweep):
        await pilot.press("7")
        with open_book(book.path, by="bench 2") as other:
            take_reading(other, sweep.id, station_in=6.0, clock_deg=0.0, value_in=0.0095, raw="9.5")
        beat(pilot)
        await pilot.pause()
        assert "9.5" in screen.query_one("#marks", GridView).canvas.text()
        assert screen.bench.field.value == "7"
        assert screen.session is not None
        assert screen.session.slot is not None
        assert screen.session.slot.clock_deg == 0.0
        await pilot.press("backspace")
        assert screen.session.slot.clock_deg == 45.0
        with open_book(book.path, by="bench 2") as other:
            take_reading(other, sweep.id, station_in=6.0, clock_deg=45.0, value_in=0.001, raw="1")
        beat(pilot)
        await pilot.pause()
        assert screen.session.slot.clock_deg == 45.0, "the mark asked for moved by itself"
        await typed(pilot, "3")
        assert "is read already: 1" in screen.query_one(MessageLine).said
        await pilot.press("slash")
        assert screen.session.slot.clock_deg == 90.0


@pytest.mark.slow
async def test_two_benches_at_one_mark(book_and_job: tuple[Book, Job]) -> None:
    """The later one is told; a bounced Enter answers nothing, only a mark chosen again does."""
    book, job = book_and_job
    async with at_sweep(book, job) as (pilot, screen, sweep):
        with open_book(book.path, by="bench 2") as other:
            take_reading(other, sweep.id, station_in=6.0, clock_deg=0.0, value_in=0.0095, raw="9.5")
        await typed(pilot, "7")
        await pilot.press("enter", "ctrl+j")
        await pilot.pause()
        assert values(book, sweep.id) == [(6.0, 0.0, "9.5")]
        assert "9.5" in screen.query_one(MessageLine).said
        assert (screen.field.value, screen.field.selected) == ("7", True)
        await pilot.press("f6", "enter", "enter")
        assert screen.field.value == "7"
        await pilot.press("enter")
        await pilot.pause()
        assert values(book, sweep.id) == [(6.0, 0.0, "7")]
        assert len(readings_of(book, sweep.id, all_rows=True)) == 2


@pytest.mark.slow
async def test_the_bench_whose_reading_was_changed_is_told(book_and_job: tuple[Book, Job]) -> None:
    book, job = book_and_job
    async with at_sweep(book, job) as (pilot, screen, sweep):
        await typed(pilot, "46")
        with open_book(book.path, by="bench 2") as other:
            take_reading(other, sweep.id, station_in=6.0, clock_deg=0.0, value_in=0.057, raw="57")
        beat(pilot)
        await pilot.pause()
        said = screen.query_one(MessageLine).said
        assert "changed your reading at 6 in, mark 0 deg: 46 is now 57" in said


@pytest.mark.slow
async def test_what_was_said_of_a_conflict_goes_with_the_number(
    book_and_job: tuple[Book, Job],
) -> None:
    book, job = book_and_job
    async with at_sweep(book, job) as (pilot, screen, sweep):
        with open_book(book.path, by="bench 2") as other:
            take_reading(other, sweep.id, station_in=6.0, clock_deg=0.0, value_in=0.0095, raw="9.5")
        await typed(pilot, "7")
        await pilot.press("backspace")
        await pilot.pause()
        assert screen.query_one(MessageLine).said == ""
        assert screen.session is not None
        assert screen.session.slot is not None
        assert screen.session.slot.clock_deg == 45.0


@pytest.mark.slow
async def test_a_job_closed_or_a_sweep_finished_at_another_bench_is_said_at_once(
    book_and_job: tuple[Book, Job],
) -> None:
    book, job = book_and_job
    async with at_sweep(book, job) as (pilot, screen, sweep):
        with open_book(book.path, by="bench 2") as other:
            sweeps.finish_sweep(other, sweep.id)
        beat(pilot)
        await pilot.pause()
        assert "Another bench finished this sweep" in screen.query_one(MessageLine).said
        with open_book(book.path, by="bench 2") as other:
            jobs.set_state(other, job.id, "released")
        beat(pilot)
        await pilot.pause()
        assert "Another bench closed job" in screen.query_one(MessageLine).said


@pytest.mark.slow
async def test_another_program_on_the_book_is_seen_within_two_seconds(
    book_and_job: tuple[Book, Job],
) -> None:
    book, job = book_and_job
    sweep = new_sweep(book, job)
    code = (
        "import sys; from core.book import presence; from core.book.readings import take_reading; "
        "from core.book.opening import open_book\n"
        "with open_book(sys.argv[1], by='Odo') as book:\n"
        "    presence.here(book, sys.argv[3], 'elsewhere:1')\n"
        "    take_reading(book, sys.argv[2], station_in=6.0, clock_deg=0.0, "
        "value_in=0.0095, raw='9.5')\n"
    )
    async with app_on(book).run_test() as pilot:
        screen = await open_sweep_screen(pilot, job)
        await pilot.pause(1.1)  # our own presence is told
        subprocess.run(
            [sys.executable, "-c", code, str(book.path), sweep.id, job.id], check=True, cwd=ROOT
        )
        began = time.monotonic()
        while "9.5" not in screen.query_one("#marks", GridView).canvas.text():
            await pilot.pause(0.05)
            assert time.monotonic() - began < 2.0
        assert "open at Odo too" in screen.query_one(MessageLine).said


@pytest.mark.slow
async def test_another_bench_is_named_in_the_top_line_while_it_is_there(
    book_and_job: tuple[Book, Job],
) -> None:
    book, job = book_and_job
    async with at_sweep(book, job) as (pilot, screen, _):
        beat(pilot)
        top = screen.query_one(TopLine)
        with open_book(book.path, by="Odo") as other:
            presence.here(other, job.id, "elsewhere:1")
            beat(pilot)
            assert top.others == "Odo"
            await typed(pilot, "1")
            assert "ALSO AT Odo" in str(top.render())
            presence.leave(other, job.id, "elsewhere:1")
        beat(pilot)
        assert top.others == ""


@pytest.mark.slow
async def test_a_number_typed_for_a_mark_never_goes_to_another_mark(
    book_and_job: tuple[Book, Job],
) -> None:
    """The first mark is blocked, so the second one closes the roll; then it is read after all."""
    book, job = book_and_job
    async with at_sweep(book, job, closing=True) as (pilot, screen, sweep):
        await pilot.press("f4")
        for clock in range(45, 360, 45):
            await typed(pilot, f"{clock / 100:g}")
        await pilot.pause()
        assert screen.session is not None
        assert screen.session.slot == ReadingSlot("closing", 45.0)
        await pilot.press("minus", "1", "0")
        with open_book(book.path, by="bench 2") as other:
            take_reading(other, sweep.id, station_in=6.0, clock_deg=0.0, value_in=0.001, raw="1")
        beat(pilot)
        await pilot.pause()
        assert screen.session.slot == ReadingSlot("closing", 0.0)
        before = len(readings_of(book, sweep.id))
        await pilot.press("enter")
        await pilot.pause()
        assert len(readings_of(book, sweep.id)) == before, "-10 was read at 45, not at 0"
        assert (
            "-10 is not stored. It was for 6 in, mark 45 deg again"
            in screen.query_one(MessageLine).said
        )
        await typed(pilot, "1")
        assert values(book, sweep.id)[-1] == (6.0, 0.0, "1")
