"""Search results as rows of a list."""

from __future__ import annotations

from collections.abc import Iterable

from core.base.counting import many
from core.base.shop_records import OPEN_STATES
from core.base.times import local_text
from core.base.units import format_shop_size
from core.book.search.find import Found, Page
from tui.screens.base.job_text import shaft_words
from tui.widgets.list_box import Column, ListRow

COLUMNS = (
    Column("Tag", 7),
    Column("Opened", 11),
    Column("Vessel, shaft"),
    Column("Customer", 15, stretch=True),
    Column("Size", 9),
    Column("State", 8),
    Column("Material", 10, wide=True),
    Column("Phone", 13, wide=True),
    Column("Complaint", wide=True),
)


def found_rows(found: Iterable[Found]) -> list[ListRow]:
    """Rows for `COLUMNS`; jobs still in the shop stand out."""
    return [
        ListRow(
            one.job_id,
            (
                one.tag,
                local_text(one.opened_at, "%d %b %Y"),
                shaft_words(one.vessel_name, one.position),
                one.customer_name,
                format_shop_size(one.diameter_in),
                one.state,
                one.material,
                one.phone,
                one.complaint,
            ),
            strong=one.state in OPEN_STATES,
        )
        for one in found
    ]


def board_rows(found: Iterable[Found]) -> list[ListRow]:
    """Results in the columns of the board: state and day in the place of the next step."""
    return [
        ListRow(
            one.job_id,
            (
                "",
                one.tag,
                shaft_words(one.vessel_name, one.position),
                one.customer_name,
                "",
                "",
                f"{one.state}, opened {local_text(one.opened_at, '%d %b %Y')}",
            ),
            strong=one.state in OPEN_STATES,
        )
        for one in found
    ]


def count_words(page: Page, listed: int) -> str:
    """How many were found, and how to see the others; '' for none."""
    if not page.total:
        return ""
    if page.near == len(page.found) == page.total:
        return f"No exact match. Closest: {many(page.total, 'job')}."
    if page.at_least:
        return f"More than {page.total - 1} jobs."
    said = f"{page.total:,} job{'' if page.total == 1 else 's'}."
    if page.near:
        said = f"{page.total - page.near} found, and {page.near} that come near."
    elif page.sure and page.sure < page.total:
        rest = page.total - page.sure
        said = f"{page.sure:,} of that time; then {rest:,} with it in a tag or phone."
    if listed < page.total:
        said += f" {listed:,} listed, Down lists more."
    return said
