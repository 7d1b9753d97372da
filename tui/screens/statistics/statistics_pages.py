"""The pages of the shop's figures fitted into a window."""

from __future__ import annotations

from collections.abc import Sequence

from textual.geometry import Size

from core.jobs.statistics.gather import ShopFigures
from core.jobs.statistics.waiting import WaitingJob, waiting_groups
from core.reports import shop_pages as pages

FRAME = 3
"""Columns that the frame and the scrollbar take."""
HIGH = 32
"""Rows from which on more is listed."""


def group_lines(waiting: Sequence[WaitingJob], size: Size) -> list[str]:
    """Who has how many waiting, over the list."""
    most = 12 if size.height >= HIGH else 6
    return pages.waiting_lines(waiting_groups(waiting), size.width - FRAME, most)


def page_lines(page: str, shop: ShopFigures | None, size: Size) -> list[str]:
    """The lines of a page; empty while it is not worked out."""
    width, most = size.width - FRAME, 20 if size.height >= HIGH else 5
    if shop is not None and page == "outcome":
        return pages.outcome_page(shop.outcomes, width, most)
    if shop is None or shop.bench is None:
        return []
    if page == "response":
        return pages.response_page(shop.bench, width)
    return pages.hours_page(shop.bench, width, most)
