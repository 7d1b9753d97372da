"""What is found from the board stands in the columns of the board."""

from __future__ import annotations

from pathlib import Path

from core.jobs.find_jobs import find_jobs
from tests.support.book_helpers import add_job, open_fixed
from tui.screens.board.board import BoardScreen
from tui.screens.board.search_rows import board_rows


def test_found_rows_have_the_cells_of_the_board(tmp_path: Path) -> None:
    with open_fixed(tmp_path / "shop.db") as book:
        small = add_job(book)
        (row,) = board_rows(find_jobs(book, small.job.tag).found)
    titles = [column.title for column in BoardScreen.COLUMNS]
    cells = dict(zip(titles, row.cells, strict=True))
    assert cells["Tag"] == small.job.tag
    assert cells["Customer"] == small.customer.name
    assert cells["Due"] == ""
    assert cells["Next step"].startswith("open, opened ")
