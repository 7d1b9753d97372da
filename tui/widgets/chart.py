"""The only door to plotext: charts along the shaft, safe against every value.

plotext 6 draws in native code that ends the whole process on NaN and takes memory in proportion
to how far a point lies outside the limits. So nothing but finite numbers inside finite limits
goes through here: lines are split at gaps and cut at the limits, and what lies outside gets a
mark (^ v < >) on the edge, never hidden. Call it on the main thread only.
"""

from __future__ import annotations

import math
import threading
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

from tui.widgets.canvas import Canvas, GridView

_LARGEST = 1e12
_MOST_POINTS = 5000
_SMALLEST = (16, 6)
_NICE = (1.0, 2.0, 2.5, 5.0, 10.0)


@dataclass(frozen=True)
class Series:
    """One set of points; a point may be missing (None) or not a number, which makes a gap."""

    x: tuple[float | None, ...]
    y: tuple[float | None, ...]
    marker: str = "o"
    """One ASCII character, also used in the legend; empty = only the line."""
    joined: bool = True
    """Whether a dotted line joins neighbours."""
    style: str = ""
    """Style word of the marker's cells."""


@dataclass(frozen=True)
class ChartLabel:
    """A word written into the chart at a place."""

    x: float
    y: float
    text: str
    style: str = "strong"


@dataclass(frozen=True)
class Chart:
    """What to draw; limits left out are taken from the points."""

    series: tuple[Series, ...] = ()
    x_limits: tuple[float, float] | None = None
    y_limits: tuple[float, float] | None = None
    across: tuple[tuple[float, str], ...] = ()
    """(y, style word) of lines across the whole chart, such as a limit."""
    down: tuple[tuple[float, str, str], ...] = ()
    """(x, character, style word) of lines down the whole chart, such as a roller or the cursor."""
    stretches: tuple[tuple[float, float, float, str, str], ...] = ()
    """(from x, to x, y, character, style word) of level lines, such as the limit of one area."""
    notes: tuple[ChartLabel, ...] = ()
    x_per: float = 1.0
    """What one unit of x is in the unit of the scale: 25.4 to show inches in mm."""


def _number(value: object) -> float | None:
    """A finite number of a size plotext can stand, or None."""
    if not isinstance(value, int | float) or isinstance(value, bool):
        return None
    try:
        number = float(value)
    except OverflowError:
        return None
    return number if abs(number) <= _LARGEST else None  # also false for NaN


def _points(series: Series) -> list[tuple[float, float] | None]:
    """Sound points in order, None where there is a gap."""
    pairs = zip(series.x[:_MOST_POINTS], series.y[:_MOST_POINTS], strict=False)
    numbers = ((_number(x), _number(y)) for x, y in pairs)
    return [None if x is None or y is None else (x, y) for x, y in numbers]


def _limits(given: tuple[float, float] | None, values: list[float]) -> tuple[float, float]:
    """Sound limits, lower before upper, with some width."""
    if given is not None:
        low, high = (_number(v) for v in given)
        if low is not None and high is not None and high > low and _wide_enough(low, high):
            return low, high
    low, high = (min(values), max(values)) if values else (0.0, 1.0)
    room = (high - low) * 0.05 or max(abs(high) * 0.05, 1e-3)
    return low - room, high + room


def _wide_enough(low: float, high: float) -> bool:
    """Whether the limits are further apart than the arithmetic can tell."""
    return high - low > 1e-9 * max(abs(low), abs(high), 1e-3)


def nice_ticks(low: float, high: float, most: int) -> list[float]:
    """Round numbers between two limits, not more than `most`."""
    span = high - low
    if not span > 0 or not math.isfinite(span) or most < 1:
        return []
    rough = span / most
    scale = 10.0 ** math.floor(math.log10(rough))
    step = next((n * scale for n in _NICE if n * scale >= rough * (1 - 1e-9)), 10 * scale)
    first = math.ceil(low / step - 1e-9)
    count = min(int((high - first * step) / step + 1e-9) + 1, most + 2)
    return [(first + n) * step for n in range(max(count, 0))]


