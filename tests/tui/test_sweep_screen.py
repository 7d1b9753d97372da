"""Sweep entry by keys alone: what stands in the book afterwards is what counts."""

from __future__ import annotations

from pathlib import Path

import pytest
from textual import events
from textual.pilot import Pilot

from core.book import jobs, sweeps
from core.book.errors import DiskFull
from core.book.file import Book, open_book
from core.book.records import Job, Reading
from tests.tui.bench_book import bent, new_job, new_sweep, workers_done
from tui.app import ShaftlogApp
from tui.heartbeat import Heartbeat
from tui.screens.sweep import SweepScreen
from tui.screens.sweep_setup import SweepSetupScreen
from tui.screens.sweep_stations import StationsScreen
from tui.widgets.canvas import GridView
from tui.widgets.message import MessageLine

SweepScreen.REST_S = 0.03
SIZES = [(80, 24), (120, 40)]


@pytest.fixture
def book_and_job(tmp_path: Path) -> tuple[Book, Job]:
    """A book with one job."""
    return new_job(tmp_path / "shop.db")


def app_on(book: Book) -> ShaftlogApp:
    """The app on an open book, without the background imports."""
    return ShaftlogApp(book.path, book=book, warm=False)


async def open_sweep_screen(pilot: Pilot[None], job: Job) -> SweepScreen:
    """Go to the sweep of a job."""
    app = pilot.app
    assert isinstance(app, ShaftlogApp)
    await pilot.pause()
    app.go("sweep", job.id)
    await settle(pilot)
    return next(s for s in reversed(app.screen_stack) if isinstance(s, SweepScreen))


async def settle(pilot: Pilot[None]) -> None:
    """Let the pause after the last key pass and the core answer."""
    await pilot.pause(SweepScreen.REST_S + 0.02)
    await workers_done(pilot)


async def typed(pilot: Pilot[None], text: str) -> None:
    """Keys of a text, then Enter, all at once as a gauge cable sends them."""
    names = {".": "full_stop", "-": "minus", "+": "plus", "*": "asterisk", "/": "slash"}
    for char in text:
        pilot.app.post_message(events.Key(names.get(char, char), char))
    pilot.app.post_message(events.Key("enter", "\r"))
    await pilot.pause()


def beat(pilot: Pilot[None]) -> None:
    """What the app does once a second."""
    heart = pilot.app.heart  # type: ignore[attr-defined]
    assert isinstance(heart, Heartbeat)
    heart.beat()


def values(book: Book, sweep_id: str) -> list[tuple[float, float | None, str | None]]:
    """(station, clock, raw) of what stands, in order."""
    return [(r.station_in, r.clock_deg, r.raw) for r in sweeps.readings_of(book, sweep_id)]


def painted(screen: SweepScreen) -> str:
    """Every drawn widget's text."""
    return "\n".join(view.canvas.text() for view in screen.query(GridView))


@pytest.mark.parametrize("size", SIZES)
async def test_a_whole_station_on_the_number_pad(
    book_and_job: tuple[Book, Job], size: tuple[int, int]
) -> None:
    book, job = book_and_job
    sweep = new_sweep(book, job)
    async with app_on(book).run_test(size=size, notifications=True) as pilot:
        screen = await open_sweep_screen(pilot, job)
        for text in ("0", "1.5", "2.0", "1.5", "0", "-1.5"):
            await typed(pilot, text)
        await pilot.press("asterisk")
        await typed(pilot, "-1.5")
        await settle(pilot)
        stand = sweeps.readings_of(book, sweep.id)
        assert [r.raw for r in stand] == ["0", "1.5", "2.0", "1.5", "0", "-1.5", "blocked", "-1.5"]
        assert stand[1].value_in == pytest.approx(0.0015)
        assert stand[6].kind == "blocked"
        assert screen.state is not None
        assert screen.state.station_in == 12.0
        assert screen.known.stations[6.0].tir_in == pytest.approx(0.004, abs=0.0008)
        assert "TIR" in painted(screen)
        assert "Move the dial to station 12 in" in screen.query_one(MessageLine).said


async def test_keys_that_come_all_at_once_keep_their_order(book_and_job: tuple[Book, Job]) -> None:
    """A gauge cable sends digits and Enter without a pause."""
    book, job = book_and_job
    sweep = new_sweep(book, job)
    async with app_on(book).run_test() as pilot:
        await open_sweep_screen(pilot, job)
        keys = [k for n in ("1", "2", "3", "4", "5") for k in (n, "0", "enter")]
        for key in [*keys, "7", "backspace", "6", "enter", "asterisk", "8", "enter"]:
            char = key if len(key) == 1 else {"asterisk": "*", "enter": "\r"}.get(key)
            pilot.app.post_message(events.Key(key, char))
        await settle(pilot)
        assert [r.raw for r in sweeps.readings_of(book, sweep.id)] == [
            "10", "20", "30", "40", "50", "6", "blocked", "8",
        ]  # fmt: skip


