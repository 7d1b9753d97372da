"""The forms and papers behind the measuring screens: every key, glyphs, help, hostile names."""

from __future__ import annotations

from importlib import import_module
from pathlib import Path

import pytest

from core.book import customers, jobs, shafts
from tests.support.app_helpers import CP437, LARGE, SMALL, commands, first_job, lines, opened, text
from tests.support.typed_figures import press
from tui.base.commands import spoken

SCREENS = (
    ("coupling_setup", "CouplingSetupScreen"),
    ("face_setup", "FaceSetupScreen"),
    ("key_setup", "KeySetupScreen"),
    ("key_checks", "KeyChecksScreen"),
    ("shaft_end_setup", "ShaftEndSetupScreen"),
    ("shaft_end_pages", "PartsScreen"),
    ("shaft_end_pages", "OrderSheetScreen"),
)
NASTY = "Ann [b]x[/b] [/] \x1b[31m\x00 漢字"


@pytest.fixture(params=SCREENS, ids=lambda pair: pair[1])
def screen_class(request: pytest.FixtureRequest) -> type:
    """Each screen in turn."""
    module, name = request.param
    return getattr(import_module(f"tui.screens.measure.{module}"), name)


@pytest.mark.slow
async def test_keys_glyphs_and_help(tmp_path: Path, screen_class: type) -> None:
    async with opened(tmp_path, ascii=True) as (app, pilot):
        job = jobs.job(app.book, first_job(app))
        shaft = shafts.shaft(app.book, job.shaft_id)
        customers.change_vessel(app.book, shaft.vessel_id, name=NASTY)
        shafts.change_shaft(app.book, shaft.id, material="[/x]", condition=NASTY)
        app.push_screen(screen_class(job.id))
        await pilot.pause()
        for size in (SMALL, LARGE, (30, 8), (1, 1), SMALL):
            await pilot.resize_terminal(*size)
            await pilot.pause()
        shown = lines(app)
        assert set("".join(shown)) <= CP437
        assert "".join(shown).isascii()
        assert "[b]x[/b] [/]" in text(app)
        assert shown[0].strip().startswith(app.screen.HEADING)
        table, how_to = commands(app), app.screen.HOW_TO
        ran = []
        for command in table:
            setattr(app.screen, f"action_{command.name}", lambda n=command.name: ran.append(n))
        pressed = [(key, c.name) for c in table for key in c.keys]
        await press(pilot, *(key for key, _ in pressed))
        assert ran == [name for _, name in pressed]
        assert len(how_to) > 60
        del app.screen.action_help
        await pilot.resize_terminal(80, 60)
        await press(pilot, "f1")
        assert all(spoken(c.keys[0]) in text(app) for c in table)


@pytest.mark.slow
async def test_every_key_for_real_from_end_to_end(tmp_path: Path, screen_class: type) -> None:
    """Enter through all fields, each with a digit, a word and every command; nothing breaks."""
    async with opened(tmp_path) as (app, pilot):
        app.push_screen(screen_class(first_job(app)))
        await pilot.pause()
        for key in [k for c in commands(app) for k in c.keys if c.name not in ("back", "find")]:
            await press(pilot, key)
            if not isinstance(app.screen, screen_class):
                await press(pilot, "escape")
        for _ in range(15):
            if isinstance(app.screen, screen_class):
                await press(pilot, "2", "enter")
        assert app.is_running
