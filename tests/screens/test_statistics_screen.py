"""The shop's figures by keys: pages, opening a job, the file, leaving while it works."""

from __future__ import annotations

from pathlib import Path

import pytest
from textual.pilot import Pilot

from core.base.errors import ShaftlogError
from tests.support import straightened_book
from tests.support.app_helpers import message, opened, text
from tui.app import ShaftlogApp


async def _figures(app: ShaftlogApp, pilot: Pilot[None]) -> None:
    """F6 on the board, and wait until the thread is through."""
    await pilot.press("f6")
    await app.workers.wait_for_complete()
    await pilot.pause()


@pytest.mark.slow
async def test_pages_a_job_and_the_file(tmp_path: Path) -> None:
    straightened_book.make(tmp_path / "shop.db")
    async with opened(tmp_path) as (app, pilot):
        assert "F6 Figures" in text(app)
        assert "F7 By due" in text(app)
        await _figures(app, pilot)
        assert "the owner's answer" in text(app)
        for key, words in (
            ("2", ("S31600", "press", "few", "1 of 1 job with hits")),
            ("3", ("25-001", "2.0", "0.6", "1 job only", "a gap over 30 min")),
            ("4", ("2025", "1 of 2: too few for a share")),
        ):
            await pilot.press(key)
            await pilot.pause()
            shown = " ".join(text(app).split())
            assert all(word in shown for word in words), text(app)
        await pilot.press("f12")
        await pilot.pause()
        assert "Written" in message(app)
        (file,) = (tmp_path / "exports").glob("shop-figures-*.csv")
        assert "took,25-001,0.627,h" in file.read_text()
        await pilot.press("1", "enter")
        await pilot.pause()
        assert app.screen.HEADING == "Job card"
        assert "25-004" in text(app)


@pytest.mark.slow
async def test_trouble_in_words_and_no_file_before_it_is_ready(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refuse(*_: object, **__: object) -> None:
        raise ShaftlogError("The book is in use. Try again.")

    monkeypatch.setattr("tui.screens.statistics.statistics.bench_figures_of", refuse)
    async with opened(tmp_path) as (app, pilot):
        await _figures(app, pilot)
        assert "The book is in use" in message(app)
        assert "Gannet" in text(app)  # what could be read stands all the same
        await pilot.press("f12")
        await pilot.pause()
        assert "not ready" in message(app)
        assert not (tmp_path / "exports").exists()


@pytest.mark.slow
async def test_leaving_at_once_stops_the_work(tmp_path: Path) -> None:
    straightened_book.make(tmp_path / "shop.db")
    async with opened(tmp_path) as (app, pilot):
        for _ in range(2):
            await pilot.press("4", "3", "escape")
        await app.workers.wait_for_complete()
        await pilot.pause()
        assert app.is_running
        assert app.screen.HEADING.startswith("Shaftlog")
