"""Jobs found by what was typed, alloys by their common names too."""

from __future__ import annotations

from core.book.connection import Book
from core.book.search.find import LIMIT, Page, find_page
from core.book.search.typed import AlloyNames
from core.tables.alloy_names import alloys_beginning, alloys_named

ALLOYS = AlloyNames(alloys_named, alloys_beginning)


def find_jobs(
    book: Book,
    typed: str,
    *,
    first: int = 0,
    limit: int = LIMIT,
    one_per_shaft: bool = False,
    counted: bool = True,
) -> Page:
    """As `core.book.search.find.find_page`."""
    return find_page(
        book,
        typed,
        first=first,
        limit=limit,
        one_per_shaft=one_per_shaft,
        alloys=ALLOYS,
        counted=counted,
    )
