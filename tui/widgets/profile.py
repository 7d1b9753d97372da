"""The profile so far: a column of TIR for each station over a line drawing of the shaft."""

from __future__ import annotations

import math
from dataclasses import dataclass

from core.base.units import format_dial
from tui.widgets.canvas import Canvas, GridView
from tui.widgets.shaft_picture import ShaftSketch, column_of, roller_row, scale_row, shaft_row


@dataclass(frozen=True)
class ProfileBar:
    """One station of the profile."""

    station_in: float
    tir_in: float | None = None
    """TIR, inches; None = not read yet."""
    style: str = ""
    """Style word of the verdict here: 'good', 'bad' or 'doubt'."""
    odd: bool = False
    """Whether a reading of the station looks like a slip: marked with ?"""


@dataclass(frozen=True)
class Profile:
    """TIR along the shaft, the limit, and the shaft below."""

    sketch: ShaftSketch
    bars: tuple[ProfileBar, ...] = ()
    limit_in: float | None = None
    """TIR limit, inches, drawn as a line."""


def _top(profile: Profile) -> float:
    """The TIR that fills the height."""
    tirs = [b.tir_in for b in profile.bars if b.tir_in is not None and math.isfinite(b.tir_in)]
    highest = max(tirs, default=0.0)
    if profile.limit_in is not None and math.isfinite(profile.limit_in):
        highest = max(highest, profile.limit_in)
    return highest


def draw_profile(profile: Profile, width: int, height: int, *, ascii_only: bool = False) -> Canvas:
    """Columns of TIR above the shaft, its rollers and a scale (three rows at the bottom)."""
    canvas = Canvas(width, height, ascii_only=ascii_only)
    rows = height - 3
    if rows < 2 or width < 20:
        return canvas
    gutter = 6
    plot = Canvas(width - gutter, height, ascii_only=ascii_only)
    top = _top(profile)
    if profile.limit_in is not None and top > 0:
        y = _row_of(profile.limit_in, top, rows)
        plot.row(0, y, plot.width, "-", "dim")
        canvas.put_right(gutter - 1, y, format_dial(profile.limit_in, 1, unit=False), "dim")
    for bar in profile.bars:
        _draw_bar(plot, bar, top, rows, profile.sketch.length_in)
    shaft_row(plot, rows, profile.sketch)
    roller_row(plot, rows + 1, profile.sketch)
    scale_row(plot, rows + 2, profile.sketch.length_in)
    canvas.paste(plot, gutter, 0)
    if top > 0 and canvas.is_free(0, 0, gutter - 1):
        canvas.put_right(gutter - 1, 0, format_dial(top, 1, unit=False), "dim")
    return canvas


def _row_of(tir: float, top: float, rows: int) -> int:
    """The row in which a TIR ends."""
    return rows - max(1, math.ceil(min(tir / top, 1.0) * rows - 1e-9)) if top > 0 else rows - 1


def _draw_bar(plot: Canvas, bar: ProfileBar, top: float, rows: int, length_in: float) -> None:
    """One station: its column in half cells, or a dot where nothing was read."""
    x = column_of(bar.station_in, length_in, plot.width)
    if bar.tir_in is None or not math.isfinite(bar.tir_in):
        plot.put(x, rows - 1, "·", "dim")
        return
    halves = max(1, round(min(max(bar.tir_in / top, 0.0), 1.0) * rows * 2)) if top > 0 else 1
    plot.column(x, rows - halves // 2, halves // 2, "█", bar.style)
    if halves % 2:
        plot.put(x, rows - halves // 2 - 1, "▄", bar.style)
    if bar.odd:
        plot.put(x, max(rows - (halves + 1) // 2 - 1, 0), "?", "doubt")


class ProfileView(GridView):
    """The profile as a widget; `show(profile)` repaints what changed."""

    def __init__(self, *, id: str | None = None) -> None:
        super().__init__(id=id)
        self.profile: Profile | None = None

    def show(self, profile: Profile | None) -> None:
        """Show the profile with what is known now."""
        self.profile = profile
        self.redraw()

    def draw(self, width: int, height: int) -> Canvas:
        """The profile at this size."""
        if self.profile is None:
            return Canvas(width, height, ascii_only=self.ascii_only)
        return draw_profile(self.profile, width, height, ascii_only=self.ascii_only)
