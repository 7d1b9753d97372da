from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from core.book.connection import Book
from tests.support.book_helpers import SmallJob, add_job, open_fixed


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return tmp_path / "shop.db"


@pytest.fixture
def book(path: Path) -> Iterator[Book]:
    with open_fixed(path) as opened:
        yield opened


@pytest.fixture
def small(book: Book) -> SmallJob:
    return add_job(book)
