"""The plot by keys alone: what is shown must be what the core says of the book."""

from __future__ import annotations

import csv
from pathlib import Path

import pytest
from textual.pilot import Pilot

from core.base.records import Job
from core.book import jobs, shafts
from core.book.connection import Book
from core.book.readings import take_reading
from tests.support.bench_book import bent, new_job, new_sweep, workers_done
from tui.app import ShaftlogApp
from tui.screens.shape.plot import PlotScreen
from tui.screens.shape.plot_choices import support_items
from tui.widgets.canvas import GridView
from tui.widgets.message import MessageLine

SIZES = [(80, 24), (120, 40)]


@pytest.fixture
def book_and_job(tmp_path: Path) -> tuple[Book, Job]:
    """A book with one job."""
    return new_job(tmp_path / "shop.db")


async def settle(pilot: Pilot[None]) -> None:
    """Let the core answer and the picture be drawn."""
    await pilot.pause()
    await workers_done(pilot)


async def open_plot(pilot: Pilot[None], job: Job) -> PlotScreen:
    """Go to the plot of a job."""
    await pilot.pause()
    assert isinstance(pilot.app, ShaftlogApp)
    pilot.app.go("plot", job.id)
    await settle(pilot)
    screen = pilot.app.screen
    assert isinstance(screen, PlotScreen)
    return screen


def app_on(book: Book) -> ShaftlogApp:
    """The app on an open book, without the background imports."""
    return ShaftlogApp(book.path, book=book, warm=False)


def text_of(screen: PlotScreen, name: str) -> str:
    """What one drawn widget shows."""
    return screen.query_one(f"#{name}", GridView).canvas.text()


@pytest.mark.slow
@pytest.mark.parametrize("size", SIZES)
async def test_verdicts_in_words_come_first_and_every_picture_is_drawn(
    book_and_job: tuple[Book, Job], size: tuple[int, int]
) -> None:
    book, job = book_and_job
    new_sweep(book, job, read=19)
    async with app_on(book).run_test(size=size, notifications=True) as pilot:
        screen = await open_plot(pilot, job)
        assert screen.shown is not None
        verdicts = {v.area.name: v.word for v in screen.shown.seen.verdicts}
        assert verdicts["bearing"] == "not true"
        words = text_of(screen, "verdicts")
        for name in ("coupling", "shaft log", "bearing", "taper", "between"):
            assert name in words
        assert "not true" in words
        assert "11.7" in text_of(screen, "station")
        assert "Bend 1 at" in text_of(screen, "bend")
        chart = text_of(screen, "chart")
        assert "1: 90" in chart
        assert chart.count("o") >= 15
        await pilot.press("2")
        await pilot.pause()
        assert "*" in text_of(screen, "chart")
        await pilot.press("3")
        await pilot.pause()
        assert "270" in text_of(screen, "end")
        await pilot.press("4")
        await pilot.pause()
        assert screen.query_one("#all-words").display
        await pilot.press("5", "down", "up", "space", "f7")
        await pilot.pause()
        assert screen.view == "planes"


@pytest.mark.slow
async def test_the_cursor_walks_along_the_stations(book_and_job: tuple[Book, Job]) -> None:
    book, job = book_and_job
    new_sweep(book, job, read=19)
    async with app_on(book).run_test() as pilot:
        screen = await open_plot(pilot, job)
        assert screen.cursor_in == 60.0
        await pilot.press("right", "right", "left")
        assert screen.cursor_in == 66.0
        assert "At 66 in" in text_of(screen, "station")
        await pilot.press("end")
        assert screen.cursor_in == 114.0
        await pilot.press("right", "home", "left")
        assert screen.cursor_in == 6.0


@pytest.mark.slow
async def test_another_sweep_is_laid_over_and_taken_off(book_and_job: tuple[Book, Job]) -> None:
    book, job = book_and_job
    new_sweep(book, job, read=19)
    new_sweep(book, job, read=19, purpose="final", shape=lambda x, c: bent(x, c) / 8)
    async with app_on(book).run_test() as pilot:
        screen = await open_plot(pilot, job)
        assert screen.shown is not None
        assert screen.shown.asked.question.sweep.purpose == "final"
        await pilot.press("f4", "1")
        await settle(pilot)
        assert screen.shown.other is not None
        assert screen.shown.asked.other is not None
        assert screen.shown.asked.other.sweep.purpose == "as received"
        assert "x" in text_of(screen, "chart")
        assert "x TIR" in text_of(screen, "station-more")
        assert "as received" in text_of(screen, "title")
        await pilot.press("f8", "3")
        await settle(pilot)
        assert screen.shown.other.supports_in == screen.shown.seen.supports_in == (26.0, 85.0)
        await pilot.press("f4", "2")
        await settle(pilot)
        assert screen.shown.other is None
        await pilot.press("f6", "2")
        await settle(pilot)
        assert screen.shown.asked.question.sweep.purpose == "as received"


