"""A setting out of the usual is asked about; what is answered is what is stored."""

from __future__ import annotations

from pathlib import Path

import pytest

from core.book import settings
from tests.support.app_helpers import message, opened, text, type_text


@pytest.mark.parametrize(("answer", "kept"), [("1", 0.05 / 25.4), ("2", 0.05), ("escape", 0.002)])
async def test_an_unusual_limit_is_asked_about(tmp_path: Path, answer: str, kept: float) -> None:
    async with opened(tmp_path) as (app, pilot):
        app.go("setting_group", group="Limits")
        await pilot.pause()
        assert "Example: A swing of 1.6 thou" in text(app)
        await type_text(pilot, "0.05")
        await pilot.press("enter")
        await pilot.pause()
        assert settings.load(app.book).limit_taper_in == 0.002
        assert "It was typed in mm: 2.0 thou" in text(app)
        await pilot.press(answer)
        await pilot.pause()
        assert settings.load(app.book).limit_taper_in == pytest.approx(kept)
        assert ("Not stored" in message(app)) == (answer == "escape")
