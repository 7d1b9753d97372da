"""From the first start to the first reading, key by key."""

from __future__ import annotations

from pathlib import Path

from core.book import jobs, settings
from core.book.readings import readings_of
from core.book.sweeps import sweeps_of
from tests.support.app_helpers import SMALL
from tui.app import ShaftlogApp

KEYS = (
    *"Harbor", "enter", "enter",  # the shop and its dial
    "2", "enter", *"104", "enter", *"14", "enter", *"88", "enter", "f12",  # the shaft
    "0", "enter",
)  # fmt: skip
MOST_KEYS = 25


async def test_the_first_reading_is_a_few_keys_away(tmp_path: Path) -> None:
    """Found: 41 keys over seven screens."""
    app = ShaftlogApp(tmp_path / "shop.db", warm=False, welcome=True)
    try:
        async with app.run_test(size=SMALL) as pilot:
            await pilot.pause()
            await pilot.pause()
            await pilot.press(*KEYS)
            await pilot.pause()
            job = jobs.open_jobs(app.book)[0]
            taken = readings_of(app.book, sweeps_of(app.book, job.id)[0].id)
            assert [one.value_in for one in taken] == [0.0]
            assert settings.load(app.book).shop_name == "Harbor"
            assert len(KEYS) <= MOST_KEYS
    finally:
        app.close_book()
