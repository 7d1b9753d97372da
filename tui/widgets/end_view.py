"""The shaft seen from the coupling end: where the centre of each section wanders."""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import pairwise

from core.base.units import format_dial
from tui.widgets.canvas import Canvas, GridView


@dataclass(frozen=True)
class EndPoint:
    """The centre of one section, or a bend: inches off the axis towards clock 0 and clock 90."""

    toward_0_in: float
    toward_90_in: float
    label: str = ""
    """Written beside the point: a station, a number."""
    sign: str = "o"
    style: str = ""


@dataclass(frozen=True)
class EndView:
    """Points round the axis, a circle for the limit, and the distance a radius means."""

    points: tuple[EndPoint, ...] = ()
    limit_radius_in: float | None = None
    """Radius of the circle of the limit (half the TIR limit), inches."""
    joined: bool = True
    """Whether points follow each other along the shaft and a line joins them."""


def _finite(point: EndPoint) -> bool:
    return math.isfinite(point.toward_0_in) and math.isfinite(point.toward_90_in)


def _reach(view: EndView) -> float:
    """The distance from the axis at the rim."""
    far = [math.hypot(p.toward_0_in, p.toward_90_in) for p in view.points if _finite(p)]
    limit = view.limit_radius_in or 0.0
    reach = max([*far, limit if math.isfinite(limit) else 0.0])
    return reach if reach > 0 else 1.0


def draw_end_view(view: EndView, width: int, height: int, *, ascii_only: bool = False) -> Canvas:
    """Circle of the limit, points and their path; 0 is up, 90 to the right."""
    canvas = Canvas(width, height, ascii_only=ascii_only)
    radius = min((height - 3) / 2, (width - 12) / 4)
    if radius < 2:
        return canvas
    x0, y0 = (width - 1) / 2, (height - 1) / 2
    reach = _reach(view)

    def cell(toward_0_in: float, toward_90_in: float) -> tuple[int, int]:
        x = round(x0 + 2 * radius * toward_90_in / reach)
        return x, round(y0 - radius * toward_0_in / reach)

    _axes(canvas, x0, y0, radius)
    if view.limit_radius_in and math.isfinite(view.limit_radius_in):
        for step in range(0, 360, 5):
            turn, limit = math.radians(step), view.limit_radius_in
            canvas.put(*cell(limit * math.cos(turn), limit * math.sin(turn)), "·", "dim")
    points = [p for p in view.points if _finite(p)]
    cells = [cell(p.toward_0_in, p.toward_90_in) for p in points]
    if view.joined:
        for one, two in pairwise(cells):
            _path(canvas, one, two)
    for point, spot in zip(points, cells, strict=True):
        canvas.put(*spot, point.sign, point.style or "strong")
    for point, spot in zip(points, cells, strict=True):
        _label(canvas, *spot, point.label)
    rim = f"rim {format_dial(reach)}"
    in_full = f"{rim} off centre"
    fits = len(in_full) < round(x0) - 2  # the 180 of the clock may be on the same row
    canvas.put(0, height - 1, in_full if fits else rim, "dim")
    return canvas


def _axes(canvas: Canvas, x0: float, y0: float, radius: float) -> None:
    """Cross hairs and the clock figures at the rim."""
    left, right = round(x0 - 2 * radius), round(x0 + 2 * radius)
    top, bottom = round(y0 - radius), round(y0 + radius)
    canvas.row(left, round(y0), right - left + 1, "─", "dim")
    canvas.column(round(x0), top, bottom - top + 1, "│", "dim")
    canvas.put(round(x0), round(y0), "┼", "dim")
    canvas.put_centred(round(x0), top - 1, "0", "dim")
    canvas.put_centred(round(x0), bottom + 1, "180", "dim")
    canvas.put(right + 2, round(y0), "90", "dim")
    canvas.put_right(left - 1, round(y0), "270", "dim")


def _path(canvas: Canvas, start: tuple[int, int], end: tuple[int, int]) -> None:
    """Dots between two neighbours along the shaft."""
    steps = max(abs(end[0] - start[0]), abs(end[1] - start[1]))
    for step in range(1, steps):
        x = round(start[0] + (end[0] - start[0]) * step / steps)
        y = round(start[1] + (end[1] - start[1]) * step / steps)
        canvas.put(x, y, "·")


def _label(canvas: Canvas, x: int, y: int, label: str) -> None:
    """The label beside its point, where there is room for it."""
    if not label:
        return
    for at in ((x + 1, y), (x - len(label), y), (x, y - 1), (x, y + 1)):
        if canvas.is_free(*at, len(label)):
            canvas.put(*at, label)
            return


class EndViewer(GridView):
    """The end view as a widget; `show(view)` repaints what changed."""

    def __init__(self, *, id: str | None = None) -> None:
        super().__init__(id=id)
        self.view = EndView()

    def show(self, view: EndView) -> None:
        """Show other points."""
        self.view = view
        self.redraw()

    def draw(self, width: int, height: int) -> Canvas:
        """The end view at this size."""
        return draw_end_view(self.view, width, height, ascii_only=self.ascii_only)
