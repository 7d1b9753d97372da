"""What the tests of the screens share."""

from __future__ import annotations

from pathlib import Path

import pytest

from core.base.records import Job
from core.book.connection import Book
from tests.support.bench_book import new_job


@pytest.fixture
def book_and_job(tmp_path: Path) -> tuple[Book, Job]:
    """A book with one job."""
    return new_job(tmp_path / "shop.db")
