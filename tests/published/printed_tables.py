"""Printed tables kept for checks alone; the program works with the formulas behind them."""

from __future__ import annotations

import csv
from pathlib import Path

from core.tables.reader import Row, read_table

KEPT_HERE = ("keyseat_depth_b17_1", "press_force_factor")
"""Tables of this folder; the others are carried with the program."""


def printed_table(name: str) -> tuple[Row, ...]:
    """Rows of a table, wherever it is kept; cells are text exactly as written."""
    if name not in KEPT_HERE:
        return read_table(name)
    with Path(__file__).with_name(f"{name}.csv").open(encoding="utf-8", newline="") as file:
        return tuple(csv.DictReader(file))