async def test_empty_enter_and_bounce_take_nothing(book_and_job: tuple[Book, Job]) -> None:
    book, job = book_and_job
    sweep = new_sweep(book, job)
    async with app_on(book).run_test() as pilot:
        await open_sweep_screen(pilot, job)
        await pilot.press("enter", "enter", "ctrl+j", "5", "ctrl+j", "enter", "enter")
        await settle(pilot)
        assert values(book, sweep.id) == [(6.0, 0.0, "5")]


async def test_what_is_no_reading_stays_typed_and_is_refused_in_words(
    book_and_job: tuple[Book, Job],
) -> None:
    book, job = book_and_job
    sweep = new_sweep(book, job)
    wrong = ("1000000000", "1e9", "abc", "1,234", "1.2.3", "nan", "99999", "--4", "5 ft", "\u0664")
    async with app_on(book).run_test() as pilot:
        screen = await open_sweep_screen(pilot, job)
        line = screen.query_one(MessageLine)
        await typed(pilot, "-")
        assert "first station" in line.said
        for text in wrong:
            line.say("")
            screen.bench.field.value = text
            await pilot.press("enter")
            await pilot.pause()
            assert (line.tone, screen.bench.field.value) == ("stop", text)
            assert len(line.said) > 20
        assert values(book, sweep.id) == []


async def test_undo_takes_back_and_returns_to_the_mark(book_and_job: tuple[Book, Job]) -> None:
    book, job = book_and_job
    sweep = new_sweep(book, job)
    async with app_on(book).run_test() as pilot:
        screen = await open_sweep_screen(pilot, job)
        for text in ("1", "2", "3"):
            await typed(pilot, text)
        await pilot.press("9", "slash")
        assert screen.bench.field.value == ""
        assert len(values(book, sweep.id)) == 3
        await pilot.press("slash")
        await settle(pilot)
        assert values(book, sweep.id) == [(6.0, 0.0, "1"), (6.0, 45.0, "2")]
        assert screen.state is not None
        assert screen.state.place is not None
        assert screen.state.place.clock_deg == 90.0
        rows = sweeps.readings_of(book, sweep.id, all_rows=True)
        assert [r.raw for r in rows] == ["1", "2", "3"]
        await pilot.press("f5", "f5", "f5", "f5")
        await settle(pilot)
        assert values(book, sweep.id) == []


async def test_an_earlier_reading_is_mended_by_station_and_clock(
    book_and_job: tuple[Book, Job],
) -> None:
    book, job = book_and_job
    sweep = new_sweep(book, job, read=3)
    async with app_on(book).run_test() as pilot:
        screen = await open_sweep_screen(pilot, job)
        home = screen.state and screen.state.cursor
        await pilot.press("f7")
        await typed(pilot, "12")
        await typed(pilot, "90")
        await typed(pilot, "7.5")
        await settle(pilot)
        new = sweeps.reading_at(book, sweep.id, 12.0, 90.0)
        assert new is not None
        assert (new.raw, new.value_in) == ("7.5", pytest.approx(0.0075))
        rows = sweeps.readings_of(book, sweep.id, all_rows=True)
        old = [r for r in rows if r.replaced_by == new.id]
        assert [r.station_in for r in old] == [12.0]
        assert screen.state is not None
        assert screen.state.cursor == home


async def test_an_earlier_reading_is_mended_with_arrows_and_with_the_pad(
    book_and_job: tuple[Book, Job],
) -> None:
    book, job = book_and_job
    sweep = new_sweep(book, job)
    async with app_on(book).run_test() as pilot:
        screen = await open_sweep_screen(pilot, job)
        for text in ("1", "2", "3"):
            await typed(pilot, text)
        await pilot.press("up", "up")
        await typed(pilot, "2.5")
        await pilot.press("9", "0", "asterisk")
        await typed(pilot, "3.5")
        await pilot.press("1", "2", "3", "asterisk")
        assert "no mark at 123" in screen.query_one(MessageLine).said
        await settle(pilot)
        by_clock = {r.clock_deg: r.raw for r in sweeps.readings_of(book, sweep.id)}
        assert by_clock == {0.0: "1", 45.0: "2.5", 90.0: "3.5"}
        assert screen.state is not None
        assert screen.state.place is not None
        assert screen.state.place.clock_deg == 135.0


