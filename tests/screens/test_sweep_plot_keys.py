"""Screens round sweep and plot: bindings fire, glyphs are of the console font, no key harms."""

from __future__ import annotations

import random
from collections.abc import Callable
from pathlib import Path

import pytest
from textual import events
from textual.pilot import Pilot
from textual.screen import Screen

from core.base.records import Job
from core.book.connection import Book
from core.book.readings import readings_of, take_reading
from tests.support.bench_book import bent, new_job, new_sweep, workers_done
from tui.app import ShaftlogApp
from tui.base.commands import commands_of
from tui.screens.shape.plot import PlotScreen
from tui.screens.sweep.sweep import SweepScreen
from tui.screens.sweep.sweep_bench import SweepBench
from tui.screens.sweep.sweep_list import SweepListScreen
from tui.screens.sweep.sweep_setup import SweepSetupScreen
from tui.screens.sweep.sweep_stations import StationsScreen

CP437 = frozenset(
    "".join(chr(n) for n in range(0x20, 0x7F))
    + bytes(range(0x80, 0x100)).decode("cp437")
)  # fmt: skip
Maker = Callable[[str, str], Screen[None]]
MAKERS: dict[str, Maker] = {
    "sweep": SweepScreen,
    "setup": lambda job_id, _sweep_id: SweepSetupScreen(job_id),
    "change": SweepSetupScreen,
    "stations": StationsScreen,
    "list": lambda job_id, _sweep_id: SweepListScreen(job_id, then=lambda _id: None),
    "plot": lambda job_id, _sweep_id: PlotScreen(job_id),
}


@pytest.fixture
def shop(tmp_path: Path) -> tuple[Book, Job, str]:
    """A book, its job and a sweep with a slip, a blocked mark and a station half read."""
    book, job = new_job(tmp_path / "shop.db")
    sweep = new_sweep(book, job, read=12)
    take_reading(book, sweep.id, station_in=60.0, clock_deg=135.0, value_in=0.104, raw="104")
    take_reading(
        book, sweep.id, station_in=78.0, clock_deg=0.0, value_in=None, raw="blocked", kind="blocked"
    )
    new_sweep(book, job, read=19, purpose="final", shape=lambda x, c: bent(x, c) / 9)
    return book, job, sweep.id


async def show(pilot: Pilot[None], maker: Maker, job: Job, sweep_id: str) -> Screen[None]:
    """Push a screen and let everything settle."""
    await pilot.pause()
    screen = maker(job.id, sweep_id)
    pilot.app.push_screen(screen)
    await pilot.pause(SweepBench.REST_S + 0.02)
    await workers_done(pilot)
    return screen


def painted(screen: Screen[None]) -> str:
    """Every character on the screen."""
    return "\n".join(strip.text for strip in screen._compositor.render_strips())


@pytest.mark.slow
@pytest.mark.parametrize("name", ["setup", "change", "stations", "list"])
async def test_every_binding_reaches_its_action(
    shop: tuple[Book, Job, str], name: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    book, job, sweep_id = shop
    app = ShaftlogApp(book.path, book=book, warm=False)
    async with app.run_test() as pilot:
        screen = await show(pilot, MAKERS[name], job, sweep_id)
        heard: list[str] = []
        for command in commands_of(type(screen)):
            action = f"action_{command.name}"
            assert callable(getattr(type(screen), action))
            monkeypatch.setattr(screen, action, lambda name=command.name: heard.append(name))
        wanted = []
        taken: set[str] = set()
        for command in commands_of(type(screen)):
            for key in command.keys:
                if key in taken:
                    continue
                taken.add(key)
                wanted.append(command.name)
                await pilot.press(key)
        assert heard == wanted
        assert len(wanted) >= 6


@pytest.mark.slow
@pytest.mark.parametrize("plain", [False, True])
async def test_only_glyphs_of_the_console_font_are_painted(
    shop: tuple[Book, Job, str], plain: bool
) -> None:
    book, job, sweep_id = shop
    app = ShaftlogApp(book.path, book=book, warm=False, ascii=plain)
    async with app.run_test() as pilot:
        for maker in MAKERS.values():
            screen = await show(pilot, maker, job, sweep_id)
            views = "12345" if isinstance(screen, PlotScreen) else " "
            for view in views:
                if view != " ":
                    await pilot.press(view)
                    await pilot.pause()
                text = painted(screen).replace("\n", "")
                assert set(text) <= CP437
                assert not plain or text.isascii()
                assert len(text.strip()) > 200
            app.pop_screen()


@pytest.mark.slow
@pytest.mark.parametrize("seed", [1])
async def test_random_keys_and_sizes_do_no_harm(shop: tuple[Book, Job, str], seed: int) -> None:
    book, job, sweep_id = shop
    rng = random.Random(seed)
    before = {r.id for r in readings_of(book, sweep_id, all_rows=True)}
    keys = [*"0123456789.,+-*/ae", "enter", "ctrl+j", "backspace", "up", "down", "left", "right",
            "pageup", "pagedown", "home", "end", "f4", "f5", "f7", "f6", "f8", "f12", "escape",
            "tab", "delete", "space"]  # fmt: skip
    names = {".": "full_stop", ",": "comma", "+": "plus", "-": "minus", "*": "asterisk",
             "/": "slash"}  # fmt: skip
    app = ShaftlogApp(book.path, book=book, warm=False)
    async with app.run_test() as pilot:
        for maker in MAKERS.values():
            await show(pilot, maker, job, sweep_id)
            for _ in range(2):
                await pilot.resize_terminal(rng.randrange(40, 140), rng.randrange(10, 50))
                for _ in range(20):
                    key = rng.choice(keys)
                    if key == "escape":
                        await pilot.pause()
                    if key == "escape" and len(app.screen_stack) <= 2:
                        continue  # the board has tests of its own
                    app.post_message(
                        events.Key(names.get(key, key), key if len(key) == 1 else None)
                    )
                await pilot.pause()
            await workers_done(pilot)
            while len(app.screen_stack) > 1:
                app.pop_screen()
            await pilot.pause()
    after = {r.id for r in readings_of(book, sweep_id, all_rows=True)}
    assert before <= after
