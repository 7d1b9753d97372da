"""Sweep entry by keys alone: what stands in the book afterwards is what counts."""

from __future__ import annotations

from pathlib import Path

import pytest
from textual import events

from core.base.records import Job, Reading
from core.book import jobs
from core.book import readings as book_readings
from core.book.connection import Book
from core.book.errors import DiskFull
from core.book.opening import open_book
from core.book.readings import readings_of
from tests.support.bench_book import bent, new_job, new_sweep
from tests.support.book_helpers import reading_at
from tests.support.sweep_hands import (
    SIZES,
    app_on,
    at_sweep,
    open_sweep_screen,
    painted,
    settle,
    typed,
    values,
)
from tui.widgets.canvas import GridView
from tui.widgets.message import MessageLine


@pytest.mark.slow
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
        stand = readings_of(book, sweep.id)
        assert [r.raw for r in stand] == ["0", "1.5", "2.0", "1.5", "0", "-1.5", "blocked", "-1.5"]
        assert stand[1].value_in == pytest.approx(0.0015)
        assert stand[6].kind == "blocked"
        assert screen.session is not None
        assert screen.session.station_in == 12.0
        assert screen.bench.known.stations[6.0].tir_in == pytest.approx(0.004, abs=0.0008)
        assert "TIR" in painted(screen)
        assert "Move the dial to station 12 in" in screen.query_one(MessageLine).said


@pytest.mark.slow
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
        assert [r.raw for r in readings_of(book, sweep.id)] == [
            "10", "20", "30", "40", "50", "6", "blocked", "8",
        ]  # fmt: skip


@pytest.mark.slow
async def test_empty_enter_and_bounce_take_nothing(book_and_job: tuple[Book, Job]) -> None:
    book, job = book_and_job
    sweep = new_sweep(book, job)
    async with app_on(book).run_test() as pilot:
        await open_sweep_screen(pilot, job)
        await pilot.press("enter", "enter", "ctrl+j", "5", "ctrl+j", "enter", "enter")
        await settle(pilot)
        assert values(book, sweep.id) == [(6.0, 0.0, "5")]


async def test_what_was_taken_before_another_screen_is_not_said_after_it(
    book_and_job: tuple[Book, Job],
) -> None:
    book, job = book_and_job
    async with at_sweep(book, job) as (pilot, screen, _):
        await typed(pilot, "5")
        await settle(pilot)
        assert screen.field.echo[0] == "Taken: 5 thou"
        await pilot.press("f9", "escape")
        await settle(pilot)
        assert screen.field.echo[0] == ""


async def test_undo_at_the_question_where_to_go_takes_no_reading_back(
    book_and_job: tuple[Book, Job],
) -> None:
    book, job = book_and_job
    async with at_sweep(book, job) as (pilot, screen, sweep):
        await pilot.press("5", "enter", "f6", "f5", "f7", "slash")
        await settle(pilot)
        assert values(book, sweep.id) == [(6.0, 0.0, "5")]
        assert "Answer the question first" in screen.query_one(MessageLine).said
        await pilot.press("escape", "f5")
        await settle(pilot)
        assert values(book, sweep.id) == []


@pytest.mark.slow
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


@pytest.mark.slow
async def test_undo_takes_back_and_returns_to_the_mark(book_and_job: tuple[Book, Job]) -> None:
    book, job = book_and_job
    async with at_sweep(book, job) as (pilot, screen, sweep):
        for text in ("1", "2", "3"):
            await typed(pilot, text)
        await pilot.press("9", "slash")
        assert screen.bench.field.value == "9/"
        await pilot.press("backspace", "backspace")
        assert len(values(book, sweep.id)) == 3
        await pilot.press("slash")
        await settle(pilot)
        assert values(book, sweep.id) == [(6.0, 0.0, "1"), (6.0, 45.0, "2")]
        assert screen.session is not None
        assert screen.session.slot is not None
        assert screen.session.slot.clock_deg == 90.0
        rows = readings_of(book, sweep.id, all_rows=True)
        assert [r.raw for r in rows] == ["1", "2", "3"]
        await pilot.press("f5", "f5", "f5", "f5")
        await settle(pilot)
        assert values(book, sweep.id) == []


