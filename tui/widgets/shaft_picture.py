"""The shaft drawn in characters: riding areas, rollers, bends and a scale along its length."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass

from core.base.units import PER_INCH, format_station, length_unit
from tui.widgets.canvas import Canvas, GridView

PICTURE_ROWS = 7
LEAST_PICTURE_ROWS = 4
"""Bends, shaft, rollers, scale."""
_NICE_STEPS = {
    "in": (1.0, 2.0, 3.0, 6.0, 12.0, 24.0, 48.0, 60.0, 120.0, 240.0, 600.0, 1200.0),
    "mm": (25.0, 50.0, 100.0, 250.0, 500.0, 1000.0, 2000.0, 5000.0, 10000.0, 25000.0),
}


@dataclass(frozen=True)
class PictureArea:
    """A stretch of the shaft that rides in something."""

    name: str
    from_in: float
    to_in: float
    style: str = ""
    """Style word of the verdict, if there is one."""


@dataclass(frozen=True)
class PictureBend:
    """A bend, marked above the shaft."""

    station_in: float
    label: str = ""


@dataclass(frozen=True)
class ShaftSketch:
    """All that the picture of a shaft can show; everything but the length may be left out."""

    length_in: float
    zero_end: str = "coupling"
    """The end that station 0 is at, drawn on the left."""
    areas: tuple[PictureArea, ...] = ()
    rollers_in: tuple[float, ...] = ()
    bends: tuple[PictureBend, ...] = ()
    cursor_in: float | None = None
    """A station to point at."""


def column_of(station_in: float, length_in: float, width: int) -> int:
    """The column, of `width`, in which a station of the shaft falls."""
    if not (math.isfinite(station_in) and math.isfinite(length_in)) or length_in <= 0:
        return 0
    share = min(max(station_in / length_in, 0.0), 1.0)
    return round(share * (width - 1))


def scale_stations(length_in: float, room: int) -> list[float]:
    """Round stations for the scale, as many as fit in `room` columns without touching."""
    if not math.isfinite(length_in) or length_in <= 0:
        return [0.0]
    most = max(room // 9, 1)
    unit = length_unit()
    steps_in = [step / PER_INCH[unit] for step in _NICE_STEPS[unit]]
    step = next((s for s in steps_in if length_in / s <= most), length_in)
    count = min(int(length_in / step + 1e-9), 200)
    ticks = [step * n for n in range(count + 1)]
    if length_in - ticks[-1] > step * 0.55:
        ticks.append(length_in)
    return ticks


def end_names(zero_end: str) -> tuple[str, str]:
    """What to call the left and the right end of the picture."""
    if zero_end.lower().startswith("prop"):
        return "propeller end", "coupling end"
    return "coupling end", "propeller end"


def draw_shaft(
    sketch: ShaftSketch, width: int, rows: int = PICTURE_ROWS, *, ascii_only: bool = False
) -> Canvas:
    """Names of areas, bends, shaft, rollers, scale, ends; with few rows, names and ends go."""
    canvas = Canvas(width, rows, ascii_only=ascii_only)
    name_rows = min(max(rows - LEAST_PICTURE_ROWS, 0), 2)
    _names(canvas, name_rows, sketch)
    for bend in sketch.bends:
        at = column_of(bend.station_in, sketch.length_in, width)
        canvas.put_centred(at, name_rows, bend.label or "v", "strong")
    shaft_row(canvas, name_rows + 1, sketch)
    roller_row(canvas, name_rows + 2, sketch)
    scale_row(canvas, name_rows + 3, sketch.length_in)
    if rows >= PICTURE_ROWS:
        left, right = end_names(sketch.zero_end)
        canvas.put(0, rows - 1, left, "dim")
        canvas.put_right(width, rows - 1, right, "dim")
    return canvas


def _names(canvas: Canvas, rows: int, sketch: ShaftSketch) -> None:
    """Names of the areas over their middles; in two rows, if there are, where they would touch."""
    for area in sorted(sketch.areas, key=lambda a: a.from_in):
        middle = column_of((area.from_in + area.to_in) / 2, sketch.length_in, canvas.width)
        low = rows - 1
        places = [(area.name, low), (area.name, low - 1), (area.name[:4], low)]
        for name, row in (place for place in places if place[1] >= 0):
            start = max(0, min(middle - len(name) // 2, canvas.width - len(name)))
            before = max(start - 1, 0)
            if canvas.is_free(before, row, min(len(name) + 2, canvas.width - before)):
                canvas.put(start, row, name, area.style or "strong")
                break


def shaft_row(canvas: Canvas, row: int, sketch: ShaftSketch) -> None:
    """The shaft itself: areas filled, plain shaft as a double line, bends as V."""
    canvas.row(0, row, canvas.width, "═", "dim")
    for area in sketch.areas:
        start = column_of(area.from_in, sketch.length_in, canvas.width)
        end = column_of(area.to_in, sketch.length_in, canvas.width)
        canvas.row(start, row, max(end - start, 0) + 1, "▓", area.style)
    for bend in sketch.bends:
        at = column_of(bend.station_in, sketch.length_in, canvas.width)
        canvas.put(at, row, "V", "strong")


def roller_row(canvas: Canvas, row: int, sketch: ShaftSketch) -> None:
    """Rollers under the shaft as OO, the cursor as ^."""
    for roller in sketch.rollers_in:
        at = column_of(roller, sketch.length_in, canvas.width)
        canvas.put(min(max(at - 1, 0), max(canvas.width - 2, 0)), row, "OO")
    if sketch.cursor_in is not None:
        at = column_of(sketch.cursor_in, sketch.length_in, canvas.width)
        canvas.put(at, row, "^", "picked")


def scale_row(canvas: Canvas, row: int, length_in: float) -> None:
    """Stations under the picture."""
    for station in scale_stations(length_in, canvas.width):
        at = column_of(station, length_in, canvas.width)
        text = format_station(station, unit=False)
        start = max(0, min(at - len(text) // 2, canvas.width - len(text)))
        if canvas.is_free(max(start - 1, 0), row, len(text) + 1):
            canvas.put(start, row, text, "dim")
    end = column_of(length_in, length_in, canvas.width)
    if canvas.is_free(end - 3, row, 3):
        canvas.put_right(canvas.width, row, length_unit(), "dim")


class ShaftPicture(GridView):
    """The picture of a shaft as a widget; `show(sketch)` draws it."""

    DEFAULT_CSS = f"ShaftPicture {{ height: {PICTURE_ROWS}; }}"

    def __init__(self, sketch: ShaftSketch | None = None, *, id: str | None = None) -> None:
        super().__init__(id=id)
        self.sketch = sketch

    def show(self, sketch: ShaftSketch | None) -> None:
        """Show another shaft, or the same with something changed."""
        self.sketch = sketch
        self.redraw()

    def draw(self, width: int, height: int) -> Canvas:
        """The picture at this width."""
        if self.sketch is None or self.sketch.length_in <= 0 or width < 10:
            return Canvas(width, height, ascii_only=self.ascii_only)
        rows = min(height, PICTURE_ROWS)
        picture = draw_shaft(self.sketch, width, rows, ascii_only=self.ascii_only)
        canvas = Canvas(width, height, ascii_only=self.ascii_only)
        canvas.paste(picture, 0, 0)
        return canvas


def areas_of(rows: Iterable[tuple[str, float, float]]) -> tuple[PictureArea, ...]:
    """Areas of the picture from (name, from, to) rows."""
    return tuple(PictureArea(name, start, end) for name, start, end in rows)
