"""Every row of every table as it is stored, for writing all data out."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from typing import Any

from core.book.connection import Book
from core.book.errors import plain_words

ROWS_AT_ONCE = 1000


@dataclass(frozen=True)
class StoredColumn:
    """One column of a table."""

    name: str
    kind: str
    """'TEXT', 'INTEGER' or 'REAL'."""
    required: bool


@contextmanager
def one_moment(book: Book) -> Iterator[None]:
    """Inside the block all tables are read as of one moment, whatever other benches enter."""
    book.con.execute("BEGIN")
    try:
        yield
    finally:
        book.con.execute("ROLLBACK")


def columns_of(book: Book, table: str) -> tuple[StoredColumn, ...]:
    """The columns of a table in order."""
    listed = book.rows(f"PRAGMA table_info({table})")
    return tuple(StoredColumn(row[1], row[2], bool(row[3])) for row in listed)


def references_of(book: Book, table: str) -> tuple[tuple[str, str, str], ...]:
    """(column, table it points to, column there)."""
    return tuple((row[3], row[2], row[4]) for row in book.rows(f"PRAGMA foreign_key_list({table})"))


def rows_of(book: Book, table: str, names: Sequence[str]) -> Iterator[tuple[Any, ...]]:
    """The rows in the order entered, some at a time."""
    with plain_words(str(book.path)):
        cursor = book.con.execute(f"SELECT {', '.join(names)} FROM {table} ORDER BY rowid")
        while some := cursor.fetchmany(ROWS_AT_ONCE):
            yield from some
