"""Where to read: the list of stations along the shaft and the marks round it.

Common practice, no source: an even spacing, a station on each roller (it shows the ovality that
lifts the whole shaft), and at least one in each riding area, because that is where the verdict
falls. The dial is set a little inside the ends.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from itertools import pairwise

from core.base.errors import BadShaft
from core.base.units import format_length, format_station

END_IN = 1.0
"""Least distance of the dial from an end of the shaft, inches."""
MOST_EVEN_STATIONS = 400
NARROWEST_SHARE = 8.0
"""Rollers closer than the length read over this carry no shaft. Common practice, no source."""
CROWDED = 0.4
"""An even station closer than this share of the spacing to a wanted one is left out."""


def station_list(
    *,
    length_in: float,
    spacing_in: float,
    rollers_in: Iterable[float] = (),
    areas_in: Iterable[tuple[float, float]] = (),
    inset_in: float = END_IN,
) -> tuple[float, ...]:
    """Stations in inches, rising, for a shaft of `length_in`.

    Parameters
    ----------
    spacing_in : distance of the even stations.
    rollers_in : stations of the rollers. areas_in : (from, to) of the riding areas.
    inset_in : how far from the ends the first and the last station are.

    Raises
    ------
    BadShaft : no length, no spacing, more than 400 stations, rollers that carry no shaft.
    """
    rollers_in = tuple(rollers_in)
    if not (math.isfinite(length_in) and length_in > 2 * END_IN):
        raise BadShaft("Give the length of the shaft first: the stations lie along it.")
    if not (math.isfinite(spacing_in) and spacing_in > 0):
        raise BadShaft("The spacing of the stations must be more than 0 in.")
    if length_in / spacing_in > MOST_EVEN_STATIONS:
        raise BadShaft(
            f"Every {format_station(spacing_in)} makes more than {MOST_EVEN_STATIONS} stations on "
            "this shaft. Give a wider spacing."
        )
    if len(rollers_in) > 1 and max(rollers_in) - min(rollers_in) < length_in / NARROWEST_SHARE:
        raise BadShaft(
            f"Rollers {format_station(max(rollers_in) - min(rollers_in))} apart do not carry a "
            f"shaft of {format_station(length_in)}. Measure where both stand."
        )
    first, last = inset_in, length_in - inset_in
    wanted = [x for x in rollers_in if 0 <= x <= length_in]
    for start, end in areas_in:
        wanted += _stations_of_area(start, end, spacing_in)
    chosen: list[float] = []
    for x in wanted:
        _add(chosen, min(max(x, first), last), spacing_in * CROWDED / 2)
    even = [n * spacing_in for n in range(1, int(last / spacing_in) + 1)]
    for x in [first, last, *(x for x in even if first < x < last)]:
        _add(chosen, x, spacing_in * CROWDED)
    return tuple(sorted(round(x, 3) for x in chosen))


def _stations_of_area(start_in: float, end_in: float, spacing_in: float) -> list[float]:
    """The middle of a short area, both ends of a long one."""
    if end_in - start_in <= spacing_in:
        return [(start_in + end_in) / 2]
    inset = min(END_IN / 2, (end_in - start_in) / 4)
    return [start_in + inset, end_in - inset]


def _add(chosen: list[float], x_in: float, least_in: float) -> None:
    if all(abs(x_in - other) >= least_in for other in chosen):
        chosen.append(x_in)


def with_station(
    stations_in: Iterable[float], new_in: float, length_in: float
) -> tuple[float, ...]:
    """The list with one more station in its place; `BadShaft` when it is there or off the shaft."""
    stations = list(stations_in)
    if not 0 <= new_in <= length_in:
        raise BadShaft(
            f"Station {format_length(new_in, 3)} is not on the shaft (0 to "
            f"{format_station(length_in)})."
        )
    if any(abs(new_in - s) < 0.01 for s in stations):
        raise BadShaft(f"Station {format_length(new_in, 3)} is on the list already.")
    rising = all(a < b for a, b in pairwise(stations))
    falling = len(stations) > 1 and all(a > b for a, b in pairwise(stations))
    stations.append(new_in)
    if rising or falling:
        stations.sort(reverse=falling)
    return tuple(stations)


def mark_list(count: int) -> tuple[float, ...]:
    """Clocks in degrees of `count` marks spread evenly round the shaft, from 0."""
    if not 1 <= count <= 72:
        raise BadShaft(f"{count} marks round the shaft cannot be. Give 5 to 72; 8 is usual.")
    return tuple(360.0 * n / count for n in range(count))
