"""The forms and papers behind the measuring screens; keys and glyphs: `test_every_screen`."""

from __future__ import annotations

from importlib import import_module
from pathlib import Path

import pytest

from tests.support.app_helpers import first_job, opened
from tests.support.typed_figures import press

SCREENS = (
    ("coupling_setup", "CouplingSetupScreen"),
    ("face_setup", "FaceSetupScreen"),
    ("key_setup", "KeySetupScreen"),
    ("key_checks", "KeyChecksScreen"),
    ("shaft_end_setup", "ShaftEndSetupScreen"),
    ("shaft_end_pages", "PartsScreen"),
    ("shaft_end_pages", "OrderSheetScreen"),
)


@pytest.fixture(params=SCREENS, ids=lambda pair: pair[1])
def screen_class(request: pytest.FixtureRequest) -> type:
    """Each screen in turn."""
    module, name = request.param
    return getattr(import_module(f"tui.screens.measure.{module}"), name)


@pytest.mark.slow
async def test_a_digit_in_every_field_breaks_nothing(tmp_path: Path, screen_class: type) -> None:
    async with opened(tmp_path) as (app, pilot):
        app.push_screen(screen_class(first_job(app)))
        await pilot.pause()
        for _ in range(15):
            if isinstance(app.screen, screen_class):
                await press(pilot, "2", "enter")
        assert app.is_running
