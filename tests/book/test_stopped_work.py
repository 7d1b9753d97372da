"""Long work on the book says how far it is; stopped half way it leaves nothing behind."""

from __future__ import annotations

from pathlib import Path

import pytest

from core.base.errors import Stopped
from core.book import customers
from core.book.connection import Book
from core.book.privacy.erase import erase_customer
from core.book.upkeep import backup, check, copies, merge_rows, stoppable
from core.book.upkeep import salvage as salvaging
from core.book.upkeep.merge import merge_book
from core.book.upkeep.salvage import salvage
from core.book.upkeep.tables import ENTERED
from core.reports.data_export import tables
from core.reports.export_file import FOLDER
from tests.support.book_helpers import SmallJob, add_job, open_fixed, read_all
from tui.screens.upkeep.export import BOOK, write_file
from tui.screens.upkeep.upkeep import KeepingScreen


class Stopper:
    """Notes every report and stops when more than a share is done."""

    def __init__(self, after: float = 0.5) -> None:
        self.seen: list[tuple[int, int]] = []
        self.after = after

    def __call__(self, done: int, of: int) -> None:
        self.seen.append((done, of))
        if done > self.after * of:
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


def small_steps(monkeypatch: pytest.MonkeyPatch) -> None:
    """Many reports also from a small book."""
    monkeypatch.setattr(stoppable, "STEPS_A_REPORT", 10)


def contents(book: Book) -> dict[str, list[tuple[object, ...]]]:
    return {table: book.con.execute(f"SELECT * FROM {table}").fetchall() for table in ENTERED}


def test_a_check_says_how_far_it_is_and_stops(
    path: Path, book: Book, small: SmallJob, monkeypatch: pytest.MonkeyPatch
) -> None:
    small_steps(monkeypatch)
    seen: list[tuple[int, int]] = []
    assert check.check_book(path, lambda *report: seen.append(report)).sound
    assert len(seen) > 10
    assert all(0 <= done <= of for done, of in seen)
    assert seen == sorted(seen)
    with pytest.raises(Stopped):
        check.check_book(path, Stopper())


def test_an_index_half_built_is_taken_back(
    path: Path, book: Book, small: SmallJob, monkeypatch: pytest.MonkeyPatch
) -> None:
    small_steps(monkeypatch)
    with pytest.raises(Stopped):
        check.mend_index(path, Stopper())
    assert check.check_book(path).sound
    assert check.mend_index(path, lambda *_: None) == 1


def test_what_is_saved_from_a_damaged_book_is_whole_or_nothing(
    path: Path, book: Book, small: SmallJob, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(salvaging, "ROWS_A_REPORT", 2)
    small_steps(monkeypatch)
    target = path.with_name("saved.db")
    for after in (0.2, 0.7):  # while rows are stored, while the index is built
        with pytest.raises(Stopped):
            salvage(path, target, Stopper(after))
        assert not list(path.parent.glob("saved.db*"))
    assert not salvage(path, target, lambda *_: None).broken
    with open_fixed(target) as saved:
        assert contents(saved) == contents(book)


def test_erasing_that_is_stopped_leaves_all_as_it_was(
    book: Book, small: SmallJob, monkeypatch: pytest.MonkeyPatch
) -> None:
    small_steps(monkeypatch)
    before, who = contents(book), customers.customers(book)[0]
    stop = Stopper(after=0.1)
    with pytest.raises(Stopped):
        erase_customer(book, who.id, stop)
    assert contents(book) == before
    assert erase_customer(book, who.id, Stopper(after=0.5)).rewritten  # that goes on to its end
    assert customers.customers(book)[0].forgotten_at is not None


@pytest.mark.parametrize("there", [False, True])
def test_an_export_of_all_that_is_stopped_leaves_no_file(
    book: Book, small: SmallJob, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, there: bool
) -> None:
    monkeypatch.setattr(tables, "ROWS_A_REPORT", 2)
    folder = tmp_path / "out"
    if there:
        folder.mkdir()
    with pytest.raises(Stopped):
        tables.write_tables(book, folder, "csv", contact=False, progress=Stopper())
    assert folder.exists() == there
    assert not there or not list(folder.iterdir())
    assert tables.write_tables(book, folder, "csv", contact=False) > 20


def test_readings_of_the_whole_book_half_written_are_thrown_away(
    path: Path, book: Book, small: SmallJob
) -> None:
    asked = {"what": BOOK, "form": "csv", "contact": "no", "tag": ""}
    with pytest.raises(Stopped):
        write_file(book, asked, Stopper(after=-1.0))
    assert list((path.parent / FOLDER).iterdir()) == []
    assert write_file(book, asked).exists()


def test_f5_stops_the_work_at_its_next_step() -> None:
    screen = KeepingScreen()
    screen.stop_asked = True
    with pytest.raises(Stopped, match="Nothing of it was kept"):
        screen.progress(1, 2)
