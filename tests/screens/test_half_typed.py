"""A figure half typed before an interruption does not run into the next one."""

from __future__ import annotations

from pathlib import Path

import pytest

from core.book import measurements
from tests.support.app_helpers import first_job, go, opened, type_text


@pytest.mark.slow
@pytest.mark.parametrize("keys", [("f1", "escape"), ("f9", "escape"), ("down",), ("pagedown",)])
async def test_on_a_measuring_screen(tmp_path: Path, keys: tuple[str, ...]) -> None:
    async with opened(tmp_path) as (app, pilot):
        await go(app, pilot, "coupling")
        await pilot.press("1")
        for key in keys:
            await pilot.press(key)
            await pilot.pause()
        await type_text(pilot, "1.7503")
        await pilot.press("enter")
        await pilot.pause()
        found = measurements.measurements_of(app.book, first_job(app))
        assert [one.raw for one in found] == ["1.7503"]
