"""All tables as files that a stranger, and a data-frame library, can read."""

from __future__ import annotations

import csv
import json
from pathlib import Path
from types import SimpleNamespace

import pytest

from core.base.errors import ShaftlogError
from core.book.connection import Book
from core.book.opening import open_book
from core.book.upkeep.tables import ENTERED
from core.reports.data_export.tables import DESCRIPTION, write_tables

Row = dict[str, str]


@pytest.fixture
def shop(book: Path) -> Book:
    with open_book(book, read_only=True) as one:
        yield one


def described(folder: Path) -> dict[str, SimpleNamespace]:
    package = json.loads((folder / DESCRIPTION).read_text())
    return {one["name"]: SimpleNamespace(**one) for one in package["resources"]}


def lines(folder: Path, table: str) -> list[Row]:
    with (folder / f"{table}.csv").open(newline="", encoding="utf-8") as file:
        return list(csv.DictReader(file))


def test_every_number_is_a_number_or_empty(shop: Book, tmp_path: Path) -> None:
    folder = tmp_path / "out"
    assert write_tables(shop, folder, "csv", contact=False) == len(ENTERED) + 1
    for name, resource in described(folder).items():
        rows = lines(folder, name)
        assert len(rows) == shop.one(f"SELECT count(*) FROM {name}")[0]
        for field in resource.schema["fields"]:
            cells = [row[field["name"]] for row in rows]
            if field["type"] != "string":
                assert all(cell == "" or float(cell) == float(cell) for cell in cells)
            elif field.get("constraints", {}).get("required"):
                assert all(cell is not None for cell in cells)
    blocked = [row for row in lines(folder, "reading") if row["kind"] == "blocked"]
    assert {row["value_in"] for row in blocked} == {""}


def test_whole_numbers_are_whole_and_every_key_points_to_a_row(shop: Book, tmp_path: Path) -> None:
    """What pandas and a validator of the Data Package standard looked at once, without them."""
    write_tables(shop, tmp_path / "out", "csv", contact=False)
    found = described(tmp_path / "out")
    ids = {name: [row.get("id") for row in lines(tmp_path / "out", name)] for name in found}
    for name, resource in found.items():
        rows = lines(tmp_path / "out", name)
        fields = {one["name"]: one for one in resource.schema["fields"]}
        whole = [each for each, one in fields.items() if one["type"] == "integer"]
        assert all(row[each] == "" or int(row[each]) is not None for row in rows for each in whole)
        needed = [each for each, one in fields.items() if one.get("constraints")]
        assert all(row[each] != "" for row in rows for each in needed)
        if "primaryKey" in resource.schema:
            assert len(set(ids[name])) == len(rows)
        for key in resource.schema.get("foreignKeys", ()):
            there = set(ids[key["reference"]["resource"]]) | {""}
            assert {row[key["fields"]] for row in rows} <= there


def test_the_description_says_unit_meaning_and_where_a_column_points(
    shop: Book, tmp_path: Path
) -> None:
    write_tables(shop, tmp_path / "out", "csv", contact=False)
    found = described(tmp_path / "out")
    reading = {one["name"]: one for one in found["reading"].schema["fields"]}
    assert "inches" in reading["value_in"]["description"]
    assert "ISO 8601" in reading["taken_at"]["description"]
    assert found["reading"].schema["primaryKey"] == "id"
    pointed = {one["fields"]: one["reference"] for one in found["reading"].schema["foreignKeys"]}
    assert pointed["sweep_id"] == {"resource": "sweep", "fields": "id"}
    card = {one["name"]: one for one in found["old_card"].schema["fields"]}
    assert "cannot be read for sure" in card["diameter_in"]["description"]


def test_contact_data_leaves_only_when_asked_for(shop: Book, tmp_path: Path) -> None:
    write_tables(shop, tmp_path / "out", "json", contact=False)
    write_tables(shop, tmp_path / "all", "json", contact=True)
    few, every = (
        json.loads((tmp_path / at / "customer.json").read_text()) for at in ("out", "all")
    )
    assert set(every[0]) - set(few[0]) == {"phone", "email", "address", "notes"}
    assert len(few) == len(every)
    with pytest.raises(ShaftlogError, match="not empty"):
        write_tables(shop, tmp_path / "out", "csv", contact=False)
