"""At 140 columns and 44 rows the screens use the room; at 80x24 they stay as they were."""

from __future__ import annotations

import re
import shutil
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from datetime import UTC, datetime
from pathlib import Path

import pytest
from textual.geometry import Size
from textual.pilot import Pilot
from textual.widgets import Static

from core.book import jobs
from core.book.opening import open_book
from tests.support.app_helpers import SMALL, lines, text, worked_out
from tests.support.golden import ROOT
from tui.app import ShaftlogApp
from tui.screens.board.visits import look_back
from tui.screens.straightening.straighten_rows import deal_rows
from tui.screens.sweep.sweep_views import AreaDisplay, area_lines
from tui.widgets.list_box import Column, ListBox
from tui.widgets.shaft_picture import ShaftPicture

ROOMY = (140, 44)
NOW = datetime(2026, 2, 12, 14, 30, tzinfo=UTC)


@asynccontextmanager
async def demo(
    folder: Path, size: tuple[int, int], place: str = ""
) -> AsyncIterator[tuple[ShaftlogApp, Pilot[None]]]:
    """The app on a copy of the demo, at a screen of job 26-008."""
    shutil.copyfile(ROOT / "demo.db", folder / "demo.db")
    book = open_book(folder / "demo.db", now=lambda: NOW)
    app = ShaftlogApp(folder / "demo.db", clock=NOW.timestamp, warm=False, book=book)
    try:
        async with app.run_test(size=size) as pilot:
            await worked_out(app, pilot)
            if place:
                app.go(place, jobs.job_by_tag(book, "26-008").id)
            for _ in range(4):
                await worked_out(app, pilot)
            yield app, pilot
    finally:
        app.close_book()


@pytest.mark.parametrize(("narrow", "wide"), [(True, False), (False, True), (False, False)])
def test_a_column_for_one_width_alone(
    narrow: bool, wide: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    columns = (Column("No", 2), Column("Due", 6, narrow=narrow, wide=wide))
    for width, shown in ((80, not wide), (140, not narrow)):
        monkeypatch.setattr(ListBox, "size", Size(width, 5))
        assert (1 in ListBox(columns).shown()) == shown


@pytest.mark.slow
async def test_the_board_says_customer_and_due_in_full(tmp_path: Path) -> None:
    async with demo(tmp_path, ROOMY) as (app, _):
        assert "Quillbight Ferries (invented)" in text(app)
        assert re.search(
            r"(Mon|Tue|Wed|Thu|Fri|Sat|Sun) \d\d \w{3}, (in \d+ days|today)", text(app)
        )


@pytest.mark.slow
async def test_straighten_draws_the_line_after_each_hit_and_the_ram(tmp_path: Path) -> None:
    async with demo(tmp_path, ROOMY, "straighten") as (app, pilot):
        assert "TIR along the shaft: o now" in text(app)
        assert "RAM 176" in text(app)
        await pilot.press("down")
        await worked_out(app, pilot)
        assert "RAM 198" in text(app)
    async with demo(tmp_path, SMALL, "straighten") as (app, _):
        assert "RAM" not in text(app)


@pytest.mark.slow
async def test_visits_lays_then_over_now_without_a_key(tmp_path: Path) -> None:
    async with demo(tmp_path, ROOMY, "visits") as (app, _):
        assert re.search(r"TIR: o as received .* x 24-018 as received", text(app))
    async with demo(tmp_path, SMALL, "visits") as (app, _):
        assert "TIR: o" not in text(app)


@pytest.mark.slow
async def test_release_shows_the_paper_beside_the_list(tmp_path: Path) -> None:
    async with demo(tmp_path, ROOMY, "release") as (app, _):
        beside = [line for line in lines(app) if "IN THE WAY" in line]
        assert beside
        assert "invented" in "".join(beside)
        assert "Key: key and keyways" in text(app)
        assert "more, see the ticket" not in text(app)


@pytest.mark.slow
async def test_the_picture_of_the_shaft_takes_the_rows_that_are_left(tmp_path: Path) -> None:
    async with demo(tmp_path, SMALL, "straighten") as (app, pilot):
        headline = app.screen.query_one("#headline", Static)
        for rows, bar, ends in ((6, False, False), (5, True, False), (2, True, True)):
            headline.update("\n".join(["MIND"] * rows))
            for _ in range(4):  # laid out, dealt out, laid out again
                await pilot.pause()
            shown = lines(app)
            app.screen.say("as many words as make two lines of this message " * 2)
            for _ in range(4):
                await pilot.pause()
            assert lines(app)[:20] == shown[:20], "a long message moves nothing"
            app.screen.say("")
            words = "\n".join(shown)
            assert ("═══" in words, "propeller end" in words) == (bar, ends), rows
            assert (" 24  " in words) == bar, "the bar and its scale, or neither"
            assert "extinguisher at hand." in words


@pytest.mark.slow
async def test_no_rows_are_dealt_out_on_a_screen_that_is_being_closed(tmp_path: Path) -> None:
    async with demo(tmp_path, SMALL, "straighten") as (app, _):
        straighten = app.screen
        for part in straighten.query(".body > *"):
            part.display = False  # as the framework has it while they close
        deal_rows(straighten)
        assert not straighten.query_one(ShaftPicture).display


def test_the_only_visit_of_a_shaft_is_drawn_alone(tmp_path: Path) -> None:
    """Found: half of the screen stayed empty."""
    shutil.copyfile(ROOT / "demo.db", tmp_path / "demo.db")
    with open_book(tmp_path / "demo.db") as book:
        alone = jobs.job_by_tag(book, "26-006").id
        _, drawn = look_back(book, visits=(alone,), chosen="", draw=True)
        assert drawn is not None
        assert drawn.asked.choice.other_id == ""


@pytest.mark.parametrize(("cells", "name"), [(28, "propeller tap"), (60, "propeller taper")])
def test_the_verdicts_of_a_sweep_leave_the_names_what_room_there_is(cells: int, name: str) -> None:
    """Found: 'strut bear', 'propeller ' on a screen of 140 columns."""
    areas = (
        AreaDisplay("propeller taper", "not measured", None, 0.002),
        AreaDisplay("between", "not true", 0.1, 0.002),
    )
    assert (f"{name} not measured", "dim") in area_lines(areas, "thou", cells)