@pytest.mark.slow
async def test_an_earlier_visit_of_the_shaft_can_be_laid_over(
    book_and_job: tuple[Book, Job],
) -> None:
    book, old = book_and_job
    new_sweep(book, old, read=19)
    jobs.set_state(book, old.id, "released")
    job = jobs.start_job(book, shaft_id=old.shaft_id, roller_a_in=24.0, roller_b_in=96.0)
    new_sweep(book, job, read=19, shape=lambda x, c: -bent(x, c))
    async with app_on(book).run_test() as pilot:
        screen = await open_plot(pilot, job)
        await pilot.press("f4", "1")
        await settle(pilot)
        assert screen.shown is not None
        assert screen.shown.other is not None
        assert old.tag in text_of(screen, "title")
        now, then = screen.shown.seen.bends[0], screen.shown.other.bends[0]
        assert abs(now.high_side_rad - then.high_side_rad) == pytest.approx(3.14159, abs=0.05)


@pytest.mark.slow
async def test_other_supports_as_in_the_boat_and_of_ones_own(
    book_and_job: tuple[Book, Job],
) -> None:
    book, job = book_and_job
    new_sweep(book, job, read=19)
    items = support_items(shafts.areas_of(book, job.shaft_id))
    assert items[1].label == "In the boat: coupling and bearing"
    async with app_on(book).run_test() as pilot:
        screen = await open_plot(pilot, job)
        await pilot.press("f8", "3")
        await settle(pilot)
        assert screen.shown is not None
        assert screen.shown.seen.supports_in == (26.0, 85.0)
        assert "supports 26, 85" in text_of(screen, "title")
        await pilot.press("f8", "2")
        await settle(pilot)
        assert "outside the measured length" in screen.query_one(MessageLine).said
        assert screen.choice.supports_in == (26.0, 85.0)
        await pilot.press("f8", "5")
        await pilot.pause()
        await pilot.press("1", "2", "enter", "6", "0", "enter")
        await settle(pilot)
        assert screen.shown.seen.supports_in == (12.0, 60.0)
        assert screen.view == "tir"
        await pilot.press("2", "f8", "1")
        await settle(pilot)
        assert screen.shown.seen.on_rollers
        assert screen.view == "planes"


@pytest.mark.slow
async def test_the_figures_go_to_a_file_that_only_the_owner_reads(
    book_and_job: tuple[Book, Job],
) -> None:
    book, job = book_and_job
    new_sweep(book, job, read=19)
    async with app_on(book).run_test() as pilot:
        screen = await open_plot(pilot, job)
        await pilot.press("f12", "f12")
        await settle(pilot)
        files = sorted((Path(book.path).parent / "exports").iterdir())
        assert len(files) == 2
        assert files[0].stat().st_mode & 0o077 == 0
        with files[0].open() as file:
            rows = list(csv.DictReader(file))
        assert len(rows) == 19
        assert "exports" in screen.query_one(MessageLine).said


@pytest.mark.slow
@pytest.mark.parametrize("read", [0, 1, 2, 3])
async def test_an_unfinished_sweep_shows_what_can_be_said(
    book_and_job: tuple[Book, Job], read: int
) -> None:
    book, job = book_and_job
    new_sweep(book, job, read=read)
    async with app_on(book).run_test() as pilot:
        screen = await open_plot(pilot, job)
        if read < 2:
            line = screen.query_one(MessageLine)
            assert line.tone == "stop"
            assert len(line.said) > 20
        else:
            assert screen.shown is not None
            assert len(screen.shown.seen.stations) == read
        await pilot.press("2", "3", "4", "5", "1", "left", "f4", "escape", "f8", "escape", "f12")
        await settle(pilot)


@pytest.mark.slow
async def test_a_half_read_station_is_left_out_and_said(book_and_job: tuple[Book, Job]) -> None:
    book, job = book_and_job
    sweep = new_sweep(book, job, read=10)
    for clock_deg in (0.0, 45.0):
        take_reading(book, sweep.id, station_in=66.0, clock_deg=clock_deg, value_in=0.0, raw="0")
    async with app_on(book).run_test() as pilot:
        screen = await open_plot(pilot, job)
        assert screen.shown is not None
        assert len(screen.shown.seen.stations) == 10
        assert any("66" in note for note in screen.shown.notes)


@pytest.mark.slow
async def test_the_quick_way_can_be_plotted(book_and_job: tuple[Book, Job]) -> None:
    book, job = book_and_job
    sweep = new_sweep(book, job, marks_deg=())
    for station_in in (12.0, 36.0, 60.0, 84.0, 108.0):
        tir_in = 2 * abs(bent(station_in, 90.0))
        clock = 90.0 if bent(station_in, 90.0) > 0 else 270.0
        take_reading(
            book, sweep.id, station_in=station_in, clock_deg=None, value_in=tir_in,
            raw=f"{tir_in * 1000:g}", kind="tir",
        )  # fmt: skip
        take_reading(
            book, sweep.id, station_in=station_in, clock_deg=clock, value_in=None,
            raw=f"{clock:g}", kind="high spot",
        )  # fmt: skip
    async with app_on(book).run_test() as pilot:
        screen = await open_plot(pilot, job)
        assert screen.shown is not None
        assert [s.station_in for s in screen.shown.seen.stations] == [12.0, 36.0, 60.0, 84.0, 108.0]
        assert "12.0" in text_of(screen, "station")
