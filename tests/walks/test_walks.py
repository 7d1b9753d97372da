"""A few short walks, and faults they find; many: `python -m tests.walks.run` and `.planted`."""

from __future__ import annotations

from concurrent.futures import ProcessPoolExecutor

import pytest

from tests.walks.planted import planted_walk
from tests.walks.walk import walk


@pytest.mark.slow
async def test_a_short_walk_is_clean() -> None:
    result = await walk(2, 20)
    assert result.clean, result.report()


@pytest.mark.slow
@pytest.mark.parametrize("name", ["a_reading_lands_at_the_next_mark", "a_reading_changes_its_sign"])
def test_a_fault_put_in_is_found(name: str) -> None:
    with ProcessPoolExecutor(1, max_tasks_per_child=1) as pool:
        result = pool.submit(planted_walk, name, 1, 12).result()
    assert result.fault, "the walk did not see the fault"
