"""Faults of the program in every kind of place: the screen is left in words, the app goes on."""

from __future__ import annotations

import asyncio
from collections.abc import Callable
from pathlib import Path
from typing import ClassVar

import pytest
from textual import events
from textual.app import ComposeResult
from textual.message import Message
from textual.pilot import Pilot

from core.base.errors import ShaftlogError
from tests.support.app_helpers import first_job, go, message, opened, text
from tui.app import ShaftlogApp
from tui.base.commands import verb
from tui.screens.base.screen import JobScreen, ShopScreen
from tui.screens.board.board import BoardScreen
from tui.screens.board.job_card import JobCardScreen
from tui.terminal.crash_recovery import FAULTS_AT_MOST
from tui.widgets.menu import Menu


def boom(*_: object, **__: object) -> None:
    """The fault."""
    raise ZeroDivisionError("planted")


def in_an_action(patch: pytest.MonkeyPatch, _app: ShaftlogApp) -> None:
    patch.setattr(JobCardScreen, "action_note", boom)


def in_a_timer(_patch: pytest.MonkeyPatch, app: ShaftlogApp) -> None:
    app.screen.set_timer(0.01, boom)


def after_a_paint(_patch: pytest.MonkeyPatch, app: ShaftlogApp) -> None:
    app.screen.call_after_refresh(boom)


def in_a_worker(_patch: pytest.MonkeyPatch, app: ShaftlogApp) -> None:
    app.screen.run_worker(boom, thread=True)


def in_a_widgets_handler(patch: pytest.MonkeyPatch, _app: ShaftlogApp) -> None:
    patch.setattr(Menu, "on_key", boom, raising=False)


def in_a_screens_handler(patch: pytest.MonkeyPatch, _app: ShaftlogApp) -> None:
    patch.setattr(JobCardScreen, "on_key", boom, raising=False)


def while_painting(patch: pytest.MonkeyPatch, app: ShaftlogApp) -> None:
    patch.setattr(Menu, "render_line", boom)
    app.screen.query_one(Menu).refresh()


def while_opening_another(patch: pytest.MonkeyPatch, app: ShaftlogApp) -> None:
    class Broken(JobScreen):
        compose = boom  # type: ignore[assignment]

    app.push_screen(Broken(first_job(app)))


def on_coming_back(patch: pytest.MonkeyPatch, app: ShaftlogApp) -> None:
    patch.setattr(JobCardScreen, "refresh_view", boom)
    app.screen.post_message(events.ScreenResume())


PLACES_OF_FAULTS = [
    in_an_action,
    in_a_timer,
    after_a_paint,
    in_a_worker,
    in_a_widgets_handler,
    in_a_screens_handler,
    while_painting,
    while_opening_another,
    on_coming_back,
]


async def settled(pilot: Pilot[None]) -> None:
    """Time for all to happen (`pilot.pause` would wait for the loop that has ended)."""
    await asyncio.sleep(0.15)
    await pilot.pause()


@pytest.mark.slow
@pytest.mark.parametrize("plant", PLACES_OF_FAULTS)
async def test_a_fault_costs_one_screen(
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    plant: Callable[[pytest.MonkeyPatch, ShaftlogApp], None],
) -> None:
    async with opened(tmp_path) as (app, pilot):
        app.carries_on = True
        told: list[str] = []
        monkeypatch.setattr(app, "tell_fault", told.append)
        await go(app, pilot, "card")
        plant(monkeypatch, app)
        await settled(pilot)
        await pilot.press("f9")
        for _ in range(100):
            await settled(pilot)
            if app.fault_file.exists():
                break
        assert app.is_running
        assert app.fault is None
        assert "planted" in app.fault_file.read_text()
        monkeypatch.undo()
        assert any("Something went wrong" in words for words in told)
        app.back_to_board()
        await pilot.press("f2", "0", "2")
        await settled(pilot)
        assert app.screen.HEADING == "Job card"
        assert "26-002" in text(app)


