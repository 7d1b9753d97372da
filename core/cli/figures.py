"""`shaftlog figures`: what all jobs together say, as text, JSON or CSV."""

from __future__ import annotations

import argparse
import json
from dataclasses import asdict
from io import StringIO
from typing import TYPE_CHECKING, Any

from core.base.text import plain_ascii
from core.cli.frame import DONE, shop_book, write_new

if TYPE_CHECKING:
    from core.jobs.statistics.gather import ShopFigures

FIGURES_WIDTH = 79
STAND_INS = str.maketrans({"█": "#", "▒": "%", "░": ":", "·": "."})


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """The form."""
    form = parser.add_mutually_exclusive_group()
    form.add_argument("--json", action="store_true", help="as JSON")
    form.add_argument("--csv", metavar="FILE", help="as CSV into a new file; - = to the screen")


def run(args: argparse.Namespace) -> int:
    """Work the figures out and print or write them."""
    from core.jobs.statistics.gather import all_figures

    with shop_book(args, read_only=True) as book:
        shop = all_figures(book)
    if args.json:
        print(json.dumps(record(shop), indent=1))
    elif args.csv:
        _write_csv(shop, args.csv)
    else:
        print("\n".join(text_lines(shop)))
    return DONE


def record(shop: ShopFigures) -> dict[str, Any]:
    """Every figure under its own name; an interface: keys are added, never renamed."""
    return asdict(shop)


def text_lines(shop: ShopFigures) -> list[str]:
    """All pages one under the other, in ASCII so that any printer takes them."""
    from core.jobs.statistics.waiting import waiting_groups
    from core.reports import shop_pages as pages

    assert shop.bench is not None
    chapters = (
        pages.waiting_page(shop.waiting, waiting_groups(shop.waiting), FIGURES_WIDTH),
        pages.response_page(shop.bench, FIGURES_WIDTH),
        pages.hours_page(shop.bench, FIGURES_WIDTH, most=len(shop.bench.forecasts)),
        pages.outcome_page(shop.outcomes, FIGURES_WIDTH, most=len(shop.outcomes)),
    )
    lines = [line for chapter in chapters for line in (*chapter, "")]
    return [plain_ascii(line.translate(STAND_INS)).rstrip() for line in lines[:-1]]


def _write_csv(shop: ShopFigures, name: str) -> None:
    from core.reports.shop_csv import write_csv

    sheet = StringIO()
    write_csv(shop, sheet)
    write_new(name, sheet.getvalue().encode())
    if name != "-":
        print(f"written: {name}")
