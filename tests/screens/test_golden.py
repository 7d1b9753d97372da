"""Every screen against its reviewed capture at 80x24 (see tests/support/golden.py)."""

from __future__ import annotations

import pytest

from tests.support import golden
from tests.support.same_figures import first_difference

RENEW = "python -m tests.support.golden --renew, then review the differences"


@pytest.mark.slow
async def test_every_screen_looks_as_reviewed() -> None:
    """One app start for all of them; the last digit of a figure may differ by processor."""
    kept = golden.stored()
    seen = set()
    different = []
    async for name, text in golden.captures():
        seen.add(name)
        if name not in kept or first_difference(text, kept[name]):
            different.append(f"{name}: {first_difference(text, kept.get(name, ''))}")
    assert not different, f"{different}\n{RENEW}"
    assert seen == set(kept), RENEW


def test_readme_shows_the_reviewed_screens() -> None:
    readme = golden.README.read_text(encoding="utf-8")
    assert golden.readme_block(golden.stored()) in readme, RENEW
