"""Each entered row is kept once more in an index over all columns: a rule for every later step."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator

import pytest

from core.book.schema import ledger
from core.book.upkeep.tables import ENTERED

BEFORE_ROW_COPIES = 8
"""The last step before the one that makes these indexes."""


def not_copied(con: sqlite3.Connection) -> dict[str, set[str]]:
    """Columns of each table that its index of row copies leaves out."""
    missing: dict[str, set[str]] = {}
    for table in ENTERED:
        columns = {row[1] for row in con.execute(f"PRAGMA table_info({table})")}
        copied = {row[2] for row in con.execute(f"PRAGMA index_info({table}_row_copy)")}
        if columns != copied:
            missing[table] = columns ^ copied
    return missing


@pytest.fixture
def con() -> Iterator[sqlite3.Connection]:
    with sqlite3.connect(":memory:", isolation_level=None) as made:
        yield made
    made.close()


def test_the_row_copies_of_a_new_book_have_all_columns(con: sqlite3.Connection) -> None:
    """Red here: a step added a column or a table. It must drop and make `<table>_row_copy` again,
    or the integrity check no longer finds a value changed on the disk."""
    ledger.create_all(con, "2026-01-01T00:00:00Z")
    assert not_copied(con) == {}


def test_the_row_copies_of_a_migrated_book_have_all_columns(con: sqlite3.Connection) -> None:
    ledger.create_all(con, "2026-01-01T00:00:00Z", version=BEFORE_ROW_COPIES)
    assert {*not_copied(con), "old_card"} == set(ENTERED)  # that table came later
    ledger.migrate(con, "shop.db")
    assert not_copied(con) == {}


@pytest.mark.parametrize("new", [True, False])
def test_a_step_that_forgets_the_copy_fails_here(
    con: sqlite3.Connection, monkeypatch: pytest.MonkeyPatch, new: bool
) -> None:
    """The two tests above are red for a step that adds a column and leaves the index as it is."""
    if not new:
        ledger.create_all(con, "2026-01-01T00:00:00Z")
    step = ("m9999_forgetful", ("ALTER TABLE job ADD COLUMN berth TEXT NOT NULL DEFAULT ''",))
    monkeypatch.setattr(ledger, "MIGRATIONS", (*ledger.MIGRATIONS, step))
    if new:
        ledger.create_all(con, "2026-01-01T00:00:00Z", version=len(ledger.MIGRATIONS))
    else:
        ledger.migrate(con, "shop.db")
    assert not_copied(con) == {"job": {"berth"}}


def test_every_table_of_entries_has_its_copy(con: sqlite3.Connection) -> None:
    """A new table is one of entries, or it is named here: it holds nothing that must last."""
    ledger.create_all(con, "2026-01-01T00:00:00Z")
    named = con.execute("SELECT name FROM sqlite_master WHERE type = 'table'")
    others = {str(row[0]) for row in named} - set(ENTERED)
    lasting = {name for name in others if not name.startswith(("search_", "_sqlite"))}
    assert lasting == {"presence", "draft"}


def test_a_column_added_without_its_index_is_found(con: sqlite3.Connection) -> None:
    ledger.create_all(con, "2026-01-01T00:00:00Z")
    con.execute("ALTER TABLE hit ADD COLUMN ram_no INTEGER")
    assert not_copied(con) == {"hit": {"ram_no"}}
