"""A screen styled and laid out once looks as if the library had done it three times."""

from __future__ import annotations

from pathlib import Path

import pytest
from textual.geometry import Region
from textual.screen import Screen
from textual.widget import Widget

from tests.support.app_helpers import LARGE, SMALL, go, opened, resize
from tui.app import ShaftlogApp


def styles_of(screen: Screen[object]) -> dict[Widget, dict[str, object]]:
    """The rules that each widget follows."""
    return {one: dict(one.styles.base.get_rules()) for one in screen.walk_children(with_self=True)}


def places_of(screen: Screen[object]) -> dict[Widget, Region]:
    """Where each widget is."""
    return {widget: found.region for widget, found in screen._compositor.full_map.items()}


def assert_as_if_done_again(app: ShaftlogApp) -> None:
    """Styles and places of the screen on top do not change when all is worked out again."""
    screen = app.screen
    styles, places = styles_of(screen), places_of(screen)
    screen.update_node_styles(animate=False)
    screen._refresh_layout(app.size)
    assert styles_of(screen) == styles
    assert places_of(screen) == places


@pytest.mark.slow
@pytest.mark.parametrize("size", [SMALL, LARGE])
async def test_screens_and_a_box(tmp_path: Path, size: tuple[int, int]) -> None:
    async with opened(tmp_path, size) as (app, pilot):
        assert_as_if_done_again(app)
        for place in ("card", "intake", "sweep_setup", "straighten", "release", "plot"):
            await go(app, pilot, place)
            assert_as_if_done_again(app)
        await pilot.press("f2")
        await pilot.pause()
        assert_as_if_done_again(app)
        await resize(app, pilot, LARGE if size == SMALL else SMALL)
        await pilot.press("escape")
        await pilot.pause()
        assert app.screen.size == app.size
        assert_as_if_done_again(app)
