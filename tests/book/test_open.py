"""Opening: what a new book is, and what happens with files that are none, newer, locked or full."""

from __future__ import annotations

import os
import sqlite3
import stat
import subprocess
import sys
import threading
from pathlib import Path
from typing import Any

import pytest

from core.book import customers, opening
from core.book.connection import Book
from core.book.errors import (
    BookError,
    DamagedBook,
    DiskFull,
    FolderMissing,
    LockedBook,
    NewerBook,
    NotABook,
    ReadOnlyBook,
    Refused,
)
from core.book.opening import open_book
from core.book.schema import ledger as schema
from core.book.upkeep import header
from tests.support.book_helpers import SmallJob, add_job, open_fixed


def pragma(book: Book, name: str) -> object:
    return book.con.execute(f"PRAGMA {name}").fetchone()[0]


def test_new_book_is_safe_private_and_marked(book: Book, path: Path) -> None:
    assert pragma(book, "journal_mode") == "wal"
    assert pragma(book, "synchronous") == 2
    assert pragma(book, "foreign_keys") == 1
    assert pragma(book, "application_id") == schema.APPLICATION_ID
    assert pragma(book, "user_version") == schema.SCHEMA_VERSION
    for name in (path, Path(f"{path}-wal"), Path(f"{path}-shm")):
        assert stat.S_IMODE(name.stat().st_mode) == 0o600


def test_every_table_is_strict(book: Book) -> None:
    tables = book.rows("PRAGMA table_list")
    loose = {
        name
        for _, name, kind, _, _, strict in tables
        if kind == "table" and not strict and not name.startswith(("sqlite_", "_sqlite_"))
    }
    assert loose == set()


def test_start_loads_neither_numpy_nor_sqlite_utils(path: Path) -> None:
    code = (
        "import sys\nfrom core.book import settings\nfrom core.book.search import find\n"
        "from core.jobs import facts\n"
        "from core.book.opening import open_book\n"
        f"for _ in range(2):\n"
        f"    book = open_book({str(path)!r})\n"
        "    facts.board(book), settings.load(book), find.find(book, 'a')\n"
        "    book.close()\n"
        "assert not {'numpy', 'sqlite_utils'} & set(sys.modules)"
    )
    subprocess.run([sys.executable, "-c", code], check=True)


@pytest.mark.parametrize("text", [b"hello", b"x" * 5000, b"SQLite format 3\x00", b"\x00" * 4096])
def test_other_files_are_refused_and_left_alone(path: Path, text: bytes) -> None:
    path.write_bytes(text)
    with pytest.raises(NotABook, match="not a job book"):
        open_book(path)
    assert path.read_bytes() == text
    assert os.listdir(path.parent) == [path.name]


def test_another_programs_database_is_refused(path: Path) -> None:
    con = sqlite3.connect(path)
    con.execute("CREATE TABLE thing (a)")
    con.close()
    before = path.read_bytes()
    with pytest.raises(NotABook):
        open_book(path)
    assert path.read_bytes() == before


def test_newer_book_is_refused_and_not_touched(path: Path) -> None:
    open_fixed(path).close()
    con = sqlite3.connect(path)
    con.execute(f"PRAGMA user_version = {schema.SCHEMA_VERSION + 1}")
    con.close()
    before, listed = path.read_bytes(), sorted(os.listdir(path.parent))
    stamp = path.stat().st_mtime_ns
    with pytest.raises(NewerBook, match="newer Shaftlog"):
        open_book(path)
    assert path.read_bytes() == before
    assert path.stat().st_mtime_ns == stamp
    assert sorted(os.listdir(path.parent)) == listed


def test_a_newer_book_is_refused_before_it_is_opened(path: Path) -> None:
    open_fixed(path).close()
    header.check(path)
    data = bytearray(path.read_bytes())
    data[60:64] = (schema.SCHEMA_VERSION + 1).to_bytes(4, "big")
    path.write_bytes(data)
    with pytest.raises(NewerBook):
        header.check(path)


def test_newer_book_whose_mark_is_still_in_the_log(path: Path) -> None:
    """The header of the file lags behind while another program has the newer book open."""
    with open_fixed(path) as newer:
        newer.con.execute(f"PRAGMA user_version = {schema.SCHEMA_VERSION + 1}")
        with pytest.raises(NewerBook):
            open_book(path)


def test_folder_and_missing_folder(tmp_path: Path) -> None:
    with pytest.raises(NotABook, match="folder"):
        open_book(tmp_path)
    with pytest.raises(FolderMissing, match="does not exist"):
        open_book(tmp_path / "no" / "shop.db")
    with pytest.raises(FolderMissing, match="no job book"):
        open_book(tmp_path / "shop.db", create=False)
    assert os.listdir(tmp_path) == []


