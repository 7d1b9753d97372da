"""A few short walks; many long ones: `python -m tests.walks.run`."""

from __future__ import annotations

import pytest

from tests.walks.walk import walk


@pytest.mark.slow
@pytest.mark.parametrize("seed", [1, 2])
async def test_a_short_walk_is_clean(seed: int) -> None:
    result = await walk(seed, 20)
    assert result.clean, result.report()
