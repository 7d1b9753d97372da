"""The runout of a sweep along the shaft drawn as inline SVG, with limits and rollers."""

from __future__ import annotations

import math
from dataclasses import dataclass
from html import escape

from core.base.dial_unit import shown_dial_unit
from core.base.units import format_dial, length_words
from core.reports.svg_shapes import (
    DRAWING_WIDTH,
    dial_scale,
    dial_step,
    dot,
    drawing,
    path_of,
    roller,
    segment,
    station_ticks,
    words,
)
from core.reports.ticket_data import AreaLine, SweepPart
from core.reports.ticket_format import clean, station_text

RUNOUT_HEIGHT = 162
LEFT, RIGHT, TOP, BOTTOM = 60, 16, 34, 50
MOST_TICKS = 5
"""Steps of the upright axis."""


@dataclass(frozen=True)
class _Frame:
    """Where a station and a TIR land in the drawing."""

    length_in: float
    top_in: float

    def x(self, station_in: float) -> float:
        return LEFT + (DRAWING_WIDTH - LEFT - RIGHT) * station_in / self.length_in

    def y(self, tir_in: float) -> float:
        return (
            RUNOUT_HEIGHT - BOTTOM - (RUNOUT_HEIGHT - TOP - BOTTOM) * min(tir_in / self.top_in, 1.0)
        )


def runout_drawing(part: SweepPart | None, length_in: float) -> str:
    """SVG of the TIR along the shaft with the limits; '' when there is no sweep."""
    if part is None or not part.stations:
        return ""
    length_in = max(length_in, *(station.station_in for station in part.stations))
    worst = max(station.tir_high_in for station in part.stations)
    highest_in = max([worst, *(area.limit_in for area in part.areas), 0.001]) * 1.05
    tick_in = dial_step(highest_in, MOST_TICKS)
    frame = _Frame(length_in, tick_in * math.ceil(highest_in / tick_in))
    pieces = [
        *_axes(frame),
        *(_limit(frame, area) for area in part.areas if area.to_in > area.from_in),
        *(roller(frame.x(roller_in), frame.y(0.0) + 2) for roller_in in part.rollers_in),
        *_line(frame, part),
        *_legend(part),
    ]
    return drawing(f"Runout along the shaft: {part.title}", RUNOUT_HEIGHT, pieces)


def _axes(frame: _Frame) -> list[str]:
    floor, pale = frame.y(0.0), 'stroke="#ccc" stroke-width="0.7"'
    pieces = [
        segment((LEFT, floor), (DRAWING_WIDTH - RIGHT, floor), 'stroke="#000" stroke-width="1"')
    ]
    tick_in = dial_step(frame.top_in, MOST_TICKS)
    for tick in range(round(frame.top_in / tick_in) + 1):
        tir_in = tick * tick_in
        if tick:
            pieces.append(
                segment((LEFT, frame.y(tir_in)), (DRAWING_WIDTH - RIGHT, frame.y(tir_in)), pale)
            )
        pieces.append(words(LEFT - 6, frame.y(tir_in) + 4, dial_scale(tir_in, unit=False), "end"))
    pieces += [
        words(frame.x(station_in), floor + 25, station_text(station_in))
        for station_in in station_ticks(frame.length_in, 12)
    ]
    pieces.append(words(LEFT, TOP - 20, f"TIR, {shown_dial_unit()}", "start"))
    pieces.append(
        words((LEFT + DRAWING_WIDTH - RIGHT) / 2, RUNOUT_HEIGHT - 8, f"station, {length_words()}")
    )
    return pieces


def _limit(frame: _Frame, area: AreaLine) -> str:
    """The limit of one area as a heavy bar over its length, named by word."""
    y = frame.y(area.limit_in)
    look = 'stroke="#a00" stroke-width="2"'
    bar = segment((frame.x(area.from_in), y), (frame.x(area.to_in), y), look)
    said = f"{area.name}: limit {format_dial(area.limit_in)}, {area.verdict}"
    return f"<g><title>{escape(clean(said, 120))}</title>{bar}</g>"


def _line(frame: _Frame, part: SweepPart) -> list[str]:
    points = [(frame.x(s.station_in), frame.y(s.tir_in)) for s in part.stations]
    pieces = [path_of(points, 'stroke="#000" stroke-width="1.6"')]
    for point, station in zip(points, part.stations, strict=True):
        low, high = frame.y(station.tir_low_in), frame.y(station.tir_high_in)
        pieces.append(segment((point[0], low), (point[0], high), 'stroke="#000" stroke-width="1"'))
        pieces.append(dot(point, 2.4, 'fill="#000"'))
    return pieces


def _legend(part: SweepPart) -> list[str]:
    x, y = LEFT + 70.0, TOP - 24.0
    return [
        segment((x, y), (x + 30, y), 'stroke="#000" stroke-width="1.6"'),
        words(x + 36, y + 4, part.title, "start"),
        segment((x + 190, y), (x + 220, y), 'stroke="#a00" stroke-width="2"'),
        words(x + 226, y + 4, "limit; black triangles: rollers", "start"),
    ]