def tick_text(value: float) -> str:
    """A tick's figure without needless digits."""
    return f"{value:.6g}" if abs(value) > 1e-9 else "0"


def _cut(
    one: tuple[float, float],
    two: tuple[float, float],
    x_lim: tuple[float, float],
    y_lim: tuple[float, float],
) -> tuple[tuple[float, float], tuple[float, float]] | None:
    """The part of a stretch that lies inside the limits (Liang and Barsky's method)."""
    dx, dy = two[0] - one[0], two[1] - one[1]
    start, end = 0.0, 1.0
    edges = (
        (-dx, one[0] - x_lim[0]),
        (dx, x_lim[1] - one[0]),
        (-dy, one[1] - y_lim[0]),
        (dy, y_lim[1] - one[1]),
    )
    for slope, room in edges:
        if slope == 0:
            if room < 0:
                return None
        elif slope < 0:
            start = max(start, room / slope)
        else:
            end = min(end, room / slope)
    if start > end:
        return None
    return (
        (one[0] + start * dx, one[1] + start * dy),
        (one[0] + end * dx, one[1] + end * dy),
    )


def _inside(value: float, limits: tuple[float, float]) -> float:
    return min(max(value, limits[0]), limits[1])


def _figure(width: int, height: int) -> Any:
    """plotext's one figure, emptied and set to a size; loads plotext on first use."""
    import plotext

    if threading.current_thread() is not threading.main_thread():
        raise RuntimeError("charts are drawn on the main thread only")
    plotext.terminal.limit(False, False)
    figure = plotext.figure
    figure.clear()
    figure.plot_size(width, height)
    figure.theme("colorless")
    return figure


