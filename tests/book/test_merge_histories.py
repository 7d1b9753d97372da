"""Random histories of two and three books, merged in every order: nothing lost, nothing doubled."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.support.histories import play


@pytest.mark.slow
@pytest.mark.parametrize("seed", range(3))
@pytest.mark.parametrize("benches", [2, 3])
def test_every_order_gives_the_same_book(tmp_path: Path, seed: int, benches: int) -> None:
    assert play(tmp_path, seed, benches) == []
