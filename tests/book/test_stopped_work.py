"""Long work on the book says how far it is; stopped half way it leaves nothing behind."""

from __future__ import annotations

from pathlib import Path

import pytest

from core.base.errors import Stopped
from core.book import customers
from core.book.connection import Book
from core.book.upkeep import backup, copies, merge_rows
from core.book.upkeep.merge import merge_book
from tests.support.book_helpers import SmallJob, add_job, open_fixed, read_all
from tui.screens.upkeep.upkeep import KeepingScreen


class Stopper:
    """Notes every report and stops when half is done."""

    def __init__(self) -> None:
        self.seen: list[tuple[int, int]] = []

    def __call__(self, done: int, of: int) -> None:
        self.seen.append((done, of))
        if 2 * done > of:
            raise Stopped("Stopped.")


def test_a_backup_that_is_stopped_leaves_no_file(
    path: Path, book: Book, small: SmallJob, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(backup, "_PAGES_A_STEP", 5)
    stop = Stopper()
    with pytest.raises(Stopped):
        backup.by_hand(path, stop)
    assert len(stop.seen) > 2
    assert stop.seen == sorted(stop.seen)
    assert list(copies.backup_folder(path).iterdir()) == []
    assert backup.by_hand(path, lambda _done, _of: None).path.exists()


def test_a_merge_that_is_stopped_changes_nothing(
    book: Book, small: SmallJob, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(merge_rows, "ROWS_A_STEP", 3)
    with open_fixed(tmp_path / "other.db") as other:
        there = add_job(other)
        read_all(other, there.sweep)
        customers.add_customer(other, name="Somebody New")
    before = customers.customers(book)
    stop = Stopper()
    with pytest.raises(Stopped):
        merge_book(book, tmp_path / "other.db", dry_run=False, progress=stop)
    assert all(0 <= done <= of for done, of in stop.seen)
    assert customers.customers(book) == before
    assert merge_book(book, tmp_path / "other.db", dry_run=False).added


def test_f5_stops_the_work_at_its_next_step() -> None:
    screen = KeepingScreen()
    screen.stop_asked = True
    with pytest.raises(Stopped, match="Nothing of it was kept"):
        screen.progress(1, 2)
