"""Odd names, closed output, options that do not go together: one line of words, nothing touched."""

from __future__ import annotations

import io
import os
import shutil
import sqlite3
import sys
from pathlib import Path

import pytest

from core.book.opening import open_book
from core.book.schema.ledger import SCHEMA_VERSION
from core.book.upkeep.copies import backup_folder
from core.cli.frame import file_trouble
from core.jobs.statistics.gather import all_figures
from core.jobs.statistics.waiting import waiting_groups
from core.jobs.sweep_import.csv_rows import SweepFileError, columns_in, read_rows
from core.reports import shop_pages
from tests.support.command_fixtures import Shaftlog, assert_refused

BOOKS = Path(__file__).parents[1] / "book" / "data"


def beside(folder: Path) -> dict[str, bytes]:
    """Every file of a folder with its content."""
    return {str(one): one.read_bytes() for one in sorted(folder.rglob("*")) if one.is_file()}


def test_a_folder_is_no_book(shaftlog: Shaftlog, tmp_path: Path) -> None:
    """Found: `restore --book .` was 'a fault in the program'."""
    for book in (".", str(tmp_path)):
        assert_refused(shaftlog("restore", "--book", book), "is a folder")
        assert_refused(shaftlog("history", "x", "--book", book), "is a folder")


def test_a_book_whose_name_is_not_utf8(shaftlog: Shaftlog, book: Path) -> None:
    odd = Path(os.fsdecode(os.fsencode(book.parent) + b"/b\xff.db"))
    shutil.copyfile(book, odd)
    assert shaftlog("history", "vask", "--brief", "--book", odd).code == 0
    copy = Path(os.fsdecode(os.fsencode(book.parent) + b"/c\xfe.db"))
    assert shaftlog("backup", copy, "--book", odd).code == 0
    assert copy.exists()
    with open_book(odd, create=False) as opened:
        assert opened.one("SELECT count(*) FROM job") != (0,)


@pytest.mark.parametrize(
    "command", [("ticket", "v\udcff"), ("export", "v\udcff", "--csv"), ("erase", "v\udcff")]
)
def test_words_that_are_not_utf8(shaftlog: Shaftlog, book: Path, command: tuple[str, ...]) -> None:
    assert_refused(shaftlog(*command, "--book", book), "no text")


