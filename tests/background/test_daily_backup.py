"""The app makes the backup of the day, and says so when it cannot."""

from __future__ import annotations

from pathlib import Path

import pytest

from core.book.opening import open_book
from core.book.upkeep import copies
from tui.app import ShaftlogApp
from tui.background import daily_backup


@pytest.mark.slow
async def test_one_backup_a_day(tmp_path: Path) -> None:
    path = tmp_path / "shop.db"
    app = ShaftlogApp(path, warm=False)
    async with app.run_test() as pilot:
        for _ in range(2):
            thread = daily_backup.start(path, 5, print, 0)
            while thread.is_alive():
                await pilot.pause(0.01)
    (made,) = copies.list_backups(path)
    with open_book(made.path, read_only=True):
        pass


async def test_trouble_is_told(tmp_path: Path) -> None:
    path = tmp_path / "shop.db"
    app = ShaftlogApp(path, warm=False)
    told: list[str] = []
    async with app.run_test():
        copies.backup_folder(path).write_text("a file where the folder should be")
        daily_backup.start(path, 5, told.append, 0).join()
    assert told[0].startswith("No backup was made today")
