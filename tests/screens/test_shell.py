"""Board, jump, card, history, visits, notes, settings; keys typed ahead; sharp painting."""

from __future__ import annotations

import asyncio
from dataclasses import replace
from pathlib import Path

import pytest
from textual import events
from textual._compositor import Compositor

from core.book import jobs, settings, sweeps
from core.jobs.facts import facts_of
from tests.support.app_helpers import (
    LARGE,
    first_job,
    go,
    lines,
    message,
    opened,
    text,
    type_text,
    worked_out,
)
from tui.screens.board.board_rows import two_digit_numbers
from tui.screens.board.job_card import JobCardScreen
from tui.screens.intake.intake import IntakeScreen
from tui.widgets.form import Form
from tui.widgets.list_box import ListBox
from tui.widgets.menu import Menu


def test_two_digits_are_the_end_of_the_tag_and_never_doubled() -> None:
    assert two_digit_numbers(["26-014", "26-007", "26-114"]) == ["14", "07", "01"]
    many = [f"26-{n:03d}" for n in range(1, 130)]
    numbers = two_digit_numbers(many)
    taken = [number for number in numbers if number]
    assert len(taken) == len(set(taken)) == 100
    assert two_digit_numbers(["odd", "26-001"])[1] == "01"


@pytest.mark.slow
async def test_any_open_job_is_three_keystrokes_away(tmp_path: Path) -> None:
    async with opened(tmp_path) as (app, pilot):
        for place in ("board", "settings", "find", "intake", "sweep", "plot"):
            await go(app, pilot, place)
            await pilot.press("f2", "0", "3")
            await pilot.pause()
            assert app.screen.HEADING == "Job card", place
            assert "26-003" in text(app), place


@pytest.mark.slow
async def test_a_wrong_number_says_so_and_backspace_begins_again(tmp_path: Path) -> None:
    async with opened(tmp_path) as (app, pilot):
        await pilot.press("f2", "9", "9")
        await pilot.pause()
        assert "No open job has the number 99" in text(app)
        await pilot.press("0", "backspace", "0", "2")
        await pilot.pause()
        assert "26-002" in text(app)


@pytest.mark.slow
async def test_the_card_marks_the_next_step_and_a_digit_opens_it(tmp_path: Path) -> None:
    async with opened(tmp_path) as (app, pilot):
        await go(app, pilot, "card")
        marked = [line for line in lines(app) if "NEXT" in line]
        assert len(marked) == 1
        assert "Sweep as received" in marked[0]
        await pilot.press("1")
        await pilot.pause()
        assert app.screen.HEADING == "Runout sweep"
        await pilot.press("f10")
        await pilot.pause()
        assert app.screen.HEADING == "Job card"
        assert len(app.screen_stack) == 2


@pytest.mark.slow
async def test_going_to_another_job_leaves_nothing_of_the_first_behind(tmp_path: Path) -> None:
    async with opened(tmp_path) as (app, pilot):
        await go(app, pilot, "card")
        await go(app, pilot, "intake")
        other = jobs.open_jobs(app.book)[1].id
        app.go("card", other)
        await pilot.pause()
        assert [getattr(s, "job_id", None) for s in app.screen_stack] == [None, other]


@pytest.mark.slow
async def test_waiting_and_closing_a_job(tmp_path: Path) -> None:
    async with opened(tmp_path) as (app, pilot):
        job_id = first_job(app)
        await go(app, pilot, "card")
        await pilot.press("f7", "3", "2")
        await pilot.pause()
        assert jobs.job(app.book, job_id).state == "waiting"
        assert jobs.job(app.book, job_id).waiting_for == "parts"
        await pilot.press("f7", "6", "f12")
        assert jobs.job(app.book, job_id).state == "waiting"
        assert "reason" in message(app)
        await pilot.press("enter")
        await type_text(pilot, "Odo K")
        await pilot.press("enter")
        await type_text(pilot, "not worth it")
        await pilot.press("enter", "f12")
        await pilot.pause()
        assert jobs.job(app.book, job_id).state == "returned"
        assert jobs.notes_of(app.book, job_id)[-1].text == "not worth it"
        assert "read only" in text(app)
        await pilot.press("f7", "4")
        await type_text(pilot, "Odo K")
        await pilot.press("enter", "f12")
        await pilot.pause()
        assert jobs.job(app.book, job_id).state == "open"


