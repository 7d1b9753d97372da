"""Writes the shop's figures as CSV: to a stream, or to a file beside the job book."""

from __future__ import annotations

import csv
from pathlib import Path
from typing import TextIO

from core.base.errors import ShaftlogError
from core.base.text import sheet_cell
from core.base.times import local_text
from core.jobs.statistics.gather import ShopFigures
from core.reports.export_file import new_export
from core.reports.shop_sheet import COLUMNS, rows


def write_csv(told: ShopFigures, out: TextIO) -> None:
    """One figure a line, every cell safe in a spreadsheet."""
    if told.bench is None:
        raise ShaftlogError("The figures are not worked out yet. Wait until they are.")
    sheet = csv.writer(out, lineterminator="\n")
    sheet.writerow(COLUMNS)
    for row in rows(told.waiting, told.outcomes, told.bench):
        sheet.writerow([sheet_cell(cell) for cell in row])


def write_file(told: ShopFigures, beside: Path) -> Path:
    """A new file under `beside`/exports; gives back the file."""
    name = f"shop figures {local_text(told.at, '%Y-%m-%d')}"
    with new_export(beside, name, "csv") as (file, place):
        write_csv(told, file)
    return place