@pytest.mark.slow
async def test_an_earlier_reading_is_mended_by_station_and_clock(
    book_and_job: tuple[Book, Job],
) -> None:
    book, job = book_and_job
    sweep = new_sweep(book, job, read=3)
    async with app_on(book).run_test() as pilot:
        screen = await open_sweep_screen(pilot, job)
        home = screen.session and screen.session.cursor
        await pilot.press("f6")
        await typed(pilot, "12")
        await typed(pilot, "90")
        await typed(pilot, "7.5")
        await settle(pilot)
        new = reading_at(book, sweep.id, 12.0, 90.0)
        assert new is not None
        assert (new.raw, new.value_in) == ("7.5", pytest.approx(0.0075))
        rows = readings_of(book, sweep.id, all_rows=True)
        old = [r for r in rows if r.replaced_by == new.id]
        assert [r.station_in for r in old] == [12.0]
        assert screen.session is not None
        assert screen.session.cursor == home


@pytest.mark.slow
async def test_an_earlier_reading_is_mended_with_arrows_and_with_the_pad(
    book_and_job: tuple[Book, Job],
) -> None:
    book, job = book_and_job
    async with at_sweep(book, job) as (pilot, screen, sweep):
        for text in ("1", "2", "3"):
            await typed(pilot, text)
        await pilot.press("up", "up")
        await typed(pilot, "2.5")
        await pilot.press("9", "0", "asterisk")
        await typed(pilot, "3.5")
        await pilot.press("1", "2", "3", "asterisk")
        assert "no mark at 123" in screen.query_one(MessageLine).said
        await settle(pilot)
        by_clock = {r.clock_deg: r.raw for r in readings_of(book, sweep.id)}
        assert by_clock == {0.0: "1", 45.0: "2.5", 90.0: "3.5"}
        assert screen.session is not None
        assert screen.session.slot is not None
        assert screen.session.slot.clock_deg == 135.0


@pytest.mark.slow
async def test_plus_and_minus_and_page_keys_change_the_station(
    book_and_job: tuple[Book, Job],
) -> None:
    book, job = book_and_job
    async with at_sweep(book, job) as (pilot, screen, _):

        def here() -> float | None:
            return screen.session.station_in if screen.session else None

        await typed(pilot, "+")
        assert here() == 12.0
        await pilot.press("pagedown")
        assert here() == 18.0
        await typed(pilot, "-")
        await pilot.press("pageup", "pageup")
        assert here() == 6.0
        assert "first station" in screen.query_one(MessageLine).said


@pytest.mark.slow
async def test_a_slip_is_shown_and_one_key_takes_the_mend(book_and_job: tuple[Book, Job]) -> None:
    book, job = book_and_job
    sweep = new_sweep(book, job, read=9)
    async with app_on(book).run_test() as pilot:
        screen = await open_sweep_screen(pilot, job)
        for clock in range(0, 360, 45):
            thou = round(bent(60.0, clock) * 2000) / 2
            await typed(pilot, f"{thou + (100 if clock == 135 else 0):g}")
        await settle(pilot)
        assert [(s.kind, s.station_in) for s in screen.bench.known.slips] == [("lost turn", 60.0)]
        assert "lost turn" in painted(screen)
        before = reading_at(book, sweep.id, 60.0, 135.0)
        assert before is not None
        assert before.raw == "104"
        await pilot.press("f7")
        await settle(pilot)
        after = reading_at(book, sweep.id, 60.0, 135.0)
        assert after is not None
        assert after.value_in == pytest.approx(0.004)
        assert "104" in after.raw
        assert screen.bench.known.slips == ()
        rows = readings_of(book, sweep.id, all_rows=True)
        assert any(r.raw == "104" and r.replaced_by == after.id for r in rows)


@pytest.mark.slow
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
            patch.setattr(book_readings, "store_act", full)
            await typed(pilot, "4.5")
            await pilot.pause()
            assert screen.bench.field.value == "4.5"
            assert "disk is full" in screen.query_one(MessageLine).said
            assert "4.5" not in screen.query_one("#marks", GridView).canvas.text()
        await pilot.press("enter")
        await settle(pilot)
        assert values(book, sweep.id) == [(6.0, 0.0, "4.5")]
        assert "4.5" in screen.query_one("#marks", GridView).canvas.text()


@pytest.mark.slow
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
        assert screen.session is not None
        assert screen.session.slot is not None
        assert (screen.session.station_in, screen.session.slot.clock_deg) == (6.0, 135.0)
        marks = screen.query_one("#marks", GridView).canvas.text()
        assert "1" in marks
