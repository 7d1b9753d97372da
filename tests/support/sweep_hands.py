"""Hands at the sweep screen: open it, type readings, look at what is painted and stored."""

from __future__ import annotations

from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from pathlib import Path

from textual import events
from textual.pilot import Pilot

from core.base.records import Job, Sweep
from core.book.connection import Book
from core.book.readings import readings_of
from tests.support.bench_book import new_sweep, workers_done
from tui.app import ShaftlogApp
from tui.background.poller import Poller
from tui.screens.sweep.sweep import SweepScreen
from tui.screens.sweep.sweep_bench import SweepBench
from tui.widgets.canvas import GridView

SweepBench.REST_S = 0.03
ROOT = Path(__file__).resolve().parent.parent.parent
SIZES = [(80, 24), (120, 40)]


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


@asynccontextmanager
async def at_sweep(
    book: Book, job: Job, *, closing: bool = False
) -> AsyncIterator[tuple[Pilot[None], SweepScreen, Sweep]]:
    """The app at a new sweep of a job: keys, screen, sweep."""
    sweep = new_sweep(book, job, closing=closing)
    async with app_on(book).run_test() as pilot:
        yield pilot, await open_sweep_screen(pilot, job), sweep


async def settle(pilot: Pilot[None]) -> None:
    """Let all keys be worked off, the pause after the last key pass, and the core answer."""
    for _ in range(500):
        await pilot.pause()
        if pilot.app._key_at_work is None:  # type: ignore[attr-defined]
            break
        await pilot.pause(0.01)
    await pilot.pause(SweepBench.REST_S + 0.02)
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
    assert isinstance(heart, Poller)
    heart.beat()


def values(book: Book, sweep_id: str) -> list[tuple[float, float | None, str | None]]:
    """(station, clock, raw) of what stands, in order."""
    return [(r.station_in, r.clock_deg, r.raw) for r in readings_of(book, sweep_id)]


def painted(screen: SweepScreen) -> str:
    """Every drawn widget's text."""
    return "\n".join(view.canvas.text() for view in screen.query(GridView))
