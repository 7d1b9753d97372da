"""Records to rows and back: the one place where values enter and leave the tables."""

from __future__ import annotations

import json
import math
from collections.abc import Iterable
from dataclasses import fields
from typing import Any, TypeVar

from core.base.text import clean_text
from core.book import gate
from core.book.connection import Book
from core.book.errors import NotFound, Refused, damaged

Record = TypeVar("Record")

TABLES: dict[str, str] = {
    "Customer": "customer",
    "Vessel": "vessel",
    "Shaft": "shaft",
    "RidingArea": "riding_area",
    "Job": "job",
    "Note": "note",
    "Sweep": "sweep",
    "Reading": "reading",
    "QuickCheck": "quick_check",
    "Hit": "hit",
    "HitReading": "hit_reading",
    "PenetrantCheck": "penetrant_check",
    "PenetrantCondition": "penetrant_condition",
    "Measurement": "measurement",
    "JobChoice": "choice",
    "Past": "past",
    "Release": "release",
    "Event": "event",
    "Presence": "presence",
    "Setting": "setting",
    "OldCard": "old_card",
}
NOT_REPLACED = "replaced_by IS NULL"
"""Of readings and measurements: the rows that count; a correction marks the old row replaced."""
_LISTS = {"work", "marks_deg", "stations_in"}
_FLAGS = {"closing", "cold", "short_dwell"}
_WITH_LINES = {"notes", "note", "address", "complaint", "text", "overrule_reason", "old", "new"}
_AS_IT_IS = {"ticket_text", "ticket_html", "id", "facts"}
_COLUMNS: dict[type, tuple[str, ...]] = {}


def table_of(record_type: type) -> str:
    """The table that holds a record's rows."""
    return TABLES[record_type.__name__]


def columns(record_type: type) -> tuple[str, ...]:
    """Column names of a record's table, in the order of its fields."""
    if record_type not in _COLUMNS:
        _COLUMNS[record_type] = tuple(f.name for f in fields(record_type))
    return _COLUMNS[record_type]


def stored(name: str, value: Any) -> Any:
    """A field's value as it goes into the table: text cleaned, numbers finite, lists as JSON."""
    if isinstance(value, str):
        return value if name in _AS_IT_IS else clean_text(value, lines=name in _WITH_LINES)
    if name in _LISTS:
        return json.dumps([stored("", item) for item in value])
    if name in _FLAGS:
        return int(value)
    if hasattr(value, "item"):
        value = value.item()
    if isinstance(value, float) and not math.isfinite(value):
        raise Refused(f"{name.replace('_', ' ')}: {value} is no number that can be stored.")
    return value


def from_row(record_type: type[Record], row: tuple[Any, ...]) -> Record:
    """A row (in field order) as a record."""
    try:
        values = [
            tuple(json.loads(value)) if name in _LISTS else bool(value) if name in _FLAGS else value
            for name, value in zip(columns(record_type), row, strict=True)
        ]
    except (TypeError, ValueError) as error:
        raise damaged("The job book") from error
    return record_type(*values)


def insert(book: Book, record: Any) -> None:
    """Store a new record (joins the transaction it is called in); a closed job takes none."""
    names = columns(type(record))
    values = [stored(name, getattr(record, name)) for name in names]
    marks = ", ".join("?" * len(names))
    with book.write() as con:
        gate.check_record(book, record)
        con.execute(
            f"INSERT INTO {table_of(type(record))} ({', '.join(names)}) VALUES ({marks})",
            values,
        )


def insert_many(book: Book, record_type: type, records: Iterable[Any]) -> None:
    """Store many new records of one kind that belong to no job, in the transaction it joins."""
    names = columns(record_type)
    marks = ", ".join("?" * len(names))
    values = ([stored(name, getattr(one, name)) for name in names] for one in records)
    with book.write() as con:
        con.executemany(
            f"INSERT INTO {table_of(record_type)} ({', '.join(names)}) VALUES ({marks})", values
        )


def select(
    book: Book, record_type: type[Record], where: str = "1", values: tuple[Any, ...] = ()
) -> tuple[Record, ...]:
    """Records that meet `where` (which may end in ORDER BY ... LIMIT ...)."""
    sql = f"SELECT {', '.join(columns(record_type))} FROM {table_of(record_type)} WHERE {where}"
    return tuple(from_row(record_type, row) for row in book.rows(sql, values))


def get(book: Book, record_type: type[Record], record_id: str) -> Record:
    """The record with this id; `NotFound` when there is none."""
    found = select(book, record_type, "id = ?", (record_id,))
    if not found:
        raise NotFound(
            f"There is no such {table_of(record_type).replace('_', ' ')} in the book. It may stand "
            "in another book; if it should be here, run `shaftlog check`."
        )
    return found[0]
