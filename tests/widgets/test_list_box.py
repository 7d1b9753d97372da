"""Columns of a list: who gets the room."""

from __future__ import annotations

import pytest
from textual.app import App, ComposeResult

from tui.widgets.list_box import Column, ListBox, ListRow

COLUMNS = (Column("No", 2), Column("Vessel"), Column("Customer", 9, stretch=True), Column("Next"))
ROWS = (
    ListRow("1", ("01", "Tin Pelican", "Gudrun Pellworth", "Key")),
    ListRow("2", ("02", "Heron", "A. Crake", "Sweep as received: go on, 76 readings taken so far")),
)


class ListApp(App[None]):
    """Nothing but the list."""

    def compose(self) -> ComposeResult:
        """The list."""
        yield ListBox(COLUMNS)


@pytest.mark.parametrize(
    ("cells", "widths"),
    [
        (80, [2, 33, 9, 33]),
        (120, [2, 11, 16, 88]),  # found: 39 for the customer, and the next step cut
        (60, [2, 23, 9, 23]),
    ],
)
async def test_a_wide_list_gives_the_room_to_what_needs_it(cells: int, widths: list[int]) -> None:
    app = ListApp()
    async with app.run_test(size=(cells, 10)):
        box = app.query_one(ListBox)
        box.show(ROWS)
        assert box.widths() == widths
        assert sum(box.widths()) + len(widths) - 1 == cells
