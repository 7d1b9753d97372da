"""The last way back: an emptied or lost book never pushes the full copies out."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from core.base.errors import ShaftlogError
from core.book import jobs
from core.book.opening import open_book
from core.book.upkeep import backup, copies
from tests.support.book_helpers import add_job, open_fixed, read_all
from tui.start import ready_book

DAY = datetime(2026, 3, 3, 9, tzinfo=UTC)


def full_book(path: Path, count: int = 4) -> None:
    """A book with some jobs, backed up once."""
    with open_fixed(path) as book:
        for _ in range(count):
            read_all(book, add_job(book).sweep)
    backup.daily(path, now=DAY)


def emptied(path: Path) -> None:
    """The book as it was found: lost, and begun again without a word."""
    for tail in ("", "-wal", "-shm"):
        Path(f"{path}{tail}").unlink(missing_ok=True)
    open_book(path).close()


def tags(path: Path) -> int:
    with open_book(path) as book:
        return len(jobs.open_jobs(book))


@pytest.mark.slow
def test_thinning_keeps_the_fullest_copy(path: Path) -> None:
    full_book(path)
    emptied(path)
    for day in range(1, 20):
        backup.daily(path, keep=14, now=DAY + timedelta(days=day))
    found = copies.weighed(path)
    assert len(found) == 15
    assert found[-1].contents is not None
    assert found[-1].contents.jobs == 4
    assert [one.much_less for one in found].count(True) == 1, "the first empty one is flagged"


@pytest.mark.slow
def test_the_fullest_newest_copy_is_proposed(path: Path) -> None:
    full_book(path)
    with open_book(path) as book:
        add_job(book)
    backup.daily(path, now=DAY + timedelta(days=1))
    emptied(path)
    backup.daily(path, now=DAY + timedelta(days=2))
    chosen = copies.proposed(path)
    assert chosen is not None
    assert chosen.contents is not None
    assert chosen.contents.jobs == 5


def test_a_damaged_copy_is_not_proposed(path: Path) -> None:
    full_book(path)
    newest = backup.daily(path, now=DAY + timedelta(days=1))
    assert newest is not None
    data = bytearray(newest.path.read_bytes())
    data[4096 * 4 : 4096 * 20] = bytes(4096 * 16)
    newest.path.write_bytes(data)
    chosen = copies.proposed(path)
    assert chosen is not None
    assert chosen.file.at < newest.at


def test_a_book_behind_a_link_is_restored_behind_it(tmp_path: Path) -> None:
    real = tmp_path / "real"
    real.mkdir()
    full_book(real / "book one.db")
    good = backup.by_hand(real / "book one.db")
    link = tmp_path / "link.db"
    link.symlink_to(real / "book one.db")
    (real / "book one.db").write_bytes(b"ruined" * 1000)
    kept = backup.restore(link, good.path)
    assert link.is_symlink()
    assert kept is not None
    assert kept.parent == real
    assert tags(real / "book one.db") == tags(link) == 4


class Answer:
    """Types one answer and remembers what was asked."""

    def __init__(self, typed: str) -> None:
        self.typed, self.asked = typed, ""

    def __call__(self, asked: str) -> str:
        self.asked = asked
        return self.typed


@pytest.mark.parametrize("left", ["missing", "empty"])
def test_a_lost_book_beside_a_backup_is_offered_not_begun(path: Path, left: str) -> None:
    full_book(path)
    for tail in ("", "-wal", "-shm"):
        Path(f"{path}{tail}").unlink(missing_ok=True)
    if left == "empty":
        path.touch()
    leave = Answer("")
    with pytest.raises(ShaftlogError, match="nothing was changed"):
        ready_book(path, named=False, ask=leave)
    assert "4 jobs and 48 readings; last entry" in leave.asked
    assert path.exists() == (left == "empty")
    assert ready_book(path, named=False, ask=Answer("1")) == path
    assert tags(path) == 4


def test_a_book_begun_again_without_a_job_offers_the_full_backup(path: Path) -> None:
    """Found: the board said 'No job is open', and the copies of the full book aged out."""
    full_book(path)
    emptied(path)
    leave = Answer("")
    with pytest.raises(ShaftlogError, match="nothing was changed"):
        ready_book(path, named=False, ask=leave)
    assert "holds no job" in leave.asked
    assert "4 jobs and 48 readings" in leave.asked
    assert ready_book(path, named=False, ask=Answer("2")) == path
    assert tags(path) == 0
    assert ready_book(path, named=False, ask=Answer("1")) == path
    assert tags(path) == 4
    assert ready_book(path, named=False, ask=leave) == path, "a book with jobs is not asked about"


def test_a_new_shop_without_a_job_is_not_asked_about(path: Path) -> None:
    open_book(path).close()
    backup.daily(path, now=DAY)
    never = Answer("1")
    assert ready_book(path, named=False, ask=never) == path
    assert never.asked == ""


def test_a_new_book_only_when_asked(path: Path) -> None:
    full_book(path)
    path.unlink()
    assert ready_book(path, named=False, ask=Answer("2")) == path
    assert not path.exists()


def test_a_mistyped_name_offers_the_book_meant(tmp_path: Path) -> None:
    full_book(tmp_path / "shop.db")
    asked = Answer("1")
    assert ready_book(tmp_path / "shop.bd", named=True, ask=asked) == tmp_path / "shop.db"
    assert "open shop.db in the same folder" in asked.asked
    assert not (tmp_path / "shop.bd").exists()


def test_a_first_start_asks_nothing(tmp_path: Path) -> None:
    never = Answer("1")
    assert ready_book(tmp_path / "book.db", named=False, ask=never) == tmp_path / "book.db"
    assert never.asked == ""
