"""The rose of one station: readings round the shaft as seen from the coupling end."""

from __future__ import annotations

import math
from dataclasses import dataclass

from tui.widgets.canvas import Canvas, GridView


@dataclass(frozen=True)
class RoseMark:
    """One mark round the shaft."""

    clock_deg: float
    value: float | None = None
    """The reading, in any unit; None = not read."""
    state: str = "read"
    """'read', 'odd' (may be a slip), 'blocked', 'unread' or 'next'."""


@dataclass(frozen=True)
class Rose:
    """One station's marks, the fitted curve through them and the high spot."""

    marks: tuple[RoseMark, ...] = ()
    curve: tuple[tuple[float, float], ...] = ()
    """(clock in degrees, fitted reading) all the way round, in the unit of the marks."""
    high_spot_deg: float | None = None
    caption: str = ""


_SIGNS = {"read": ("o", ""), "odd": ("?", "doubt"), "blocked": ("x", "dim")}
_WAITING = {"unread": ("·", "dim"), "next": ("+", "picked")}


def _spread(rose: Rose) -> tuple[float, float]:
    """Middle and half width of everything that will be drawn; odd readings do not count."""
    curve = [value for _, value in rose.curve if math.isfinite(value)]
    sound = [
        m.value
        for m in rose.marks
        if m.value is not None and m.state == "read" and math.isfinite(m.value)
    ]
    values = curve + sound
    if not values:
        return 0.0, 0.0
    return (max(values) + min(values)) / 2, (max(values) - min(values)) / 2


def draw_rose(rose: Rose, width: int, height: int, *, ascii_only: bool = False) -> Canvas:
    """The rose in a box of cells; a cell is taken to be twice as high as wide."""
    canvas = Canvas(width, height, ascii_only=ascii_only)
    top = 1 if rose.caption else 0
    canvas.put(0, 0, rose.caption[:width], "strong")
    rows = height - top
    radius = min((rows - 3) / 2, (width - 12) / 4)
    if radius < 1.5 or not rose.marks:
        return canvas
    middle_x, middle_y = (width - 1) / 2, top + (rows - 1) / 2
    level, swing = _spread(rose)

    def cell(clock_deg: float, distance: float) -> tuple[int, int]:
        turn = math.radians(clock_deg)
        x = middle_x + 2 * radius * distance * math.sin(turn)
        return round(x), round(middle_y - radius * distance * math.cos(turn))

    def out(value: float) -> float:
        """Distance from the middle for a reading; a wild one sits at the rim."""
        if swing <= 0 or not math.isfinite(value):
            return 0.7
        return min(max(0.7 + 0.3 * (value - level) / swing, 0.15), 1.0)

    for clock_deg, value in rose.curve:
        canvas.put(*cell(clock_deg, out(value)), "·", "dim")
    canvas.put(round(middle_x), round(middle_y), "+", "dim")
    for mark in rose.marks:
        sign, style = (_WAITING | _SIGNS).get(mark.state, ("o", ""))
        distance = 0.7 if mark.value is None else out(mark.value)
        canvas.put(*cell(mark.clock_deg, distance), sign, style)
    _rim(canvas, rose, middle_x, middle_y, radius)
    return canvas


def _rim(canvas: Canvas, rose: Rose, x: float, y: float, radius: float) -> None:
    """Clock figures outside the circle, and H at the high spot."""
    canvas.put_centred(round(x), round(y - radius - 1), "0", "dim")
    canvas.put_centred(round(x), round(y + radius + 1), "180", "dim")
    canvas.put(round(x + 2 * radius + 3), round(y), "90", "dim")
    canvas.put_right(round(x - 2 * radius - 2), round(y), "270", "dim")
    if rose.high_spot_deg is not None and math.isfinite(rose.high_spot_deg):
        turn = math.radians(rose.high_spot_deg)
        at_x = round(x + (2 * radius + 1) * math.sin(turn))
        at_y = round(y - (radius + 0.5) * math.cos(turn))
        canvas.put(at_x, at_y, "H", "first")


class RoseView(GridView):
    """The rose as a widget; `show(rose)` repaints what changed."""

    def __init__(self, *, id: str | None = None) -> None:
        super().__init__(id=id)
        self.rose = Rose()

    def show(self, rose: Rose) -> None:
        """Show another station, or the same with one more reading."""
        self.rose = rose
        self.redraw()

    def draw(self, width: int, height: int) -> Canvas:
        """The rose at this size."""
        return draw_rose(self.rose, width, height, ascii_only=self.ascii_only)
