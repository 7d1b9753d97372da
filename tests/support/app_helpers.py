"""Help for the tests of the screens: an app on a small book, and what stands on its screen."""

from __future__ import annotations

import shutil
import tempfile
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager, suppress
from functools import cache
from inspect import signature
from pathlib import Path

from textual.pilot import Pilot
from textual.worker import WorkerCancelled

from core.book import jobs
from tests.support.small_book import make_book
from tui.app import ShaftlogApp
from tui.base.commands import Command, commands_of
from tui.routes import ROUTES, Route
from tui.screens.base.screen import ShopScreen

SMALL, LARGE = (80, 24), (120, 40)

CP437 = set(bytes(range(32, 255)).decode("cp437")) | set("►◄▲▼↑↓→←○■♦•")
"""Glyphs that the console fonts of a PC hold."""


def present_places() -> list[str]:
    """Names of the screens that open without options."""
    return [name for name, route in ROUTES.items() if _opens_plainly(route)]


def _opens_plainly(route: Route) -> bool:
    cls = route.load()
    takes = [p for p in signature(cls).parameters.values() if p.default is p.empty]
    return issubclass(cls, ShopScreen) and len(takes) == route.needs_job


@cache
def _pattern(count: int) -> Path:
    """A small book made once; each test works on a copy of it."""
    return make_book(Path(tempfile.mkdtemp(prefix="shaftlog-test-")) / "pattern.db", count=count)


@asynccontextmanager
async def opened(
    folder: Path, size: tuple[int, int] = SMALL, *, count: int = 3, ascii: bool = False
) -> AsyncIterator[tuple[ShaftlogApp, Pilot[None]]]:
    """The app on a new small book, with toasts shown so that bad markup in them fails."""
    path = folder / "shop.db"
    if not path.exists():
        shutil.copyfile(_pattern(count), path)
    app = ShaftlogApp(path, warm=False, ascii=ascii)
    try:
        async with app.run_test(size=size, notifications=True) as pilot:
            await pilot.pause()
            yield app, pilot
    finally:
        app.close_book()


def first_job(app: ShaftlogApp) -> str:
    """Id of the first open job."""
    return jobs.open_jobs(app.book)[0].id


async def go(app: ShaftlogApp, pilot: Pilot[None], name: str) -> None:
    """Open a place, for the first job where it needs one."""
    app.go(name, first_job(app) if ROUTES[name].needs_job else None)
    await worked_out(app, pilot)


async def worked_out(app: ShaftlogApp, pilot: Pilot[None]) -> None:
    """Wait for what a thread works out for the screen, and for its paint."""
    await pilot.pause()
    for _ in range(3):  # a cancelled one: the screen wants something newer worked out
        with suppress(WorkerCancelled):
            await app.workers.wait_for_complete()
    await pilot.pause()


async def resize(app: ShaftlogApp, pilot: Pilot[None], size: tuple[int, int]) -> None:
    """Another size of the window; back when the screen has it."""
    await pilot.resize_terminal(*size)
    for _ in range(200):
        await pilot.pause()
        if [len(row) for row in lines(app)] == [size[0]] * size[1]:
            return
    raise AssertionError(f"the screen never took {size}: {app.screen.size}")


async def type_text(pilot: Pilot[None], text: str) -> None:
    """Type letters and digits one by one."""
    names = {" ": "space", ".": "full_stop", "-": "minus", "/": "slash", ",": "comma"}
    await pilot.press(*(names.get(char, char) for char in text))


def lines(app: ShaftlogApp) -> list[str]:
    """The rows of the screen as text."""
    strips = app.screen._compositor.render_strips()
    return ["".join(segment.text for segment in strip) for strip in strips]


def text(app: ShaftlogApp) -> str:
    """The whole screen as text."""
    return "\n".join(lines(app))


def message(app: ShaftlogApp) -> str:
    """The words in the message line."""
    from tui.widgets.message import MessageLine

    return app.screen.query_one(MessageLine).said


def commands(app: ShaftlogApp) -> tuple[Command, ...]:
    """The commands of the screen on top."""
    return commands_of(type(app.screen))
