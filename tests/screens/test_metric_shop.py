"""A metric shop: every dial figure, size and station on every screen is in mm."""

from __future__ import annotations

import re

import pytest

from tests.support.golden import captures

INCH_WORDS = re.compile(
    r"\bthou\b|thousandths?\b|\b[Ii]nch|\d in\b(?! per foot| line| the)|, in(?=  |$)|\(in\)"
)
PUBLISHED = re.compile(
    r"J755|B17\.1|^.*(= [\d.]+ mm = |Dial reads to|Key: |Threads per inch|up to [\d.]+ mm ).*$"
)
"""Tables printed in inches stay so; behind a field both units are shown."""
LEFT_OUT = {"import"}
"""A file that says its own unit."""


def inch_lines(shown: str) -> list[str]:
    """Lines that speak of inches or thousandths where a metric shop should read mm."""
    lines = [line for line in shown.splitlines() if not PUBLISHED.search(line)]
    return [line for line in lines if INCH_WORDS.search(line)]


@pytest.mark.slow
async def test_no_screen_of_a_metric_shop_speaks_of_inches() -> None:
    """Every screen of the demo, its shop set to mm. Found: stations stayed inches."""
    found = {}
    async for name, text in captures("mm"):
        lines = inch_lines(text)
        if lines:
            found[name] = lines
    assert found == {}
