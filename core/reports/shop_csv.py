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


def write_csv(shop: ShopFigures, out: TextIO) -> None:
    """One figure a line, every cell safe in a spreadsheet."""
    if shop.bench is None:
        raise ShaftlogError("The figures are not worked out yet. Wait until they are.")
    sheet = csv.writer(out, lineterminator="\n")
    sheet.writerow(COLUMNS)
    for row in rows(shop.waiting, shop.outcomes, shop.bench):
        sheet.writerow([sheet_cell(cell) for cell in row])


def write_file(shop: ShopFigures, beside: Path) -> Path:
    """A new file under `beside`/exports; gives back the file."""
    name = f"shop figures {local_text(shop.at, '%Y-%m-%d')}"
    with new_export(beside, name, "csv") as (file, place):
        write_csv(shop, file)
    return place