async def test_plus_and_minus_and_page_keys_change_the_station(
    book_and_job: tuple[Book, Job],
) -> None:
    book, job = book_and_job
    new_sweep(book, job)
    async with app_on(book).run_test() as pilot:
        screen = await open_sweep_screen(pilot, job)

        def here() -> float | None:
            return screen.state.station_in if screen.state else None

        await typed(pilot, "+")
        assert here() == 12.0
        await pilot.press("pagedown")
        assert here() == 18.0
        await typed(pilot, "-")
        await pilot.press("pageup", "pageup")
        assert here() == 6.0
        assert "first station" in screen.query_one(MessageLine).said


async def test_a_slip_is_shown_and_one_key_takes_the_mend(book_and_job: tuple[Book, Job]) -> None:
    book, job = book_and_job
    sweep = new_sweep(book, job, read=9)
    async with app_on(book).run_test() as pilot:
        screen = await open_sweep_screen(pilot, job)
        for clock in range(0, 360, 45):
            thou = round(bent(60.0, clock) * 2000) / 2
            await typed(pilot, f"{thou + (100 if clock == 135 else 0):g}")
        await settle(pilot)
        assert [(s.kind, s.station_in) for s in screen.known.slips] == [("lost turn", 60.0)]
        assert "lost turn" in painted(screen)
        before = sweeps.reading_at(book, sweep.id, 60.0, 135.0)
        assert before is not None
        assert before.raw == "104"
        await pilot.press("f6")
        await settle(pilot)
        after = sweeps.reading_at(book, sweep.id, 60.0, 135.0)
        assert after is not None
        assert after.value_in == pytest.approx(0.004)
        assert "104" in after.raw
        assert screen.known.slips == ()
        rows = sweeps.readings_of(book, sweep.id, all_rows=True)
        assert any(r.raw == "104" and r.replaced_by == after.id for r in rows)


async def test_a_full_disk_keeps_the_reading_typed_and_enter_tries_again(
    book_and_job: tuple[Book, Job], monkeypatch: pytest.MonkeyPatch
) -> None:
    book, job = book_and_job
    sweep = new_sweep(book, job)

    def full(*_args: object, **_words: object) -> Reading:
        raise DiskFull("The disk is full. Make room, then press Enter again.")

    async with app_on(book).run_test() as pilot:
        screen = await open_sweep_screen(pilot, job)
        with monkeypatch.context() as patch:
            patch.setattr(sweeps, "take_reading", full)
            await typed(pilot, "4.5")
            await pilot.pause()
            assert screen.bench.field.value == "4.5"
            assert "disk is full" in screen.query_one(MessageLine).said
            assert "4.5" not in screen.query_one("#marks", GridView).canvas.text()
        await pilot.press("enter")
        await settle(pilot)
        assert values(book, sweep.id) == [(6.0, 0.0, "4.5")]
        assert "4.5" in screen.query_one("#marks", GridView).canvas.text()


async def test_it_resumes_where_it_stopped_after_a_kill(tmp_path: Path) -> None:
    """The first app is dropped without any goodbye; only the file is left."""
    book, job = new_job(tmp_path / "shop.db")
    sweep = new_sweep(book, job)
    async with app_on(book).run_test() as pilot:
        await open_sweep_screen(pilot, job)
        for text in ("1", "2", "3"):
            await typed(pilot, text)
        other = open_book(tmp_path / "shop.db")
        stand = values(other, sweep.id)
    assert len(stand) == 3
    async with app_on(other).run_test() as pilot:
        screen = await open_sweep_screen(pilot, jobs.job(other, job.id))
        assert screen.state is not None
        assert screen.state.place is not None
        assert (screen.state.station_in, screen.state.place.clock_deg) == (6.0, 135.0)
        marks = screen.query_one("#marks", GridView).canvas.text()
        assert "1" in marks


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
        station = sweeps.readings_for_core(book, sweep.id).stations[0]
        degrees = [round(c * 57.29578) for c in station.clock_rad]
        assert degrees == [0, 315, 270]


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
        quick = sweeps.readings_for_core(book, sweep.id).stations[0].quick
        assert quick is not None
        assert quick.tir_in == pytest.approx(0.0065)
        assert round(quick.high_spot_rad * 57.29578) == 270
        assert screen.known.stations[6.0].tir_in == pytest.approx(0.0065)


