"""One sweep read at two benches."""

from __future__ import annotations

import subprocess
import sys
import time

from core.base.records import Job
from core.book.connection import Book
from core.book.opening import open_book
from core.book.readings import readings_of, take_reading
from tests.support.bench_book import new_sweep
from tests.support.sweep_hands import ROOT, app_on, beat, open_sweep_screen, typed, values
from tui.widgets.canvas import GridView
from tui.widgets.message import MessageLine


async def test_readings_of_another_bench_appear(book_and_job: tuple[Book, Job]) -> None:
    book, job = book_and_job
    sweep = new_sweep(book, job)
    async with app_on(book).run_test() as pilot:
        screen = await open_sweep_screen(pilot, job)
        await pilot.press("7")
        with open_book(book.path, by="bench 2") as other:
            take_reading(other, sweep.id, station_in=6.0, clock_deg=0.0, value_in=0.0095, raw="9.5")
        beat(pilot)
        await pilot.pause()
        assert "9.5" in screen.query_one("#marks", GridView).canvas.text()
        assert screen.bench.field.value == "7"
        assert screen.state is not None
        assert screen.state.place is not None
        assert screen.state.place.clock_deg == 0.0
        await pilot.press("slash")
        with open_book(book.path, by="bench 2") as other:
            take_reading(other, sweep.id, station_in=6.0, clock_deg=45.0, value_in=0.001, raw="1")
        beat(pilot)
        await pilot.pause()
        assert screen.state.place.clock_deg == 90.0


async def test_two_benches_at_one_mark(book_and_job: tuple[Book, Job]) -> None:
    """The later one is told, and overwrites only when it says so once more."""
    book, job = book_and_job
    sweep = new_sweep(book, job)
    async with app_on(book).run_test() as pilot:
        screen = await open_sweep_screen(pilot, job)
        with open_book(book.path, by="bench 2") as other:
            take_reading(other, sweep.id, station_in=6.0, clock_deg=0.0, value_in=0.0095, raw="9.5")
        await typed(pilot, "7")
        assert values(book, sweep.id) == [(6.0, 0.0, "9.5")]
        assert "has read this mark meanwhile: 9.5" in screen.query_one(MessageLine).said
        assert screen.bench.field.value == "7"
        await pilot.press("enter")
        await pilot.pause()
        assert values(book, sweep.id) == [(6.0, 0.0, "7")]
        assert len(readings_of(book, sweep.id, all_rows=True)) == 2


async def test_another_program_on_the_book_is_seen_within_two_seconds(
    book_and_job: tuple[Book, Job],
) -> None:
    book, job = book_and_job
    sweep = new_sweep(book, job)
    code = (
        "import sys; from core.book import presence, sweeps; "
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