def test_cut_short(path: Path) -> None:
    open_fixed(path).close()
    whole = path.read_bytes()
    path.write_bytes(whole[: len(whole) // 2])
    with pytest.raises(DamagedBook, match="cut short"):
        open_book(path)
    assert path.read_bytes() == whole[: len(whole) // 2]


def test_an_empty_file_becomes_a_book(path: Path) -> None:
    path.touch()
    with open_book(path) as book:
        assert pragma(book, "user_version") == schema.SCHEMA_VERSION


def test_read_only_file_says_so(path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    open_fixed(path).close()
    real = os.access
    monkeypatch.setattr(os, "access", lambda p, m: m != os.W_OK and real(p, m))
    with pytest.raises(ReadOnlyBook, match="read-only"):
        open_book(path)


def test_open_for_reading_reads_and_never_writes(path: Path) -> None:
    with open_fixed(path) as book:
        add_job(book)
    before = path.read_bytes()
    with open_book(path, read_only=True) as looking:
        assert len(customers.customers(looking)) == 1
        with pytest.raises(ReadOnlyBook):
            customers.add_customer(looking, name="Nobody")
    assert path.read_bytes() == before


def test_read_only_folder_can_still_be_looked_at(
    path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    with open_fixed(path) as book:
        add_job(book)
    listed = sorted(os.listdir(path.parent))
    monkeypatch.setattr(os, "access", lambda _p, m: m != os.W_OK)
    with open_book(path, read_only=True) as looking:
        assert len(customers.customers(looking)) == 1
        assert sorted(os.listdir(path.parent)) == listed


def test_locked_says_so_and_the_retry_works(path: Path) -> None:
    open_fixed(path).close()
    holder = sqlite3.connect(path, isolation_level=None)
    with open_book(path, wait_s=0.05) as book:
        holder.execute("BEGIN IMMEDIATE")
        with pytest.raises(LockedBook, match="in use"):
            customers.add_customer(book, name="Torvik")
        holder.execute("ROLLBACK")
        customers.add_customer(book, name="Torvik")
        assert [c.name for c in customers.customers(book)] == ["Torvik"]
    holder.close()


def test_wait_for_a_short_lock(path: Path) -> None:
    open_fixed(path).close()
    holder = sqlite3.connect(path, isolation_level=None, check_same_thread=False)
    holder.execute("BEGIN IMMEDIATE")
    timer = threading.Timer(0.2, lambda: holder.execute("ROLLBACK"))
    timer.start()
    with open_book(path) as book:
        customers.add_customer(book, name="Torvik")
    timer.join()
    holder.close()


def test_disk_full_keeps_what_is_stored_and_goes_on_later(book: Book, small: SmallJob) -> None:
    pages = pragma(book, "page_count")
    book.con.execute(f"PRAGMA max_page_count = {pages}")
    stored = len(customers.customers(book))

    def fill() -> None:
        for number in range(1000):
            customers.add_customer(book, name=f"Customer {number}", notes="n" * 2000)

    with pytest.raises(DiskFull, match="full"):
        fill()
    kept = len(customers.customers(book))
    assert not book.con.in_transaction
    assert book.one("PRAGMA integrity_check") == ("ok",)
    book.con.execute("PRAGMA max_page_count = 1000000")
    customers.add_customer(book, name="After", notes="n" * 2000)
    assert len(customers.customers(book)) == kept + 1 >= stored + 1


@pytest.mark.slow
def test_two_programs_make_the_same_new_book(path: Path) -> None:
    code = (
        "from core.book.opening import open_book\nfrom core.book import customers\n"
        f"with open_book({str(path)!r}, wait_s=20) as book:\n"
        "    customers.add_customer(book, name='Both')"
    )
    running = [subprocess.Popen([sys.executable, "-c", code]) for _ in range(4)]
    assert [child.wait() for child in running] == [0] * 4
    with open_book(path) as book:
        assert len(customers.customers(book)) == 4


def test_a_book_that_another_program_makes_between_two_looks_is_a_book(
    path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    class Meanwhile(sqlite3.Connection):
        made = False

        def execute(self, sql: str, *values: Any) -> sqlite3.Cursor:
            if "FROM sqlite_master" in sql and not Meanwhile.made:
                Meanwhile.made = True
                open_book(path).close()
            return super().execute(sql, *values)

    def connected(place: Path, **_: object) -> sqlite3.Connection:
        return sqlite3.connect(place, isolation_level=None, factory=Meanwhile)

    monkeypatch.setattr(opening, "_connect", connected)
    with open_book(path) as book:
        customers.add_customer(book, name="Both")


def test_a_failed_write_leaves_nothing(book: Book) -> None:
    before = len(customers.customers(book))

    def fail_half_way() -> None:
        with book.write():
            customers.add_customer(book, name="Half")
            raise RuntimeError

    with pytest.raises(RuntimeError):
        fail_half_way()
    assert len(customers.customers(book)) == before


@pytest.mark.parametrize(
    "change",
    [{"diameter_in": float("nan")}, {"diameter_in": 1e9}, {"length_in": -1.0}, {"zero_end": "up"}],
)
def test_impossible_values_are_refused_in_plain_words(
    book: Book, small: SmallJob, change: dict[str, object]
) -> None:
    from core.book import shafts

    with pytest.raises(Refused):
        shafts.change_shaft(book, small.shaft.id, **change)
    assert shafts.shaft(book, small.shaft.id) == small.shaft


def test_closed_book_is_a_book_error(path: Path) -> None:
    book = open_fixed(path)
    book.close()
    with pytest.raises(BookError, match="closed"):
        customers.customers(book)
