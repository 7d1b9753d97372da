"""Every pair of colours that is painted can be read on a Linux console and in xterm: 4.5 : 1."""

from __future__ import annotations

from pathlib import Path

import pytest
from rich.color import Color
from rich.style import Style

from tests.support.app_helpers import go, opened
from tui.widgets.canvas import CELL_STYLES, GridView, LineView

Rgb = tuple[int, int, int]
CONSOLE: list[Rgb] = [
    (0, 0, 0), (170, 0, 0), (0, 170, 0), (170, 85, 0),
    (0, 0, 170), (170, 0, 170), (0, 170, 170), (170, 170, 170),
    (85, 85, 85), (255, 85, 85), (85, 255, 85), (255, 255, 85),
    (85, 85, 255), (255, 85, 255), (85, 255, 255), (255, 255, 255),
]  # fmt: skip
XTERM: list[Rgb] = [
    (0, 0, 0), (205, 0, 0), (0, 205, 0), (205, 205, 0),
    (0, 0, 238), (205, 0, 205), (0, 205, 205), (229, 229, 229),
    (127, 127, 127), (255, 0, 0), (0, 255, 0), (255, 255, 0),
    (92, 92, 255), (255, 0, 255), (0, 255, 255), (255, 255, 255),
]  # fmt: skip
LEAST = 4.5
"""Contrast of ordinary text, WCAG 2.2, success criterion 1.4.3 (AA)."""


def luminance(colour: Rgb) -> float:
    """Relative luminance as WCAG 2.2 defines it."""
    parts = [v / 255 for v in colour]
    linear = [v / 12.92 if v <= 0.04045 else ((v + 0.055) / 1.055) ** 2.4 for v in parts]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def contrast(one: Rgb, other: Rgb) -> float:
    """Contrast ratio, 1 to 21."""
    dark, light = sorted((luminance(one), luminance(other)))
    return (light + 0.05) / (dark + 0.05)


def rgb(colour: Color | None, palette: list[Rgb], usual: int) -> Rgb:
    """A colour as a terminal with this palette shows it."""
    if colour is None or colour.is_default:
        return palette[usual]
    assert colour.number is not None, f"{colour} is none of the sixteen"
    assert colour.number < 16
    return palette[colour.number]


def weakest(style: Style) -> float:
    """The contrast of a style on the worse of the two terminals."""
    return min(
        contrast(rgb(style.color, palette, 7), rgb(style.bgcolor, palette, 0))
        for palette in (CONSOLE, XTERM)
    )


def test_contrast_is_that_of_the_standard() -> None:
    assert contrast((0, 0, 0), (255, 255, 255)) == pytest.approx(21.0)
    assert contrast((119, 119, 119), (255, 255, 255)) == pytest.approx(4.48, abs=0.005)
    assert weakest(Style(color="red")) < 2.8  # what a plain theme would paint


@pytest.mark.slow
async def test_every_pair_of_colours_can_be_read(tmp_path: Path) -> None:
    async with opened(tmp_path) as (app, pilot):
        variables = app.get_css_variables()
        for name in ("success", "error", "warning"):
            assert weakest(Style(color=variables[name].removeprefix("ansi_"))) >= LEAST
        for place in ("board", "intake", "settings", "repair", "sweep"):
            await go(app, pilot, place)
            for strip in app.screen._compositor.render_strips():
                for text, style, _ in strip:
                    if style is not None and text.strip():
                        assert weakest(style) >= LEAST, (place, text, style)
        cell: GridView = app.screen.query(LineView).first()
        for word, style in CELL_STYLES.items():
            assert weakest(cell.rich_style + style) >= LEAST, word
