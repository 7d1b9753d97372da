"""Reads the published figures carried with the program, one CSV a table.

Each table keeps a ``status`` and a ``source`` column: a figure that could not be checked against
print says so in the row, and the screens repeat it. Rows and columns that nothing reads (some of
``shaft_sizing_rules``) are kept for the check against print.
"""

from __future__ import annotations

import csv
from collections.abc import Mapping
from functools import cache
from importlib.resources import files
from types import MappingProxyType

Row = Mapping[str, str]


@cache
def read_table(name: str) -> tuple[Row, ...]:
    """Rows of one table, in file order; cells are text exactly as written, '' when empty.

    Parameters
    ----------
    name : str
        File name without its ending, such as ``"keys_b17_1"``.
    """
    text = files("core.tables").joinpath(f"{name}.csv").read_text(encoding="utf-8")
    return tuple(MappingProxyType(row) for row in csv.DictReader(text.splitlines()))


def number(row: Row, column: str) -> float | None:
    """A cell as a number; None when the table has no figure there."""
    cell = row[column].strip()
    return float(cell) if cell else None