@pytest.mark.slow
async def test_the_board_finds_old_jobs_as_typed(tmp_path: Path) -> None:
    async with opened(tmp_path) as (app, pilot):
        jobs.set_state(app.book, first_job(app), "returned")
        app.screen.refresh_view()
        assert len(app.screen.query_one(ListBox).rows) == 2
        await type_text(pilot, "gan")
        await pilot.pause()
        assert "26-001" in text(app)
        assert "returned" in text(app)
        await pilot.press("escape")
        await pilot.pause()
        assert len(app.screen.query_one(ListBox).rows) == 2


@pytest.mark.slow
async def test_history_opens_old_jobs_and_starts_new_ones_on_the_same_shaft(tmp_path: Path) -> None:
    async with opened(tmp_path) as (app, pilot):
        old = first_job(app)
        shaft_id = jobs.job(app.book, old).shaft_id
        jobs.set_state(app.book, old, "returned")
        await pilot.press("f3", "g", "a", "n", "enter")
        await pilot.pause()
        await pilot.press("1")
        await pilot.pause()
        assert "read only" in text(app)
        await pilot.press("f3", "f3", "g", "a", "n", "f4")
        await pilot.pause()
        new = jobs.open_jobs(app.book)[-1]
        assert (new.shaft_id, new.state) == (shaft_id, "open")
        await pilot.press("f6")
        await pilot.pause()
        assert "26-001" in text(app)
        assert new.tag in text(app)


@pytest.mark.slow
async def test_notes_are_kept_also_when_left_without_enter(tmp_path: Path) -> None:
    async with opened(tmp_path) as (app, pilot):
        await go(app, pilot, "card")
        await pilot.press("f9")
        await type_text(pilot, "burr at key")
        await pilot.press("enter")
        await type_text(pilot, "call him")
        await pilot.press("escape")
        await pilot.pause()
        found = [note.text for note in jobs.notes_of(app.book, first_job(app))]
        assert found == ["burr at key", "call him"]
        assert "call him" in text(app)


@pytest.mark.slow
async def test_settings_store_check_and_go_back_to_the_first_value(tmp_path: Path) -> None:
    async with opened(tmp_path) as (app, pilot):
        await pilot.press("f8", "2")
        await pilot.pause()
        assert "common practice, no source" in text(app)
        await type_text(pilot, "1 thou")
        await pilot.press("enter")
        await pilot.pause()
        assert settings.load(app.book).limit_taper_in == pytest.approx(0.001)
        assert "= 1.0 thou" in text(app)
        await type_text(pilot, "2")
        await pilot.press("enter")
        await pilot.pause()
        assert "out of range" in message(app)
        assert settings.load(app.book).limit_bearing_in == 0.002
        await pilot.press("up", "up", "f4")
        await pilot.pause()
        assert settings.load(app.book).limit_bearing_in == 0.002


def test_every_setting_is_explained() -> None:
    from tui.screens.settings.setting_text import WORDS

    assert {field.name for field in settings.FIELDS} <= set(WORDS)


@pytest.mark.slow
async def test_keys_typed_ahead_keep_their_order(tmp_path: Path) -> None:
    """All keys are in the queue before the app has dealt with the first one."""
    keys = ["f2", "0", "2", "f4", *["down"] * 6, *"250", "enter", *"1800", "enter"]
    async with opened(tmp_path) as (app, _):
        for key in keys:
            app.post_message(events.Key(key, key if len(key) == 1 else None))
        for _ in range(200):
            await asyncio.sleep(0.02)
            if app._key_at_work is None and not app._typed:
                break
        assert isinstance(app.screen, IntakeScreen)
        job = jobs.open_jobs(app.book)[1]
        from tui.screens.intake.intake_fields import read_whole

        vessel = read_whole(app.book, job.id).vessel
        assert (vessel.engine_hp, vessel.shaft_rpm) == (250.0, 1800.0)


@pytest.mark.slow
async def test_sharp_painting_paints_what_the_stock_compositor_would(tmp_path: Path) -> None:
    """For every row of several screens, the strips of a partial update are the same."""
    async with opened(tmp_path) as (app, pilot):
        for place in ("board", "card", "intake", "areas", "sweep"):
            await go(app, pilot, place)
            sharp = app.screen._compositor
            for widget in list(sharp.visible_widgets)[1:]:
                region = sharp.visible_widgets[widget][0]
                crop = region.intersection(sharp.size.region)
                if not crop:
                    continue
                inside = range(crop.y, crop.bottom).__contains__
                ours = sharp._render_chops(crop, inside)
                stock = Compositor._render_chops(_Stock(sharp), crop, inside)
                for y in range(crop.y, crop.bottom):
                    for x, strip in stock[y].items():
                        if strip is not None and crop.x <= x < crop.right:
                            assert ours[y][x] is not None
                            assert ours[y][x].text == strip.text


