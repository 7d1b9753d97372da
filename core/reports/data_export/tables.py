"""Every table of the book as one CSV or JSON file, and a file that describes them.

The description follows the Data Package standard (datapackage.org): type, unit and meaning of each
column, which column points to which table. A number is a number or empty, never a word; a moment is
ISO 8601; a list is JSON text. Contact data of customers leaves only when it is asked for.
"""

from __future__ import annotations

import csv
import json
from collections.abc import Iterable, Iterator, Sequence
from pathlib import Path
from typing import Any

from core.base import penetrant_records, records, shop_records
from core.base.errors import ShaftlogError
from core.base.text import sheet_cell
from core.base.whole_file import whole_folder
from core.book.connection import Book
from core.book.rows import TABLES
from core.book.upkeep.all_rows import columns_of, one_moment, references_of, rows_of
from core.book.upkeep.backup import Progress
from core.book.upkeep.stoppable import last_row, rows_in
from core.book.upkeep.tables import ENTERED
from core.reports.data_export.field_docs import docs_of, unit_of
from core.reports.job_export import CONTACT

DESCRIPTION = "datapackage.json"
TYPES = {"TEXT": "string", "REAL": "number", "INTEGER": "integer"}
ROWS_A_REPORT = 500
_MODULES = (records, shop_records, penetrant_records)


def write_tables(
    book: Book, folder: Path, form: str, *, contact: bool, progress: Progress | None = None
) -> int:
    """Write all tables ('csv' or 'json') and their description into a new or empty folder.

    Returns how many files were written. Raises `ShaftlogError` when the folder holds something.
    What `progress` raises ends it, and no file is left.
    """
    try:
        with whole_folder(folder, last=DESCRIPTION) as part:
            return _write_all(book, part, form, contact, progress or (lambda _done, _of: None))
    except FileExistsError:
        raise ShaftlogError(f"{folder} is not empty; name a new folder") from None


def _write_all(book: Book, folder: Path, form: str, contact: bool, progress: Progress) -> int:
    resources, rows_done, every = [], 0, rows_in(book.con)
    with one_moment(book):
        for table in ENTERED:
            columns = _columns(book, table, contact)
            names = [str(column["name"]) for column in columns]
            rows = _counted(rows_of(book, table, names), rows_done, every, progress)
            place = folder / f"{table}.{form}"
            (_write_csv if form == "csv" else _write_json)(place, names, rows)
            resources.append(_resource(book, table, columns, place.name, form))
            rows_done += last_row(book.con, table)
    package = {"name": "shaftlog-book", "profile": "data-package", "resources": resources}
    text = json.dumps(package, ensure_ascii=True, indent=1)
    (folder / DESCRIPTION).write_text(text + "\n", encoding="utf-8")
    return len(resources) + 1


def _counted(
    rows: Iterable[tuple[Any, ...]], before: int, every: int, progress: Progress
) -> Iterator[tuple[Any, ...]]:
    """The same rows; every so many of them the progress is called."""
    for number, row in enumerate(rows):
        if number % ROWS_A_REPORT == 0:
            progress(min(before + number, every), every)
        yield row


def _columns(book: Book, table: str, contact: bool) -> list[dict[str, object]]:
    docs = _docs(table)
    found = []
    for one in columns_of(book, table):
        if table == "customer" and one.name in CONTACT and not contact:
            continue
        words = "; ".join(part for part in (docs.get(one.name, ""), unit_of(one.name)) if part)
        column: dict[str, object] = {"name": one.name, "type": TYPES[one.kind]}
        if words:
            column["description"] = words
        if one.required and one.kind != "TEXT":  # an empty text is a value, not a gap
            column["constraints"] = {"required": True}
        found.append(column)
    return found


def _docs(table: str) -> dict[str, str]:
    name = next((record for record, stored in TABLES.items() if stored == table), "")
    for module in _MODULES:
        if hasattr(module, name):
            return docs_of(getattr(module, name))
    return {}


def _resource(
    book: Book, table: str, columns: Sequence[dict[str, object]], file: str, form: str
) -> dict[str, object]:
    keys = [
        {"fields": ours, "reference": {"resource": other, "fields": theirs}}
        for ours, other, theirs in references_of(book, table)
    ]
    schema: dict[str, object] = {"fields": list(columns), "missingValues": [""]}
    if any(column["name"] == "id" for column in columns):
        schema["primaryKey"] = "id"
    if keys:
        schema["foreignKeys"] = keys
    said = {"description": _docs(table)[""]} if _docs(table).get("") else {}
    return {
        "name": table, "path": file, "format": form, "encoding": "utf-8", **said, "schema": schema
    }  # fmt: skip


def _write_csv(place: Path, names: Sequence[str], rows: Iterable[Sequence[Any]]) -> None:
    with place.open("x", encoding="utf-8", newline="") as file:
        out = csv.writer(file, lineterminator="\n")
        out.writerow(names)
        for row in rows:
            out.writerow([sheet_cell(cell) if isinstance(cell, str) else cell for cell in row])


def _write_json(place: Path, names: Sequence[str], rows: Iterable[Sequence[Any]]) -> None:
    with place.open("x", encoding="utf-8") as file:
        file.write("[")
        for number, row in enumerate(rows):
            record = dict(zip(names, row, strict=True))
            file.write(",\n" if number else "\n")
            file.write(json.dumps(record, ensure_ascii=True, allow_nan=False))
        file.write("\n]\n")
