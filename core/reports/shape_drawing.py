"""The shape of a shaft drawn as inline SVG: both planes and the view from the end, a part a sweep.

Each sweep has one scale for its three views: what is drawn is the way of the section's centre off
the line through the centres at the two rollers (half of what the dial swings), much enlarged across
the shaft. The end view is from the coupling end, clock 0 up and 90 to the right, as on the screen.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence

from core.base.units import format_dial, format_station
from core.reports.svg_shapes import (
    DRAWING_WIDTH,
    Point,
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
from core.reports.ticket_data import StationLine, SweepPart
from core.reports.ticket_format import station_text

SHAPE_HEIGHT = 174.0
FULL_SCALE = 32.0
"""Half of the height of a plane and the radius of the end view: the full scale."""
PLANES = ((0, "clock 0", "180"), (1, "clock 90", "270"))
TOPS = (22.0, 90.0)
"""Upper edge of each plane."""
LABELS, GAP, END_VIEW = 44.0, 14.0, 112.0
"""Room for words left of a plane, between plane and end view, and for the end view."""
SCALE_STEPS = 4
PALE, THIN, SHAFT = (
    f'stroke="{colour}" stroke-width="{width}"'
    for colour, width in (("#ccc", 0.7), ("#000", 0.8), ("#000", 1.6))
)


def shape_drawing(before: SweepPart | None, after: SweepPart | None, length_in: float) -> str:
    """One SVG, a sweep beside the other; '' when there is none with a shape."""
    parts = [part for part in (before, after) if part is not None and _placed(part)]
    if not parts:
        return ""
    length_in = max(length_in, *(s.station_in for part in parts for s in part.stations))
    room = DRAWING_WIDTH / len(parts)
    pieces = [
        piece
        for number, part in enumerate(parts)
        for piece in _views(part, length_in, number * room, room - GAP)
    ]
    title = " and ".join(part.title for part in parts)
    return drawing(
        f"Shape of the shaft in two planes and from the end: {title}", SHAPE_HEIGHT, pieces
    )


def _placed(part: SweepPart) -> list[StationLine]:
    return [station for station in part.stations if station.ecc_in is not None]


def _views(part: SweepPart, length_in: float, left: float, room: float) -> list[str]:
    stations = _placed(part)
    places = [station.ecc_in or (0.0, 0.0) for station in stations]
    furthest_in = max(max(math.hypot(*place) for place in places), 0.0001)
    step_in = dial_step(furthest_in, SCALE_STEPS)
    full_in = step_in * math.ceil(furthest_in / step_in - 1e-9)
    per_in = FULL_SCALE / full_in
    x_left, x_room = left + LABELS, room - LABELS - GAP - END_VIEW

    def x(station_in: float) -> float:
        return x_left + x_room * station_in / length_in

    scale = f"{part.title}: full scale {dial_scale(full_in)} off the line of the rollers"
    pieces = [words(left, 12.0, scale, "start")]
    for (which, up, down), top in zip(PLANES, TOPS, strict=True):
        middle = top + FULL_SCALE
        pieces += [
            segment((x_left, middle), (x_left + x_room, middle), THIN),
            *(
                segment((x_left, y), (x_left + x_room, y), PALE)
                for y in (top, top + 2 * FULL_SCALE)
            ),
            words(x_left - 5, top + 8, up, "end"),
            words(x_left - 5, top + 2 * FULL_SCALE, down, "end"),
            *(roller(x(roller_in), middle + 2) for roller_in in part.rollers_in),
            *_plane(
                [
                    (x(station.station_in), middle - per_in * place[which])
                    for station, place in zip(stations, places, strict=True)
                ]
            ),
        ]
    pieces += _stations(x, length_in)
    centre = (left + room - END_VIEW / 2, (TOPS[0] + TOPS[1] + 2 * FULL_SCALE) / 2)
    return pieces + _end_view(stations, places, centre, per_in)


def _plane(points: Sequence[Point]) -> list[str]:
    return [path_of(points, SHAFT), *(dot(point, 1.8, 'fill="#000"') for point in points)]


def _stations(x: Callable[[float], float], length_in: float) -> list[str]:
    at = TOPS[1] + 2 * FULL_SCALE + 13
    ticks = station_ticks(length_in, 6)
    return [words(x(station_in), at, station_text(station_in)) for station_in in ticks]


def _end_view(
    stations: Sequence[StationLine], places: Sequence[Point], centre: Point, per_in: float
) -> list[str]:
    """The centres of the sections along the shaft, joined; the furthest one is named."""
    x0, y0 = centre
    points = [(x0 + per_in * to_90, y0 - per_in * to_0) for to_0, to_90 in places]
    far = max(range(len(places)), key=lambda n: math.hypot(*places[n]))
    named = stations[far]
    off = format_dial(math.hypot(*places[far]))
    return [
        dot(centre, FULL_SCALE, f'fill="none" {PALE}'),
        segment((x0 - FULL_SCALE, y0), (x0 + FULL_SCALE, y0), PALE),
        segment((x0, y0 - FULL_SCALE), (x0, y0 + FULL_SCALE), PALE),
        *(
            words(x0 + dx * (FULL_SCALE + 4), y0 + dy * (FULL_SCALE + 8) + 4, name, anchor)
            for name, dx, dy, anchor in (
                ("0", 0, -1, "middle"), ("90", 1, 0, "start"),
                ("180", 0, 1, "middle"), ("270", -1, 0, "end"),
            )
        ),
        *_plane(points),
        dot(points[far], 3.2, 'fill="#a00"'),
        words(x0, y0 + FULL_SCALE + 32, f"{off} at {format_station(named.station_in)}"),
    ]  # fmt: skip
