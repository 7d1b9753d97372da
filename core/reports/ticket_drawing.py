"""The runout of a shaft drawn as inline SVG: before and after on one scale, then the last alone.

Only numbers of our own and escaped text go into the drawing; no script, no link, no font to fetch.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from html import escape

from core.reports.ticket_data import AreaLine, SweepPart
from core.reports.ticket_format import clean, inches, thou

WIDTH, HEIGHT = 760, 186
LEFT, RIGHT, TOP, BOTTOM = 60, 16, 34, 50
MOST_TICKS = 5
"""Steps of the upright axis."""


@dataclass(frozen=True)
class _Frame:
    """Where a station and a TIR land in the drawing."""

    length_in: float
    top_in: float

    def x(self, station_in: float) -> float:
        return LEFT + (WIDTH - LEFT - RIGHT) * station_in / self.length_in

    def y(self, tir_in: float) -> float:
        return HEIGHT - BOTTOM - (HEIGHT - TOP - BOTTOM) * min(tir_in / self.top_in, 1.0)


def runout_drawings(
    before: SweepPart | None, after: SweepPart | None, length_in: float
) -> list[str]:
    """SVG drawings of TIR along the shaft: both sweeps together, then the final one enlarged."""
    parts = [part for part in (before, after) if part is not None and part.stations]
    if not parts:
        return []
    length_in = max(length_in, *(s.station_in for part in parts for s in part.stations))
    title = " and ".join(part.title for part in parts)
    drawings = [_drawing(f"Runout along the shaft: {title}", parts, length_in)]
    if len(parts) == 2:
        drawings.append(
            _drawing(f"Runout along the shaft, enlarged: {parts[1].title}", parts[1:], length_in)
        )
    return drawings


def _drawing(title: str, parts: Sequence[SweepPart], length_in: float) -> str:
    last = parts[-1]
    worst = max(station.tir_high_in for part in parts for station in part.stations)
    limits = [area.limit_in for area in last.areas]
    highest_in = max([worst, *limits, 0.001]) * 1.05
    tick_in = _step(highest_in, MOST_TICKS)
    top_in = tick_in * math.ceil(highest_in / tick_in)
    frame = _Frame(length_in, top_in)
    pieces = [
        *_axes(frame),
        *(_limit(frame, area) for area in last.areas if area.to_in > area.from_in),
        *_rollers(frame, last.rollers_in),
    ]
    for part in parts:
        final = part is last
        pieces += _line(frame, part, dashed=not final)
    pieces += _legend(parts)
    label = escape(clean(title, 200), quote=True)
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {WIDTH} {HEIGHT}" role="img"'
        f' aria-label="{label}" font-family="sans-serif" font-size="11">'
        f"<title>{label}</title>{''.join(pieces)}</svg>"
    )


def _step(value: float, most: int) -> float:
    """The finest step of 1, 2, 5, 10, ... that reaches `value` in `most` steps."""
    power = 10.0 ** math.floor(math.log10(value / most))
    return next(step * power for step in (1, 2, 5, 10) if step * power * most >= value * 0.999999)


def _text(x: float, y: float, text: str, anchor: str = "middle") -> str:
    return f'<text x="{x:.1f}" y="{y:.1f}" text-anchor="{anchor}">{escape(clean(text, 60))}</text>'


def _segment(x1: float, y1: float, x2: float, y2: float, look: str) -> str:
    return f'<line x1="{x1:.1f}" y1="{y1:.1f}" x2="{x2:.1f}" y2="{y2:.1f}" {look}/>'


def _axes(frame: _Frame) -> list[str]:
    floor, pale = frame.y(0.0), 'stroke="#ccc" stroke-width="0.7"'
    pieces = [_segment(LEFT, floor, WIDTH - RIGHT, floor, 'stroke="#000" stroke-width="1"')]
    tick_in = _step(frame.top_in, MOST_TICKS)
    for tick in range(round(frame.top_in / tick_in) + 1):
        tir_in = tick * tick_in
        if tick:
            pieces.append(_segment(LEFT, frame.y(tir_in), WIDTH - RIGHT, frame.y(tir_in), pale))
        pieces.append(_text(LEFT - 6, frame.y(tir_in) + 4, f"{tir_in * 1000:g}", "end"))
    step_in = _step(frame.length_in, 12)
    for index in range(int(frame.length_in / step_in) + 1):
        station_in = index * step_in
        pieces.append(_text(frame.x(station_in), floor + 25, inches(station_in)))
    pieces.append(_text(LEFT, TOP - 20, "TIR, thou", "start"))
    pieces.append(_text((LEFT + WIDTH - RIGHT) / 2, HEIGHT - 8, "station, inches"))
    return pieces


def _limit(frame: _Frame, area: AreaLine) -> str:
    """The limit of one area as a heavy bar over its length, named by word."""
    y = frame.y(area.limit_in)
    bar = _segment(
        frame.x(area.from_in), y, frame.x(area.to_in), y, 'stroke="#a00" stroke-width="2"'
    )
    words = f"{area.name}: limit {thou(area.limit_in)} thou, {area.verdict}"
    return f"<g><title>{escape(clean(words, 120))}</title>{bar}</g>"


def _rollers(frame: _Frame, rollers_in: Sequence[float]) -> list[str]:
    floor = frame.y(0.0)
    return [
        f'<path d="M{x - 6:.1f} {floor + 12:.1f}L{x + 6:.1f} {floor + 12:.1f}'
        f'L{x:.1f} {floor + 2:.1f}Z" fill="#000"><title>roller</title></path>'
        for x in (frame.x(roller_in) for roller_in in rollers_in)
    ]


def _line(frame: _Frame, part: SweepPart, *, dashed: bool) -> list[str]:
    stroke = "#777" if dashed else "#000"
    dash = ' stroke-dasharray="6 4"' if dashed else ""
    points = " ".join(f"{frame.x(s.station_in):.1f},{frame.y(s.tir_in):.1f}" for s in part.stations)
    pieces = [
        f'<polyline points="{points}" fill="none" stroke="{stroke}" stroke-width="1.6"{dash}/>'
    ]
    for station in part.stations:
        x = frame.x(station.station_in)
        low, high = frame.y(station.tir_low_in), frame.y(station.tir_high_in)
        pieces.append(_segment(x, low, x, high, f'stroke="{stroke}" stroke-width="1"'))
        pieces.append(
            f'<circle cx="{x:.1f}" cy="{frame.y(station.tir_in):.1f}" r="2.4" fill="{stroke}"/>'
        )
    return pieces


def _legend(parts: Sequence[SweepPart]) -> list[str]:
    pieces = []
    x = LEFT + 70.0
    for part in parts:
        look = 'stroke="#000" stroke-width="1.6"'
        if part is not parts[-1]:
            look = 'stroke="#777" stroke-width="1.6" stroke-dasharray="6 4"'
        pieces.append(_segment(x, TOP - 24, x + 30, TOP - 24, look))
        pieces.append(_text(x + 36, TOP - 20, part.title, "start"))
        x += 190
    pieces.append(_segment(x, TOP - 24, x + 30, TOP - 24, 'stroke="#a00" stroke-width="2"'))
    pieces.append(_text(x + 36, TOP - 20, "limit; black triangles: rollers", "start"))
    return pieces
