"""A metric shop: every dial figure on every screen is in mm."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from core.book import settings
from tests.support.app_helpers import go, opened, present_places, text

INCH_WORDS = re.compile(r"\bthou\b|\bthousandths?\b", re.IGNORECASE)
LEFT_OUT = {"figures", "import"}
"""Hours of the shop; a file that says its own unit."""


@pytest.mark.slow
async def test_no_screen_of_a_metric_shop_speaks_of_thou(tmp_path: Path) -> None:
    async with opened(tmp_path) as (app, pilot):
        settings.save(app.book, unit="mm")
        found = {}
        for place in present_places():
            if place not in LEFT_OUT:
                app.back_to_board()
                await go(app, pilot, place)
                lines = [line for line in text(app).splitlines() if INCH_WORDS.search(line)]
                found |= {place: lines} if lines else {}
        assert found == {}
