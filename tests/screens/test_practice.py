"""The practice shaft by keys alone, doing what its line of advice says."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from textual.pilot import Pilot

from core.book.settings import ShopSettings
from tests.support.app_helpers import SMALL, text, type_text, worked_out
from tui.practice import PracticeApp, practice_app, practice_folder

MOST_KEYS = 170
"""At two keys a second well under two minutes; the target is five."""
DONE = "F12 ends the practice"
ADVISED = (
    (r"Type its number (\d+), then Enter", None),
    (r"the dial shows (\S+)\. Type it, then Enter", None),
    (r"Type (\S+), then Enter|type (\S+), then Enter", None),
    (r"Enter takes|Enter opens the one marked NEXT|how far. Enter", ("enter",)),
    (r"F7 takes its offer", ("f7",)),
    (r"F12, then 1", ("f12",)),
    (r"press (\d)", None),
    (r"F12 starts reading|F12 goes back", ("f12",)),
    (r"F10 shows the card", ("f10",)),
    (r"F6 starts", ("f6",)),
    (r"Esc to the board|Esc goes to the board", ("escape",)),
)
"""What the advice says -> keys; without keys the digits it names, then Enter where it says so."""


def advice(app: PracticeApp) -> str:
    found = re.search(r"PRACTICE: (.*?)(?:\n.*)?$", text(app), re.MULTILINE)
    assert found, text(app)
    return found[1].strip()


async def follow(app: PracticeApp, pilot: Pilot[None]) -> int:
    """Do what the advice says; how many keys that took."""
    words = advice(app)
    for pattern, keys in ADVISED:
        if found := re.search(pattern, words):
            if keys is not None:
                await pilot.press(*keys)
                return len(keys)
            typed = next(group for group in found.groups() if group)
            await type_text(pilot, typed)
            enter = "Enter" in found[0]
            if enter:
                await pilot.press("enter")
            return len(typed) + enter
    raise AssertionError(f"nothing to do: {words!r}")


async def test_the_practice_shows_its_line_on_the_real_board(tmp_path: Path) -> None:
    app = practice_app(str(tmp_path), ShopSettings(), ascii=False)
    try:
        async with app.run_test(size=SMALL) as pilot:
            app.look()
            await pilot.pause()
            assert "Type its number 01" in advice(app)
            assert "Practice shaft" in text(app)
    finally:
        app.close_book()


@pytest.mark.slow
async def test_the_whole_practice_by_its_own_advice() -> None:
    with practice_folder() as folder:
        app = practice_app(folder, ShopSettings(), ascii=False)
        keys, slips = 0, 0
        try:
            async with app.run_test(size=SMALL) as pilot:
                while True:
                    await worked_out(app, pilot)
                    app.look()
                    await pilot.pause()
                    words = advice(app)
                    if DONE in words and "that was it" in words:
                        break
                    slips += "F7 takes" in words or "F7 goes there" in words
                    if "one moment" not in words:
                        keys += await follow(app, pilot)
                    for _ in range(100 if "(-86.5)" in words else 0):  # it waits for keys first
                        await pilot.pause(0.1)
                        app.look()
                        if "F7" in advice(app):
                            break
                    assert keys <= MOST_KEYS, words
        finally:
            app.close_book()
        assert slips
    assert not Path(folder).exists()