def test_closed_output(shaftlog: Shaftlog, book: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Found: 'a fault in the program (AttributeError ...)' after the work."""
    copy = book.with_name("copy.db")
    with monkeypatch.context() as patch:
        patch.setattr(sys, "stdout", None)
        ran = shaftlog("backup", copy, "--book", book)
    assert_refused(ran, "standard output is closed")
    assert not copy.exists()
    with monkeypatch.context() as patch:
        patch.setattr(sys, "stdout", None)
        patch.setattr(sys, "stderr", None)
        assert shaftlog("history", "vask", "--book", book).code == 2
        assert shaftlog("--version").code == 0


def test_a_full_disk_under_the_output_is_named() -> None:
    assert "the output" in file_trouble(OSError(28, "No space left on device"))


def test_names_for_a_terminal_without_accents(
    shaftlog: Shaftlog, book: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Found: 'Zo? ?ngholm' under LANG=C."""
    plain = io.TextIOWrapper(io.BytesIO(), encoding="ascii", write_through=True)
    with monkeypatch.context() as patch:
        patch.setattr(sys, "stdout", plain)
        shaftlog("history", "lesser", "--brief", "--book", book)
    assert b"Zoe Angholm" in plain.buffer.getvalue()  # type: ignore[attr-defined]


@pytest.mark.parametrize(
    ("command", "words"),
    [
        (("export", "26-002", "--json", "--sweep", "1"), "--sweep goes with --csv"),
        (("export", "26-002", "--csv", "--with-phone"), "--with-phone goes with --json"),
        (("restore", "some.db", "--list"), "--list shows every copy"),
    ],
)
def test_options_are_used_or_refused(
    shaftlog: Shaftlog, book: Path, command: tuple[str, ...], words: str
) -> None:
    assert_refused(shaftlog(*command, "--book", book), words)


@pytest.mark.parametrize("command", ["sweep", "make-demo"])
def test_a_command_without_a_book_takes_none(
    shaftlog: Shaftlog, tmp_path: Path, command: str
) -> None:
    """Found: --book and --demo were accepted and ignored."""
    more = ("--rollers", "1", "2") if command == "sweep" else ()
    file = tmp_path / "x"
    assert_refused(shaftlog(command, file, *more, "--book", "b.db"), "--book")
    assert_refused(shaftlog("--book", "b.db", command, file, *more), "takes no --book")
    assert_refused(shaftlog("--demo", command, file, *more), "leave --demo out")
    assert not file.exists()


def test_a_dry_run_leaves_both_books_as_they_are(shaftlog: Shaftlog, tmp_path: Path) -> None:
    """Found: it brought an older book up to date, and left two files beside the other one."""
    for name in ("book_v3.db", f"book_v{SCHEMA_VERSION}.db"):
        shutil.copyfile(BOOKS / name, tmp_path / name)
    before = beside(tmp_path)
    for ours, theirs in (sorted(before), sorted(before, reverse=True)):
        ran = shaftlog("merge", theirs, "--dry-run", "--book", ours)
        assert "nothing was changed" in ran.out
    newest = tmp_path / f"book_v{SCHEMA_VERSION}.db"
    assert shaftlog("history", "haldorsen", "--brief", "--book", newest).code == 0
    assert beside(tmp_path) == before


def test_an_empty_file_stays_empty_in_a_dry_run(shaftlog: Shaftlog, book: Path) -> None:
    """Found: it became a book of 320 KB."""
    empty = book.with_name("empty.db")
    empty.touch()
    assert_refused(shaftlog("merge", book, "--dry-run", "--book", empty), "0 bytes")
    assert_refused(shaftlog("merge", empty, "--dry-run", "--book", book), "not a job book")
    assert empty.read_bytes() == b""


def test_a_backup_touches_no_file_of_others(shaftlog: Shaftlog, book: Path) -> None:
    """Found: a file NAME.part was deleted, and another program's database was copied."""
    mine = book.with_name("copy.db.part")
    mine.write_text("mine")
    assert shaftlog("backup", book.with_name("copy.db"), "--book", book).code == 0
    assert mine.read_text() == "mine"
    other = book.with_name("other.db")
    with sqlite3.connect(other) as con:
        con.execute("CREATE TABLE x (a)")
    con.close()
    before = beside(book.parent)
    assert_refused(shaftlog("backup", book.with_name("c.db"), "--book", other), "not a job book")
    assert_refused(shaftlog("restore", other, "--book", book), "not a job book")
    assert beside(book.parent) == before
    assert not backup_folder(other).exists()


def test_a_line_of_megabytes() -> None:
    data = b"station_in,clock_deg,reading_thou\n" + b"1" * 200_000
    with pytest.raises(SweepFileError, match="characters; look for a stray quote"):
        read_rows(data, "big.csv")
    with pytest.raises(SweepFileError, match="characters; look for a stray quote"):
        columns_in(b"1" * 200_000, "big.csv")


def test_an_unknown_sweep_of_a_file_without_any() -> None:
    """Found: 'there is no sweep 'x' in it, only', and there it ended."""
    data = b"station_in,clock_deg,reading_thou\n10,0,1\n"
    with pytest.raises(SweepFileError, match="no column named sweep"):
        read_rows(data, "one.csv", sweep="x")


def test_figures_in_a_window_of_one_column() -> None:
    """Found: `ValueError: invalid width -2` at one and two columns."""
    with open_book(BOOKS / f"book_v{SCHEMA_VERSION}.db", read_only=True) as opened:
        shop = all_figures(opened)
    assert shop.bench is not None
    for width in (1, 2, 3):
        assert shop_pages.waiting_page(shop.waiting, waiting_groups(shop.waiting), width)
        assert shop_pages.response_page(shop.bench, width)
        assert shop_pages.hours_page(shop.bench, width, most=5)
        assert shop_pages.outcome_page(shop.outcomes, width, most=5)
