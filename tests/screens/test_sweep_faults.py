"""What must never happen while readings go in: each was a fault once."""

from __future__ import annotations

import pytest

from core.base.records import Job
from core.book import sweeps
from core.book.connection import Book
from tests.support.bench_book import new_sweep
from tests.support.sweep_hands import app_on, at_sweep, open_sweep_screen, settle, typed, values
from tui.screens.sweep.sweep import SweepScreen
from tui.screens.sweep.sweep_menu import menu_items
from tui.screens.sweep.sweep_views import SweepDisplay
from tui.widgets.message import MessageLine

TWO = {"stations_in": (6.0, 12.0), "marks_deg": (0.0, 90.0, 180.0, 270.0)}


@pytest.mark.slow
async def test_after_the_last_mark_nothing_is_taken(book_and_job: tuple[Book, Job]) -> None:
    book, job = book_and_job
    sweep = new_sweep(book, job, read=2, **TWO)  # type: ignore[arg-type]
    before = values(book, sweep.id)
    async with app_on(book).run_test() as pilot:
        screen = await open_sweep_screen(pilot, job)
        for text in ("11.5", "-2"):
            await typed(pilot, text)
            assert "All is read" in screen.query_one(MessageLine).said
        await pilot.press("asterisk", "f4")
        await settle(pilot)
        assert values(book, sweep.id) == before
        await pilot.press("up")
        await typed(pilot, "9")
        await typed(pilot, "8")
        await settle(pilot)
        assert [v[2] for v in values(book, sweep.id)].count("9") == 1
        assert "8" not in [v[2] for v in values(book, sweep.id)]


@pytest.mark.slow
async def test_a_finished_sweep_takes_nothing_until_it_is_opened_again(
    book_and_job: tuple[Book, Job],
) -> None:
    book, job = book_and_job
    sweep = new_sweep(book, job, read=1, **TWO)  # type: ignore[arg-type]
    sweeps.finish_sweep(book, sweep.id)
    before = values(book, sweep.id)
    async with app_on(book).run_test() as pilot:
        await pilot.pause()
        pilot.app.go("sweep", job.id, sweep_id=sweep.id)  # type: ignore[attr-defined]
        await settle(pilot)
        screen = pilot.app.screen
        assert isinstance(screen, SweepScreen)
        await typed(pilot, "5")
        assert "finished" in screen.query_one(MessageLine).said
        await pilot.press("slash", "slash", "f5", "f4", "up")
        await typed(pilot, "6")
        await settle(pilot)
        assert values(book, sweep.id) == before
        await pilot.press("slash", "f12", "8")
        await settle(pilot)
        await pilot.press("pagedown")
        await typed(pilot, "7")
        await settle(pilot)
        assert values(book, sweep.id) == [*before, (12.0, 0.0, "7")]


@pytest.mark.slow
@pytest.mark.parametrize(
    "keys", [("f1", "escape"), ("f9", "escape"), ("escape", "1"), ("f2", "escape")]
)
async def test_a_digit_typed_before_an_interruption_does_not_glue_to_the_next_number(
    book_and_job: tuple[Book, Job], keys: tuple[str, ...]
) -> None:
    book, job = book_and_job
    sweep = new_sweep(book, job)
    async with app_on(book).run_test() as pilot:
        pilot.app.go("card", job.id) if keys[0] == "escape" else None  # type: ignore[attr-defined]
        await open_sweep_screen(pilot, job)
        await pilot.press("1")
        for key in keys:
            await pilot.press(key)
            await settle(pilot)
        screen = pilot.app.screen
        assert isinstance(screen, SweepScreen)
        assert (screen.field.value, screen.field.selected) == ("1", True)
        await typed(pilot, "1.7")
        await settle(pilot)
        assert values(book, sweep.id) == [(6.0, 0.0, "1.7")]


@pytest.mark.slow
async def test_a_digit_typed_before_the_program_was_told_to_leave(
    book_and_job: tuple[Book, Job],
) -> None:
    book, job = book_and_job
    sweep = new_sweep(book, job)
    async with app_on(book).run_test() as pilot:
        await open_sweep_screen(pilot, job)
        await pilot.press("1")
        pilot.app._leave_settled(143)  # type: ignore[attr-defined]
    async with app_on(book).run_test() as pilot:
        screen = await open_sweep_screen(pilot, job)
        assert (screen.field.value, screen.field.selected) == ("1", True)
        await typed(pilot, "1.7")
        assert values(book, sweep.id) == [(6.0, 0.0, "1.7")]


@pytest.mark.slow
@pytest.mark.parametrize("key", ["f4", "asterisk_after_up", "pagedown", "down", "f6"])
async def test_a_digit_typed_before_a_move_does_not_glue_to_the_next_number(
    book_and_job: tuple[Book, Job], key: str
) -> None:
    book, job = book_and_job
    async with at_sweep(book, job) as (pilot, screen, sweep):
        await pilot.press("1", *("up", "asterisk") if "asterisk" in key else (key,))
        if key == "f6":
            await pilot.press("escape")
        await pilot.pause()
        assert not screen.field.value or screen.field.selected
        await typed(pilot, "1.7")
        await settle(pilot)
        assert "1.7" in [v[2] for v in values(book, sweep.id)]


@pytest.mark.slow
async def test_a_number_typed_for_a_chosen_mark_comes_back_at_that_mark(
    book_and_job: tuple[Book, Job],
) -> None:
    book, job = book_and_job
    sweep = new_sweep(book, job)
    async with app_on(book).run_test() as pilot:
        await open_sweep_screen(pilot, job)
        for text in ("1", "2", "3"):
            await typed(pilot, text)
        await pilot.press("up", "up", "9", "escape")
        await settle(pilot)
        screen = await open_sweep_screen(pilot, job)
        assert "mark 45 deg (now 2)" in screen.field.canvas.text()
        await pilot.press("enter")
        await settle(pilot)
        assert {v[1]: v[2] for v in values(book, sweep.id)}[45.0] == "9"
        assert screen.session is not None
        assert screen.session.slot is not None
        assert screen.session.slot.clock_deg == 135.0


@pytest.mark.slow
@pytest.mark.parametrize("text", ["5-", "1-5", "3/4", "1 5", "1..5"])
async def test_what_could_be_another_number_is_refused_and_the_next_digit_replaces_it(
    book_and_job: tuple[Book, Job], text: str
) -> None:
    book, job = book_and_job
    async with at_sweep(book, job) as (pilot, screen, sweep):
        await typed(pilot, "2")
        await typed(pilot, text)
        assert screen.query_one(MessageLine).tone == "stop"
        assert screen.field.value == text
        await typed(pilot, "5")
        await settle(pilot)
        assert [v[2] for v in values(book, sweep.id)] == ["2", "5"]


@pytest.mark.slow
async def test_undo_names_what_it_took_back_and_leaves_another_bench_alone(
    book_and_job: tuple[Book, Job],
) -> None:
    book, job = book_and_job
    async with at_sweep(book, job) as (pilot, screen, sweep):
        await typed(pilot, "46")
        await pilot.press("f5")
        assert "Taken back: 46" in screen.field.canvas.text()
        await pilot.press("f5")
        assert "Nothing to take back" in screen.field.canvas.text()
        assert values(book, sweep.id) == []


def test_the_menu_keeps_its_numbers() -> None:
    names = [item.name for item in menu_items(None, SweepDisplay())]
    assert names == [
        "finish",
        "shape",
        "new",
        "other",
        "setup",
        "stations",
        "right",
        "reopen",
        "again",
    ]