@pytest.mark.parametrize("size", SIZES)
async def test_a_new_sweep_is_set_up_by_keys_and_finished(
    book_and_job: tuple[Book, Job], size: tuple[int, int]
) -> None:
    book, job = book_and_job
    async with app_on(book).run_test(size=size) as pilot:
        screen = await open_sweep_screen(pilot, job)
        assert isinstance(pilot.app.screen, SweepSetupScreen)
        await pilot.press("4", "enter", "2")
        await pilot.press("escape", "f12", "1")
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
        assert screen.state is not None
        await typed(pilot, "3")
        await pilot.press("f12", "1")
        await settle(pilot)
        assert sweeps.sweep(book, sweep.id).finished_at is not None


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
        await pilot.press("f5")
        assert sweeps.sweep(book, sweep.id).stations_in == (6.0, 12.0, 18.0)
        await pilot.press("pageup", "down", "f6")
        await typed(pilot, "13")
        assert sweeps.sweep(book, sweep.id).stations_in == (6.0, 13.0, 18.0)
        moved = sweeps.readings_for_core(book, sweep.id)
        assert [s.station_in for s in moved.stations] == [6.0, 13.0]
        assert len(moved.stations[1].clock_rad) == 8
        await pilot.press("f8")
        assert sweeps.sweep(book, sweep.id).stations_in == (18.0, 13.0, 6.0)
        await typed(pilot, "500")
        assert "not on the shaft" in pilot.app.screen.query_one(MessageLine).said
        await pilot.press(*["backspace"] * 3, "f7")
        await typed(pilot, "12")
        made = sweeps.sweep(book, sweep.id).stations_in
        assert {24.0, 96.0, 13.0, 6.0} <= set(made)
        await pilot.press("escape")
        await settle(pilot)
        assert pilot.app.screen is screen
        assert screen.state is not None
        assert screen.state.stations_in == made


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


async def test_a_released_job_takes_no_reading(book_and_job: tuple[Book, Job]) -> None:
    book, job = book_and_job
    sweep = new_sweep(book, job, read=2)
    jobs.set_state(book, job.id, "released")
    async with app_on(book).run_test() as pilot:
        screen = await open_sweep_screen(pilot, job)
        await typed(pilot, "5")
        assert "can be looked at" in screen.query_one(MessageLine).said
        assert len(values(book, sweep.id)) == 16


async def test_a_station_rolled_the_other_way_is_turned_round_by_one_key(
    book_and_job: tuple[Book, Job],
) -> None:
    book, job = book_and_job

    def shape(station_in: float, clock_deg: float) -> float:
        return bent(station_in, -clock_deg if station_in == 54.0 else clock_deg)

    sweep = new_sweep(book, job, read=19, shape=shape)
    async with app_on(book).run_test() as pilot:
        screen = await open_sweep_screen(pilot, job)
        assert [t.station_in for t in screen.known.turned] == [54.0]
        assert "rolled the other way" in painted(screen)
        await pilot.press("f6")
        await settle(pilot)
        assert screen.known.turned == ()
        turned = sweeps.readings_for_core(book, sweep.id)
        station = next(s for s in turned.stations if s.station_in == 54.0)
        for clock_rad, reading_in in zip(station.clock_rad, station.reading_in, strict=True):
            assert reading_in == pytest.approx(bent(54.0, clock_rad * 57.29578), abs=0.0003)
        assert len(sweeps.readings_of(book, sweep.id, all_rows=True)) == 19 * 8 + 8


async def test_readings_of_another_bench_appear(book_and_job: tuple[Book, Job]) -> None:
    book, job = book_and_job
    sweep = new_sweep(book, job)
    async with app_on(book).run_test() as pilot:
        screen = await open_sweep_screen(pilot, job)
        await pilot.press("7")
        with open_book(book.path, by="bench 2") as other:
            sweeps.take_reading(
                other, sweep.id, station_in=6.0, clock_deg=0.0, value_in=0.0095, raw="9.5"
            )
        beat(pilot)
        await pilot.pause()
        assert "9.5" in screen.query_one("#marks", GridView).canvas.text()
        assert screen.bench.field.value == "7"
        assert screen.state is not None
        assert screen.state.place is not None
        assert screen.state.place.clock_deg == 0.0
        await pilot.press("slash")
        with open_book(book.path, by="bench 2") as other:
            sweeps.take_reading(
                other, sweep.id, station_in=6.0, clock_deg=45.0, value_in=0.001, raw="1"
            )
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
            sweeps.take_reading(
                other, sweep.id, station_in=6.0, clock_deg=0.0, value_in=0.0095, raw="9.5"
            )
        await typed(pilot, "7")
        assert values(book, sweep.id) == [(6.0, 0.0, "9.5")]
        assert "has read this mark meanwhile: 9.5" in screen.query_one(MessageLine).said
        assert screen.bench.field.value == "7"
        await pilot.press("enter")
        await pilot.pause()
        assert values(book, sweep.id) == [(6.0, 0.0, "7")]
        assert len(sweeps.readings_of(book, sweep.id, all_rows=True)) == 2


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
