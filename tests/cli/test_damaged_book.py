"""Damage is found by `check`; a book that cannot be written to is no damaged book."""

from __future__ import annotations

import os
import shutil
import sqlite3
import struct
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from pathlib import Path

import pytest

from core.book.opening import open_book
from core.book.upkeep import check
from tests.bench import damage
from tests.support.book_helpers import written_over
from tests.support.command_fixtures import ROOT, Shaftlog


def test_a_value_changed_on_the_disk_is_found(book: Path) -> None:
    with open_book(book, read_only=True) as opened:
        row = opened.one("SELECT value_in FROM reading WHERE abs(value_in) > 0.02 LIMIT 1")
    assert row is not None
    written_over(book, struct.pack(">d", row[0]), struct.pack(">d", 1.98e-75))
    report = check.check_book(book)
    assert not report.sound
    assert "of 'reading' is not as it was entered" in report.words


def test_a_name_changed_on_the_disk_is_found(book: Path) -> None:
    written_over(book, b"Ottoline Vask", b"Ottoline Vusk")
    assert "of 'customer' is not as it was entered" in check.check_book(book).words


def test_a_value_changed_past_the_program_differs_from_its_typed_text(book: Path) -> None:
    with sqlite3.connect(book) as con:
        guard = con.execute(
            "SELECT sql FROM sqlite_master WHERE name = 'reading_is_never_rewritten'"
        ).fetchone()[0]
        con.execute("DROP TRIGGER reading_is_never_rewritten")
        con.execute(
            "UPDATE reading SET value_in = value_in + 0.01 WHERE id = "
            "(SELECT id FROM reading WHERE value_in > 0.002 LIMIT 1)"
        )
        con.execute(guard)
    con.close()
    assert "was typed" in check.check_book(book).words


def test_a_time_that_is_none_is_found_and_named(shaftlog: Shaftlog, book: Path) -> None:
    with sqlite3.connect(book) as con:
        con.execute(
            "UPDATE job SET opened_at = '2022-09-14T07:55:{6' WHERE state = 'open' AND id = "
            "(SELECT id FROM job WHERE state = 'open' LIMIT 1)"
        )
    con.close()
    assert "'2022-09-14T07:55:{6' is no time" in check.check_book(book).words
    ran = shaftlog("figures", "--book", str(book))
    assert ran.code == 2
    assert "a fault in the program" not in ran.err
    assert "the job book is damaged" in ran.err


@pytest.mark.parametrize("form", [(), ("--html",)])
def test_a_ticket_from_a_damaged_book_says_so(
    shaftlog: Shaftlog, book: Path, form: tuple[str, ...]
) -> None:
    written_over(book, b"Ottoline Vask", b"Ottoline Vusk")
    ran = shaftlog("ticket", "25-049", *form, "--book", str(book))
    assert ran.code == 2
    assert "THE JOB BOOK IS DAMAGED" in ran.out
    assert "is damaged" in ran.err


def test_what_a_command_stumbles_over_in_a_damaged_book_is_called_damage(
    shaftlog: Shaftlog, book: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def stumble(*_: object) -> None:
        raise TypeError("a text where a number was")

    monkeypatch.setattr("core.jobs.about_job._done", stumble)
    asked = ("history", "Vask", "--book", str(book))
    assert "a fault in the program" in shaftlog(*asked).err
    written_over(book, b"4 Nowhere Quay", b"5 Nowhere Quay")
    ran = shaftlog(*asked)
    assert ran.code == 2
    assert "the job book is damaged" in ran.err
    assert "a fault in the program" not in ran.err


@pytest.mark.slow
def test_a_damaged_copy_of_each_kind(tmp_path: Path) -> None:
    """The program in tests/bench tries 150."""
    whole, before = damage.DEMO.read_bytes(), damage.entered(damage.DEMO)
    for number in range(len(damage.KINDS)):
        draw = damage.Random(f"7 {number}")
        data = bytearray(whole)
        damage.KINDS[number](data, draw)
        place = tmp_path / "damaged.db"
        place.write_bytes(data)
        verdict, silent, faults = damage.try_one(place, before, "26-004")
        assert (verdict != "missed", silent, faults) == (True, False, []), number


@pytest.fixture
def write_protected() -> Iterator[Path]:
    """The demo in a folder that may only be read."""
    folder = Path(tempfile.mkdtemp(prefix="shaftlog-stick-"))
    shutil.copyfile(ROOT / "demo.db", folder / "shop.db")
    (folder / "shop.db").chmod(0o444)
    folder.chmod(0o555)
    yield folder / "shop.db"
    folder.chmod(0o755)
    shutil.rmtree(folder)


def without_leave(*words: str) -> subprocess.CompletedProcess[str]:
    """A command run by somebody whom write protection stops (it does not stop root)."""
    before = ["setpriv", "--bounding-set", "-dac_override", "--inh-caps", "-dac_override"]
    if os.geteuid() != 0:
        before = []
    elif shutil.which("setpriv") is None:
        pytest.skip("root, and nothing here to give up root's rights with")
    return subprocess.run(
        [*before, sys.executable, "-m", "tui.main", *words],
        cwd=ROOT, env={**os.environ, "PYTHONPATH": str(ROOT)},
        capture_output=True, text=True, check=False,
    )  # fmt: skip


@pytest.mark.slow
def test_a_write_protected_book_can_be_looked_at_checked_and_copied(write_protected: Path) -> None:
    named = ("--book", str(write_protected))
    checked = without_leave("check", *named)
    assert checked.returncode == 0, checked.stdout + checked.stderr
    assert ": sound" in checked.stdout
    for words in (("history", "pell"), ("figures",), ("ticket", "22-031")):
        ran = without_leave(*words, *named)
        assert ran.returncode == 0, ran.stderr
    with tempfile.TemporaryDirectory() as folder:
        copied = without_leave("backup", f"{folder}/copy.db", *named)
        assert copied.returncode == 0, copied.stderr
    assert sorted(one.name for one in write_protected.parent.iterdir()) == ["shop.db"]
