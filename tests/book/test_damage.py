"""Damage is not carried into backups; what cannot be finished leaves nothing behind."""

from __future__ import annotations

import sqlite3
from contextlib import closing
from pathlib import Path

import pytest

from core.book.connection import Book
from core.book.errors import DiskFull
from core.book.upkeep import backup, salvage, values
from core.demo.make import make_demo
from tests.support.book_helpers import SmallJob, open_fixed, read_all, written_over


@pytest.mark.parametrize(
    ("raw", "value_in", "fits"),
    [
        ("3.5", 0.0035, True),
        ("3.5", 1.98e-75, False),
        ("-3.5", 0.0035, True),
        ("1-3/4", 1.75, True),
        ("0.12 mm", 0.12 / 25.4, True),
        ("0.12 mm", 0.012, False),
        ("3.5 (moved from 12 in)", 0.0035, True),
        ("0.2208", 0.22075, True),
        ("left out", 0.1, True),
    ],
)
def test_typed_text_and_value(raw: str, value_in: float, fits: bool) -> None:
    assert values.agrees(raw, value_in) is fits


def test_a_value_of_another_kind_is_found() -> None:
    """Found: a damaged page gave nothing in the place of the typed text, and `check` ended in a
    fault of the program."""
    with closing(sqlite3.connect(":memory:")) as con:
        con.execute("CREATE TABLE reading (station_in, clock_deg, raw, value_in, taken_at)")
        con.execute("INSERT INTO reading VALUES (1.0, 0.0, NULL, 0.5, 12)")
        con.execute("CREATE TABLE measurement (subject, what, raw, value_in)")
        assert values.findings(con) == ["a value is of another kind than its column"] * 2


def test_a_backup_of_a_changed_value_is_refused(path: Path, small: SmallJob, book: Book) -> None:
    read_all(book, small.sweep)
    book.close()
    good = backup.by_hand(path)
    written_over(path, b"Haldorsen", b"Haldarsen")
    with pytest.raises(Exception, match="no backup was made"):
        backup.by_hand(path)
    assert good.path.exists()


def test_what_cannot_be_finished_leaves_no_empty_file(
    path: Path, small: SmallJob, book: Book, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    book.close()

    def full(*_: object, **__: object) -> None:
        raise DiskFull("no room")

    monkeypatch.setattr(salvage.search_index, "rebuild", full)
    with pytest.raises(DiskFull):
        salvage.salvage(path, tmp_path / "saved.db")
    monkeypatch.setattr("core.demo.make.settings.save", full)
    with pytest.raises(DiskFull):
        make_demo(tmp_path / "demo.db")
    assert not [one for one in tmp_path.iterdir() if one.name.startswith(("saved", "demo"))]


def test_restore_names_the_disk_that_is_full(
    path: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    with open_fixed(path):
        pass
    good = backup.by_hand(path)

    def full(*_: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(backup.shutil, "copyfile", full)
    with pytest.raises(DiskFull, match=f"The disk holding {path.parent} has no room"):
        backup.restore(path, good.path)
    assert path.exists()
