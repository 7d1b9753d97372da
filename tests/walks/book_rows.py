"""All rows of a book as plain data, and what differs between two looks at it."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

UNWATCHED = ("sqlite_", "search", "presence", "event", "draft", "migration", "applied", "vocab")
"""Beginnings of tables that hold no record of the job: indexes, traces, half typed text."""
Row = dict[str, Any]
Rows = dict[str, dict[Any, Row]]


@dataclass(frozen=True)
class RowChange:
    """One row that was added (`before` None), changed or removed (`after` None)."""

    table: str
    before: Row | None
    after: Row | None

    @property
    def fields(self) -> dict[str, tuple[Any, Any]]:
        """Fields that differ: (old, new)."""
        old, new = self.before or {}, self.after or {}
        return {k: (old.get(k), new.get(k)) for k in old | new if old.get(k) != new.get(k)}

    def __str__(self) -> str:
        if self.before is None:
            return f"+ {self.table} {short(self.after)}"
        if self.after is None:
            return f"- {self.table} {short(self.before)}"
        return f"~ {self.table} {self.before.get('id', '')[-6:]} {self.fields}"


def short(row: Row | None) -> str:
    """A row without its keys and empty fields."""
    shown = {k: v for k, v in (row or {}).items() if v not in (None, "", 0) and "id" not in k}
    return str(shown)


class Watcher:
    """Looks at a book from outside, on a connection of its own."""

    def __init__(self, path: Path) -> None:
        self.con = sqlite3.connect(f"file:{path}?mode=ro", uri=True)
        listed = self.con.execute("SELECT name FROM sqlite_master WHERE type = 'table'")
        self._version = -1
        self._rows: Rows = {}
        self.tables = [
            name for (name,) in listed if not any(name.startswith(word) for word in UNWATCHED)
        ]

    def table(self, name: str) -> dict[Any, Row]:
        """Every row of one table, by its id."""
        cursor = self.con.execute(f"SELECT * FROM {name}")
        names = [column[0] for column in cursor.description]
        key = names.index("id") if "id" in names else None
        return {
            (row if key is None else row[key]): dict(zip(names, row, strict=True))
            for row in cursor.fetchall()
        }

    def look(self) -> Rows:
        """Every row of every table that holds a record; the last look when nothing was stored."""
        (version,) = self.con.execute("PRAGMA data_version").fetchone()
        if version != self._version:
            self._rows = {name: self.table(name) for name in self.tables}
            self._version = version
        return self._rows


def diff(before: Rows, after: Rows) -> list[RowChange]:
    """What changed, table by table."""
    changes: list[RowChange] = []
    for table in after:
        old, new = before.get(table, {}), after[table]
        keys = [key for key in dict.fromkeys((*old, *new)) if old.get(key) != new.get(key)]
        changes += [RowChange(table, old.get(key), new.get(key)) for key in keys]
    return changes


def added(changes: Iterable[RowChange], table: str) -> list[Row]:
    """Rows added to a table."""
    return [c.after for c in changes if c.table == table and c.before is None and c.after]
