"""What is done to the file behind the back of an open book: told in words, nothing lost."""

from __future__ import annotations

import shutil
import sqlite3
import subprocess
import sys
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from core.book import jobs
from core.book.errors import DamagedBook, LogDeleted, MovedBook
from core.book.opening import open_book
from core.book.readings import readings_of, take_reading
from core.book.upkeep.check import check_book
from core.book.upkeep.clock import BenchClock
from core.book.upkeep.recovery import AWAY, recover
from tests.support.book_helpers import SmallJob, add_job


def _read(book, small: SmallJob, clock_deg: float) -> None:  # type: ignore[no-untyped-def]
    take_reading(book, small.sweep.id, station_in=6.0, clock_deg=clock_deg, value_in=0.001, raw="1")


def _count(path: Path, small: SmallJob) -> int:
    with open_book(path, create=False) as book:
        return len(readings_of(book, small.sweep.id))


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return tmp_path / "shop.db"


def test_a_deleted_book_is_written_again(path: Path) -> None:
    with open_book(path) as book:
        small = add_job(book)
        _read(book, small, 0.0)
        path.unlink()
        with pytest.raises(MovedBook, match="enter it again"):
            _read(book, small, 90.0)
        assert not recover(book).other_book
        _read(book, small, 90.0)
    assert _count(path, small) == 2
    assert check_book(path).sound


def test_another_book_in_its_place_is_opened_and_ours_kept(path: Path, tmp_path: Path) -> None:
    with open_book(tmp_path / "other.db") as other:
        theirs = add_job(other, name="Osei, Kofi")
    with open_book(path) as book:
        small = add_job(book)
        _read(book, small, 0.0)
        path.unlink()
        shutil.copyfile(tmp_path / "other.db", path)
        with pytest.raises(MovedBook):
            _read(book, small, 90.0)
        assert recover(book).other_book
        assert jobs.notes_of(book, theirs.job.id) == ()
    kept = list(tmp_path.glob(f"*{AWAY}*.db"))
    assert len(kept) == 1
    assert _count(kept[0], small) == 1
    assert _count(path, theirs) == 0


def test_a_file_cut_short_takes_no_more_entries(path: Path) -> None:
    with open_book(path) as book:
        small = add_job(book)
        _read(book, small, 0.0)
        book.checkpoint()
        _read(book, small, 90.0)
        with path.open("r+b") as file:
            file.truncate(path.stat().st_size // 2)
        left = path.read_bytes()
        with pytest.raises(DamagedBook, match="restore"):
            _read(book, small, 180.0)
        assert path.read_bytes() == left


@pytest.mark.slow
def test_a_book_written_anew_is_no_trouble(path: Path) -> None:
    """It shrinks, from here or from another bench."""
    with open_book(path) as book:
        small = add_job(book)
        with book.write():
            for number in range(300):
                jobs.add_note(book, job_id=small.job.id, text=f"{number} " * 80)
        book.checkpoint()
        _read(book, small, 0.0)
        before = path.stat().st_size
        with book.write() as con:
            con.execute("DELETE FROM note")
        with open_book(path) as bench:
            bench.vacuum()
            bench.checkpoint()
        assert path.stat().st_size < before
        _read(book, small, 90.0)
        book.vacuum()
        book.checkpoint()
        _read(book, small, 180.0)
    assert _count(path, small) == 3


def test_a_deleted_log_is_folded_in_first(path: Path) -> None:
    with open_book(path) as book:
        small = add_job(book)
        _read(book, small, 0.0)
        Path(f"{path}-wal").unlink()
        with pytest.raises(LogDeleted, match="start it again"):
            _read(book, small, 90.0)
        rescued = sqlite3.connect(f"file:{path}?mode=ro&immutable=1", uri=True)
        assert rescued.execute("SELECT count(*) FROM reading").fetchone() == (1,)
        rescued.close()


@pytest.mark.parametrize("back", [timedelta(minutes=5), timedelta(hours=1), timedelta(days=9000)])
def test_a_clock_set_back_keeps_the_order(path: Path, back: timedelta) -> None:
    shown = [datetime(2026, 11, 25, 12, tzinfo=UTC)]
    with open_book(path, now=BenchClock(lambda: shown[0])) as book:
        small = add_job(book)
        _read(book, small, 0.0)
    shown[0] -= back
    with open_book(path, now=BenchClock(lambda: shown[0])) as book:
        _read(book, small, 90.0)
        stand = readings_of(book, small.sweep.id)
        assert [r.clock_deg for r in sorted(stand, key=lambda r: r.id)] == [0.0, 90.0]
        assert stand[0].taken_at <= stand[1].taken_at
        assert bool(book.clock_words) == (back > timedelta(minutes=10))


def test_another_program_that_closes_the_book_leaves_its_log(path: Path) -> None:
    """Looking at the header must not drop our lock: the log would be deleted under us."""
    with open_book(path) as book:
        small = add_job(book)
        with book.reopen():
            pass
        check_book(path)
        code = (
            "import sqlite3, sys; con = sqlite3.connect(sys.argv[1]); "
            "con.execute('SELECT * FROM job'); con.close()"
        )
        subprocess.run([sys.executable, "-c", code, str(path)], check=True)
        assert Path(f"{path}-wal").exists()
        _read(book, small, 0.0)
    assert _count(path, small) == 1