class _Stock:
    """The stock way of gathering renders on a given compositor."""

    def __init__(self, sharp: Compositor) -> None:
        self.cuts = sharp.cuts
        self.visible_widgets = sharp.visible_widgets

    def _get_renders(self, crop):  # type: ignore[no-untyped-def]
        return Compositor._get_renders(self, crop)  # type: ignore[arg-type]


@pytest.mark.slow
async def test_nothing_is_painted_while_idle(tmp_path: Path) -> None:
    async with opened(tmp_path) as (app, pilot):
        await go(app, pilot, "intake")
        await pilot.pause(0.2)
        painted: list[object] = []
        app._display = lambda *args: painted.append(args)  # type: ignore[method-assign]
        await asyncio.sleep(1.2)
        assert not painted


@pytest.mark.slow
async def test_a_form_keeps_its_cursor_when_the_window_is_small(tmp_path: Path) -> None:
    async with opened(tmp_path, (60, 12)) as (app, pilot):
        await go(app, pilot, "intake")
        await pilot.press(*["down"] * 16)
        await worked_out(app, pilot)  # the hint's second row leaves the form another height
        form = app.screen.query_one(Form)
        assert form.current == "due"
        assert "Due" in text(app)
        assert form.box.region.y < 12


async def test_a_sweep_begun_shows_on_the_board(tmp_path: Path) -> None:
    async with opened(tmp_path, LARGE) as (app, _):
        assert "Sweep as received: go on" in text(app)
        assert sweeps.sweeps_of(app.book, first_job(app))


@pytest.mark.slow
@pytest.mark.parametrize("place", ["card", "intake", "areas", "visits", "board", "find"])
async def test_a_book_that_fails_is_told_in_words(tmp_path: Path, place: str) -> None:
    """The file goes away under the program: every key still answers, nothing crashes."""
    async with opened(tmp_path) as (app, pilot):
        job_id = first_job(app)
        await go(app, pilot, place)
        app.book.close()
        await pilot.press("f4", "escape", "1", "enter", "down", "f2", "0", "1", "escape")
        app.go("intake", job_id)
        app.go("visits", job_id)
        await pilot.press("f6", "f10", "f9", "x", "enter")
        await pilot.pause()
        assert app.is_running
        assert app.fault is None


@pytest.mark.slow
async def test_the_boards_own_number_and_a_scanned_tag_open_their_job(tmp_path: Path) -> None:
    """Digits of the first column searched before, and did not even find the job."""
    async with opened(tmp_path, count=3) as (app, pilot):
        for job in jobs.open_jobs(app.book):
            for typed in (job.tag[-2:], job.tag):
                app.back_to_board()
                await type_text(pilot, typed)
                await pilot.press("enter")
                await pilot.pause()
                assert app.screen.job_id == job.id


async def test_what_was_said_of_an_act_is_gone_after_another_screen(tmp_path: Path) -> None:
    async with opened(tmp_path) as (app, pilot):
        await go(app, pilot, "card")
        app.screen.say("Noted: 62.00 in.", "done")
        await pilot.pause()
        assert "Noted" in text(app)
        await pilot.press("f9")
        await pilot.pause()
        await pilot.press("escape")
        await pilot.pause()
        assert isinstance(app.screen, JobCardScreen)
        assert "Noted" not in text(app)


async def test_what_is_worked_out_for_the_card_leaves_a_chosen_step_chosen(tmp_path: Path) -> None:
    async with opened(tmp_path) as (app, pilot):
        await go(app, pilot, "card")
        card = app.screen
        assert isinstance(card, JobCardScreen)
        menu = card.query_one(Menu)
        await pilot.press("down", "down")
        chosen = menu.cursor
        facts = replace(facts_of(app.book, card.job_id), cracks=1, penetrant_areas=1)
        card._show_computed((facts, ""))
        assert "crack in 1" in menu.items[1].label
        assert menu.cursor == chosen
