"""From the first start to the first reading, key by key."""

from __future__ import annotations

from pathlib import Path

import pytest

from core.book import history, jobs, settings
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


METRIC = (
    *"Harbor", "enter", "4", "enter",  # a dial of 0.01 mm
    *"50", "enter", *"2640", "enter", *"350", "enter", *"2240", "enter", "f12",
    "0", "full_stop", "0", "2", "enter",
)  # fmt: skip


async def test_a_metric_shop_types_millimetres(tmp_path: Path) -> None:
    """Found: with a metric dial '50' was refused as 50 inches."""
    app = ShaftlogApp(tmp_path / "shop.db", warm=False, welcome=True)
    try:
        async with app.run_test(size=SMALL) as pilot:
            await pilot.pause()
            await pilot.pause()
            await pilot.press(*METRIC)
            await pilot.pause()
            job = jobs.open_jobs(app.book)[0]
            shaft = history.shaft_of(app.book, job)
            sweep = sweeps_of(app.book, job.id)[0]
            shown = (shaft.diameter_in, shaft.length_in, sweep.roller_a_in, sweep.roller_b_in)
            assert [round(25.4 * one, 6) for one in shown] == [50, 2640, 350, 2240]
            taken = readings_of(app.book, sweep.id)
            assert [one.value_in for one in taken] == [pytest.approx(0.02 / 25.4)]
    finally:
        app.close_book()
