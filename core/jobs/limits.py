"""The riding areas of a shaft with the TIR limit in force for each. Loads no numpy."""

from __future__ import annotations

from core.base.shop_records import Job
from core.book import history
from core.book.connection import Book
from core.book.settings import ShopSettings
from core.runout.verdict import Area


def areas_for_core(book: Book, job: Job, shop: ShopSettings) -> tuple[Area, ...]:
    """The riding areas at a visit as the core judges them.

    An area has its own limit, else the shop's for its kind.

    Lengths and limits in inches.
    """
    return tuple(
        Area(
            name=area.name,
            kind=area.kind,
            from_in=area.from_in,
            to_in=area.to_in,
            limit_in=area.limit_in
            if area.limit_in is not None
            else getattr(shop, f"limit_{area.kind.replace(' ', '_')}_in"),
        )
        for area in history.areas_of(book, job)
    )