@pytest.mark.slow
async def test_a_dead_board_is_made_anew(tmp_path: Path) -> None:
    async with opened(tmp_path) as (app, pilot):
        app.carries_on = True
        for _ in range(2):
            board = app.screen
            board.call_later(boom)
            await settled(pilot)
            assert isinstance(app.screen, BoardScreen)
            assert app.screen is not board
            assert len(app.screen_stack) == 1
            assert "Something went wrong" in message(app)
        await pilot.press("down", "enter")
        await settled(pilot)
        assert app.screen.HEADING == "Job card"


@pytest.mark.slow
async def test_tests_see_every_fault(tmp_path: Path) -> None:
    with pytest.raises(ZeroDivisionError):  # noqa: PT012
        async with opened(tmp_path) as (app, pilot):
            app.screen.call_later(boom)
            await settled(pilot)


@pytest.mark.slow
async def test_a_storm_of_faults_ends_the_program(tmp_path: Path) -> None:
    async with opened(tmp_path) as (app, _pilot):
        app.carries_on = True
        for _ in range(FAULTS_AT_MOST + 1):
            app.call_later(boom)
        await asyncio.sleep(0.2)
        assert isinstance(app.fault, ZeroDivisionError)
        assert app.return_code == 1


@pytest.mark.slow
async def test_what_comes_too_late_for_a_screen_is_dropped(tmp_path: Path) -> None:
    """A thread's answer, or a paint asked for, after the screen was left."""
    done: list[str] = []

    class Answer(Message):
        """What a thread sends."""

    Answer.__module__ = "tui.screens.made_up"

    class Slow(ShopScreen):
        def on_test_what_comes_too_late_for_a_screen_is_dropped_answer(self) -> None:
            done.append("answer")

    Answer.handler_name = "on_test_what_comes_too_late_for_a_screen_is_dropped_answer"
    async with opened(tmp_path) as (app, pilot):
        screen = Slow()
        app.push_screen(screen)
        await pilot.pause()
        screen.later(lambda: done.append("paint"))
        screen.post_message(Answer())
        await settled(pilot)
        assert sorted(done) == ["answer", "paint"]
        app.pop_screen()
        assert screen.was_left
        assert screen.post_message(Answer())
        screen.later(lambda: done.append("too late"))
        await settled(pilot)
        assert len(done) == 2


async def test_a_key_still_at_work_when_the_program_is_left_is_no_fault(tmp_path: Path) -> None:
    async with opened(tmp_path) as (app, pilot):
        await pilot.press("f2")
    app._typed.append(events.Key("1", "1"))
    await app._work_off()
    assert app.fault is None
    assert not app._typed


@pytest.mark.slow
async def test_a_screen_without_its_body_shows_why_and_can_be_left(tmp_path: Path) -> None:
    """A form that cannot be made (here: the job has gone) takes no keys but those of every one."""
    async with opened(tmp_path) as (app, pilot):
        screen = Bodiless(first_job(app))
        app.push_screen(screen)
        await settled(pilot)
        assert "The shaft has no length yet." in text(app)
        app.show_changes()
        await pilot.press("f4", "escape")
        await settled(pilot)
        assert app.screen is not screen
        assert screen.did == []


class Bodiless(JobScreen):
    """Its body needs what is not there."""

    ACTIONS: ClassVar = (verb("act", "work", "Work", "Needs the body"),)

    def __init__(self, job_id: str) -> None:
        super().__init__(job_id)
        self.did: list[str] = []

    def body(self) -> ComposeResult:
        yield Menu()
        raise ShaftlogError("The shaft has no length yet.")

    def refresh_view(self) -> None:
        self.did.append("refresh")

    def action_work(self) -> None:
        self.did.append("work")


@pytest.mark.slow
async def test_a_body_whose_parts_still_come_is_painted_when_they_are_there(
    tmp_path: Path,
) -> None:
    tries: list[str] = []

    class Growing(ShopScreen):
        def refresh_view(self) -> None:
            tries.append("paint")
            if len(tries) == 1:
                self.query_one("#not-there-yet")

    async with opened(tmp_path) as (app, pilot):
        app.push_screen(Growing())
        await settled(pilot)
        assert len(tries) == 2
        assert app.fault is None
