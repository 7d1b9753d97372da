"""Trouble with the book's file under the running app: words on the screen, nothing lost."""

from __future__ import annotations

import os
import sqlite3
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from core.base.records import Job, Sweep
from core.book.connection import Book
from core.book.opening import open_book
from core.book.readings import readings_of
from tests.support.bench_book import new_job, new_sweep
from tests.support.sweep_hands import app_on, beat, open_sweep_screen, settle, typed
from tui.app import ShaftlogApp
from tui.screens.sweep.sweep import SweepScreen
from tui.widgets.message import MessageLine


@pytest.fixture
def shop(tmp_path: Path) -> tuple[Book, Job, Sweep]:
    book, job = new_job(tmp_path / "shop.db")
    return book, job, new_sweep(book, job)


def said(screen: SweepScreen) -> str:
    return screen.query_one(MessageLine).said


def raws(book: Book, sweep: Sweep) -> list[str | None]:
    return [r.raw for r in readings_of(book, sweep.id)]


@pytest.mark.slow
async def test_readings_wait_while_another_program_holds_the_book(
    shop: tuple[Book, Job, Sweep], monkeypatch: pytest.MonkeyPatch
) -> None:
    book, job, sweep = shop
    monkeypatch.setattr(SweepScreen, "TRY_AGAIN_S", 0.05)
    async with app_on(book).run_test() as pilot:
        screen = await open_sweep_screen(pilot, job)
        await typed(pilot, "1")
        other = sqlite3.connect(book.path, isolation_level=None)
        other.execute("BEGIN IMMEDIATE")
        await typed(pilot, "2")
        await typed(pilot, "3")
        assert raws(book, sweep) == ["1"]
        assert "NOT STORED YET: 2, 3" in said(screen)
        await pilot.press("escape")
        assert pilot.app.screen is screen, "leaving would drop them: told first"
        assert "2, 3 not stored yet" in said(screen)
        other.execute("ROLLBACK")
        other.close()
        await pilot.pause(0.2)
        await settle(pilot)
        assert raws(book, sweep) == ["1", "2", "3"]
        assert not screen.queue


@pytest.mark.slow
async def test_a_full_disk_keeps_the_reading_typed(shop: tuple[Book, Job, Sweep]) -> None:
    book, job, sweep = shop
    async with app_on(book).run_test() as pilot:
        screen = await open_sweep_screen(pilot, job)
        await typed(pilot, "1")
        pages = book.one("PRAGMA page_count")
        assert pages is not None
        book.con.execute(f"PRAGMA max_page_count = {pages[0]}")
        taken = 1
        while taken < 400:
            taken += 1
            await typed(pilot, f"0.{taken}")
            if screen.bench.field.value:
                break
        assert "full" in said(screen)
        assert "0." in screen.bench.field.value, "what was not stored stays typed"
        assert len(raws(book, sweep)) == taken - 1
        book.con.execute("PRAGMA max_page_count = 1000000")
        await pilot.press("enter")
        await settle(pilot)
        assert len(raws(book, sweep)) == taken


@pytest.mark.slow
async def test_a_book_deleted_under_the_app_is_written_again(
    shop: tuple[Book, Job, Sweep],
) -> None:
    book, job, sweep = shop
    async with app_on(book).run_test() as pilot:
        screen = await open_sweep_screen(pilot, job)
        await typed(pilot, "1")
        book.path.unlink()
        await typed(pilot, "2")
        told = ("NOT STORED YET: 2", "written there again", "all that waited is stored")
        assert any(words in said(screen) for words in told)
        beat(pilot)
        screen.queue.try_again()
        await settle(pilot)
        assert raws(book, sweep) == ["1", "2"]
    with open_book(book.path, create=False) as again:
        assert raws(again, sweep) == ["1", "2"]


@pytest.mark.slow
async def test_a_book_cut_short_under_the_app_is_told_once(shop: tuple[Book, Job, Sweep]) -> None:
    book, job, _ = shop
    async with app_on(book).run_test() as pilot:
        screen = await open_sweep_screen(pilot, job)
        await typed(pilot, "1")
        book.checkpoint()
        beat(pilot)
        with book.path.open("r+b") as file:
            file.truncate(8192)
        await typed(pilot, "2")
        assert "restore the last good backup" in said(screen).replace("\n", " ")
        assert screen.bench.field.value == "2"
        assert book.path.stat().st_size == 8192


@pytest.mark.slow
async def test_a_read_only_book_is_opened_for_looking(
    shop: tuple[Book, Job, Sweep], monkeypatch: pytest.MonkeyPatch
) -> None:
    book, job, sweep = shop
    path = book.path
    book.close()
    real = os.access
    monkeypatch.setattr(os, "access", lambda place, how: how != os.W_OK and real(place, how))
    app = ShaftlogApp(path, warm=False)
    async with app.run_test() as pilot:
        for _ in range(100):  # said after the first picture
            await pilot.pause()
            if app.screen.query_one(MessageLine).said:
                break
        assert "For looking only" in app.screen.query_one(MessageLine).said
        screen = await open_sweep_screen(pilot, job)
        await typed(pilot, "1")
        assert raws(app.book, sweep) == []
        assert "reading only" in said(screen) or "looking" in said(screen)
    app.close_book()


@pytest.mark.slow
async def test_a_clock_that_was_set_back_is_said(tmp_path: Path) -> None:
    path = tmp_path / "shop.db"
    job = new_job(path, now=lambda: datetime.now(UTC) + timedelta(hours=3))[1]
    app = ShaftlogApp(path, warm=False)
    async with app.run_test() as pilot:
        for _ in range(100):  # said after the first picture
            await pilot.pause()
            if app.screen.query_one(MessageLine).said:
                break
        assert "clock of this computer" in app.screen.query_one(MessageLine).said
        assert app.clock() > datetime.fromisoformat(job.opened_at).timestamp()
    app.close_book()
