"""A metric shop: every dial figure, size, station, force and stress on every screen is metric."""

from __future__ import annotations

import pytest

from tests.support.golden import captures
from tests.support.inch_words import inch_lines


@pytest.mark.slow
async def test_no_screen_of_a_metric_shop_speaks_of_inches() -> None:
    """Every screen of the demo, its shop set to mm. Found: stations, loads, stresses stayed."""
    found = {}
    async for name, text in captures("mm"):
        lines = inch_lines(text)
        if lines:
            found[name] = lines
    assert found == {}