def draw_chart(chart: Chart, width: int, height: int, *, ascii_only: bool = False) -> Canvas:
    """The chart as a canvas; too small a space gives an empty one."""
    canvas = Canvas(width, height, ascii_only=ascii_only)
    if width < _SMALLEST[0] or height < _SMALLEST[1]:
        return canvas
    sound = [[p for p in _points(s) if p is not None] for s in chart.series]
    x_lim = _limits(chart.x_limits, [x for points in sound for x, _ in points])
    y_lim = _limits(chart.y_limits, [y for points in sound for _, y in points])
    figure = _figure(width, height)
    for name, limits, most in (("x", x_lim, width // 9), ("y", y_lim, max(height // 3, 2))):
        per = chart.x_per if name == "x" else 1.0
        ticks = nice_ticks(limits[0] * per, limits[1] * per, most)
        ruler = figure.ruler(name)
        ruler.lim(*limits)
        if ticks:
            ruler.ticks([t / per for t in ticks], [tick_text(t) for t in ticks])
    for series in chart.series:
        for one, two in _stretches(series, x_lim, y_lim):
            figure.draw(figure.signal([one[0], two[0]], [one[1], two[1]], marker=".").lines())
    for y, _ in chart.across:
        if (number := _number(y)) is not None and y_lim[0] <= number <= y_lim[1]:
            figure.draw(figure.signal(list(x_lim), [number, number], marker="-").lines())
    lines = figure.build().string(colorless=True).split("\n")[:height]
    for row, line in enumerate(lines):
        canvas.put(0, row, line)
    _Overlay(canvas, frame_of(lines), x_lim, y_lim).draw(chart)
    return canvas


def _stretches(
    series: Series, x_lim: tuple[float, float], y_lim: tuple[float, float]
) -> list[tuple[tuple[float, float], tuple[float, float]]]:
    """The joining lines of a series, cut at the limits, none across a gap."""
    if not series.joined:
        return []
    points = _points(series)
    found = []
    for one, two in pairwise(points):
        if one is None or two is None:
            continue
        part = _cut(one, two, x_lim, y_lim)
        if part is not None:
            start, end = ((_inside(x, x_lim), _inside(y, y_lim)) for x, y in part)
            found.append((start, end))
    return found


class _Overlay:
    """Marks, notes and edge signs laid over the frame that plotext drew."""

    def __init__(
        self,
        canvas: Canvas,
        frame: tuple[int, int, int, int],
        x_lim: tuple[float, float],
        y_lim: tuple[float, float],
    ) -> None:
        self.canvas, self.x_lim, self.y_lim = canvas, x_lim, y_lim
        self.left, self.top, self.right, self.bottom = frame

    def column(self, x: float) -> int:
        share = (_inside(x, self.x_lim) - self.x_lim[0]) / (self.x_lim[1] - self.x_lim[0])
        return self.left + round(share * (self.right - self.left))

    def row(self, y: float) -> int:
        share = (_inside(y, self.y_lim) - self.y_lim[0]) / (self.y_lim[1] - self.y_lim[0])
        return self.bottom - round(share * (self.bottom - self.top))

    def draw(self, chart: Chart) -> None:
        for y, style in chart.across:
            self._across(y, style)
        for stretch in chart.stretches:
            self._stretch(*stretch)
        for x, char, style in chart.down:
            self._down(x, char, style)
        for series in chart.series:
            for point in _points(series):
                if point is not None:
                    self._mark(point, series)
        for note in chart.notes:
            self._note(note)

    def _across(self, y: float, style: str) -> None:
        number = _number(y)
        if number is None or not self.y_lim[0] <= number <= self.y_lim[1]:
            return
        row = self.row(number)
        for x in range(self.left, self.right + 1):
            if self.canvas.chars[row][x] in " -":
                self.canvas.put(x, row, "-", style)

    def _stretch(self, start: float, end: float, y: float, char: str, style: str) -> None:
        numbers = [_number(v) for v in (start, end, y)]
        low, high, level = numbers
        if low is None or high is None or level is None:
            return
        if not self.y_lim[0] <= level <= self.y_lim[1] or high < self.x_lim[0]:
            return
        if low <= self.x_lim[1]:
            first, last = self.column(low), self.column(high)
            self.canvas.row(first, self.row(level), last - first + 1, char[:1], style)

    def _down(self, x: float, char: str, style: str) -> None:
        number = _number(x)
        if number is None or not self.x_lim[0] <= number <= self.x_lim[1]:
            return
        for row in range(self.top, self.bottom + 1):
            if self.canvas.chars[row][self.column(number)] in " -":
                self.canvas.put(self.column(number), row, char, style)

    def _mark(self, point: tuple[float, float], series: Series) -> None:
        x, y = point
        sign, style = series.marker[:1], series.style
        if not self.y_lim[0] <= y <= self.y_lim[1]:
            sign, style = ("^" if y > self.y_lim[1] else "v"), "bad"
        if not self.x_lim[0] <= x <= self.x_lim[1]:
            sign, style = (">" if x > self.x_lim[1] else "<"), "bad"
        if sign:
            self.canvas.put(self.column(x), self.row(y), sign, style)

    def _note(self, note: ChartLabel) -> None:
        x, y = _number(note.x), _number(note.y)
        if x is None or y is None:
            return
        text = note.text[: max(self.right - self.left + 1, 0)]
        start = self.column(x) - len(text) // 2
        start = max(self.left, min(start, self.right + 1 - len(text)))
        self.canvas.put(start, self.row(y), text, note.style)


def frame_of(lines: list[str]) -> tuple[int, int, int, int]:
    """First column, first row, last column and last row inside the frame that plotext drew."""
    inner = [y for y, line in enumerate(lines) if line.count("│") + line.count("┤") >= 2]
    edges = [x for x, char in enumerate(lines[inner[0]]) if char in "│┤"]
    return edges[0] + 1, inner[0], edges[-1] - 1, inner[-1]


class ChartView(GridView):
    """A chart as a widget; `show(chart)` repaints what changed."""

    def __init__(self, *, id: str | None = None) -> None:
        super().__init__(id=id)
        self.chart: Chart | None = None

    def show(self, chart: Chart | None) -> None:
        """Show other points."""
        self.chart = chart
        self.redraw()

    def draw(self, width: int, height: int) -> Canvas:
        """The chart at this size."""
        if self.chart is None:
            return Canvas(width, height, ascii_only=self.ascii_only)
        return draw_chart(self.chart, width, height, ascii_only=self.ascii_only)
