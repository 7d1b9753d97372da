"""Wear at the riding areas: where to mike, what the diameters of all visits say together.

Diameters are stored under 'riding area' with the station as their depth, the least diameter allowed
there beside them; diameters of the coupling seat are those of the bore screen. Inches.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import UTC, datetime

from core.base.errors import ShaftlogError
from core.base.records import Measurement
from core.base.times import local_text, moment
from core.base.units import (
    Unit,
    format_in_unit,
    format_length,
    format_shop_size,
    format_station,
)
from core.fitting.measured.facts import FitFacts
from core.fitting.measured.measurements import MeasurementRequest, MeasurementSet, number_list
from core.fitting.measured.report import Report, chapters
from core.fitting.shaft.wear import MIKE_IN, Miked, Wear, wear_of
from core.runout.verdict import Area

SUBJECT, SETUP = "riding area", "riding area setup"
DIAMETER, LEAST, STATIONS = "diameter", "least allowed", "stations"
SEAT = "seat"
NO_WEAR_KINDS = ("taper", "coupling")
"""A taper has no one diameter; the coupling seat is miked on the bore screen."""
ONE_STATION_IN = 0.5
"""Stations this near are one place of the mike."""
STILL = "Mike the shaft only at rest, drive locked out: a turning shaft catches mike and hand."
FAR_YEARS = 100.0
"""What is farther off than this is no day to plan for."""


@dataclass(frozen=True)
class TakenAt:
    """One diameter of one visit."""

    tag: str
    station_in: float | None
    """None = on the coupling seat, at `depth_in` from its face end."""
    depth_in: float | None
    diameter_in: float
    taken_at: str

    @property
    def miked(self) -> Miked:
        """As the core counts it, the time as a year with decimals."""
        when = moment(self.taken_at)
        since = when - datetime(when.year, 1, 1, tzinfo=UTC)
        years = when.year + since.total_seconds() / 86400 / (365 + _leap(when.year))
        return Miked(years, self.diameter_in, self.tag, local_text(self.taken_at, "%b %Y"))


def _leap(year: int) -> int:
    return int(year % 4 == 0 and (year % 100 != 0 or year % 400 == 0))


@dataclass(frozen=True)
class WornPlace:
    """All diameters of one place."""

    name: str
    station_in: float | None
    """None = on the coupling seat."""
    wear: Wear
    least_in: float | None

    @property
    def under(self) -> bool:
        """Whether it is under the least diameter allowed."""
        return self.least_in is not None and self.wear.last.diameter_in < self.least_in


def diameters_of(tag: str, taken: Sequence[Measurement]) -> tuple[TakenAt, ...]:
    """The diameters of one visit; both clocks of the seat at one depth as their mean."""
    found = [
        TakenAt(tag, one.depth_in, None, one.value_in, one.taken_at)
        for one in taken
        if (one.subject, one.what) == (SUBJECT, DIAMETER) and one.value_in is not None
    ]
    seat: dict[tuple[int, float | None], list[Measurement]] = {}
    for one in taken:
        if (one.subject, one.what) == (SEAT, DIAMETER) and one.value_in is not None:
            seat.setdefault((one.set_no, one.depth_in), []).append(one)
    for (_, depth_in), ones in seat.items():
        mean_in = math.fsum(one.value_in or 0.0 for one in ones) / len(ones)
        found.append(TakenAt(tag, None, depth_in, mean_in, ones[-1].taken_at))
    return tuple(found)


def worn_places(
    taken: Sequence[TakenAt], areas: Sequence[Area], least: Sequence[tuple[float, float]] = ()
) -> tuple[WornPlace, ...]:
    """Every place that was miked, along the shaft, the coupling seat last.

    `least` holds (station, least diameter allowed), oldest first; the newest at a place counts.
    """
    groups: list[list[TakenAt]] = []
    for one in sorted(taken, key=lambda t: t.taken_at):
        home = next((g for g in groups if _one_place(g[0], one)), None)
        if home is None:
            groups.append(home := [])
        home.append(one)
    groups.sort(key=lambda g: (g[0].station_in is None, g[0].station_in, g[0].depth_in or 0.0))
    return tuple(_place(group, areas, least) for group in groups)


def _one_place(a: TakenAt, b: TakenAt) -> bool:
    if a.station_in is None or b.station_in is None:
        return (a.station_in, a.depth_in) == (b.station_in, b.depth_in)
    return abs(a.station_in - b.station_in) <= ONE_STATION_IN


def _place(
    group: Sequence[TakenAt], areas: Sequence[Area], least: Sequence[tuple[float, float]]
) -> WornPlace:
    station_in = group[0].station_in
    if station_in is None:
        depth = "" if group[0].depth_in is None else f", {format_length(group[0].depth_in, 2)} deep"
        name, least_in = f"coupling seat{depth}", None
    else:
        name = f"{area_at(station_in, areas)} at {format_length(station_in, 1)}"
        near = [d for x, d in least if abs(x - station_in) <= ONE_STATION_IN]
        least_in = near[-1] if near else None
    wear = wear_of([one.miked for one in group], least_in=least_in)
    return WornPlace(name, station_in, wear, least_in)


def area_at(station_in: float, areas: Sequence[Area]) -> str:
    """Name of the riding area a station lies in."""
    here = [area.name for area in areas if area.from_in <= station_in <= area.to_in]
    return here[0] if here else "free length"


# -- what to measure -------------------------------------------------------------------------------


def stations_of(
    figures: MeasurementSet, areas: Sequence[Area], earlier_in: Sequence[float]
) -> tuple[float, ...]:
    """Where to mike: where it was miked before, stations typed for this job, else the middles."""
    known = [*earlier_in, *number_list(figures.word(SETUP, STATIONS))]
    known += [m.depth_in for m in figures.all_of(SUBJECT) if m.depth_in is not None]
    places: list[float] = []
    for x in known:
        if all(abs(x - other) > ONE_STATION_IN for other in places):
            places.append(x)
    for area in areas:
        missed = not any(area.from_in <= x <= area.to_in for x in places)
        if missed and area.kind not in NO_WEAR_KINDS:
            places.append((area.from_in + area.to_in) / 2)
    return tuple(sorted(places))


def wear_wanted(
    figures: MeasurementSet, facts: FitFacts, areas: Sequence[Area], earlier_in: Sequence[float]
) -> tuple[MeasurementRequest, ...]:
    """Diameter and least diameter at each station."""
    found: list[MeasurementRequest] = []
    for x in stations_of(figures, areas, earlier_in):
        base = MeasurementRequest(
            SUBJECT, DIAMETER, f"{area_at(x, areas)} at {format_length(x, 1)}", x,
            near_in=facts.diameter_in, part=f"{x}",
            hint="Mike across the worst of the groove there, both ways; type the smaller figure.",
        )  # fmt: skip
        found += [
            base,
            replace(base, what=LEAST, label=f"Least allowed at {format_length(x, 1)}",
                    optional=True,
                    hint="What the bearing or seal, the class or the shop allows; may be left."),
        ]  # fmt: skip
    return tuple(found)


# -- words -----------------------------------------------------------------------------------------


def wear_words(place: WornPlace, unit: Unit = "thou") -> str:
    """One place in one or two sentences."""
    wear, shown = place.wear, _small(unit)
    last = f"{_size(wear.last.diameter_in, unit)}, {wear.last.when}"
    said = [f"{place.name}: {last}{_before(wear, unit)}."]
    if wear.rate_in is None or wear.rate_u95_in is None:
        said.append("No rate yet: it takes two visits at this place some months apart.")
        return " ".join([*said, *_least_words(place, unit)])
    low, high = wear.rate_in - wear.rate_u95_in, wear.rate_in + wear.rate_u95_in
    if wear.clear:
        rate = format_in_unit(wear.rate_in, shown)
        span = (
            f"{format_in_unit(low, shown).split()[0]} to {format_in_unit(high, shown).split()[0]}"
        )
        said.append(f"It wears {rate} a year ({span}).")
    else:
        said.append(f"No measurable wear: less than {format_in_unit(high, shown)} a year.")
    if len(wear.used) == 2:
        said.append(f"Two diameters only, each good to {format_in_unit(2 * MIKE_IN, shown)}.")
    return " ".join([*said, *_least_words(place, unit)])


def wear_beside(place: WornPlace, unit: Unit = "thou") -> str:
    """One place in a few words, for a line of a table."""
    wear = place.wear
    if place.under:
        return "UNDER THE LEAST"
    if wear.rate_in is None or wear.rate_u95_in is None:
        return "first time" if len(wear.used) == 1 else "too soon for a rate"
    shown = _small(unit)
    if not wear.clear:
        return f"under {format_in_unit(wear.rate_in + wear.rate_u95_in, shown)} a year"
    rate, reached = format_in_unit(wear.rate_in, shown), wear.reached
    return f"{rate} a year" + (f"; least {int(reached.at_years)}" if reached else "")


def _small(unit: Unit) -> Unit:
    """The unit of a rate of wear."""
    return "mm" if unit == "mm" else "thou"


def _before(wear: Wear, unit: Unit) -> str:
    first = wear.used[0]
    grown = "built up before that" if wear.built_up else ""
    if first is wear.last:
        return f" ({grown})" if grown else ""
    earlier = f"{_size(first.diameter_in, unit)}, {first.when}"
    return f" ({earlier}, {grown})" if grown else f" ({earlier})"


def _size(value_in: float, unit: Unit) -> str:
    return format_in_unit(value_in, "mm" if unit == "mm" else "in")


def _least_words(place: WornPlace, unit: Unit) -> list[str]:
    if place.least_in is None:
        return []
    least = _size(place.least_in, unit)
    if place.under:
        return [f"UNDER the least allowed, {least}."]
    reached = place.wear.reached
    if reached is None:
        return [f"Least allowed {least}."]
    if not place.wear.clear:
        if reached.earliest_years <= place.wear.last.at_years:
            return [f"Least allowed {least}: not known when."]
        return [f"Least allowed {least}, not before {int(reached.earliest_years)} at this rate."]
    last = place.wear.last.at_years
    far = reached.latest_years is None or reached.latest_years > last + FAR_YEARS
    late = "any time later" if far else str(int(reached.latest_years or 0))
    early = max(reached.earliest_years, last)
    return [
        f"At this rate the least allowed, {least}, is reached about {int(reached.at_years)} "
        f"({int(early)} to {late})."
    ]


def wear_verdict(places: Sequence[WornPlace], unit: Unit = "thou") -> str:
    """The gist in one sentence."""
    under = [place for place in places if place.under]
    worn = [place for place in places if place.wear.clear]
    if under:
        return f"UNDER THE LEAST DIAMETER: {', '.join(place.name for place in under)}."
    if not places:
        return "Nothing miked yet."
    if worn:
        fastest = max(worn, key=lambda place: place.wear.rate_in or 0.0)
        rate = format_in_unit(fastest.wear.rate_in or 0.0, _small(unit))
        return f"Wears fastest: {fastest.name}, {rate} a year."
    if all(place.wear.rate_in is None for place in places):
        return "No rate of wear yet: it takes two visits."
    return "No wear that the mike can show."


def wear_lines(places: Sequence[WornPlace], unit: Unit = "thou") -> tuple[str, ...]:
    """The places miked at two visits or more, and how many were not."""
    with_rate = [place for place in places if len(place.wear.used) > 1 or place.under]
    once = len(places) - len(with_rate)
    more = (f"Miked once, so without a rate: {once} more.",) if once and with_rate else ()
    return (*(wear_words(place, unit) for place in with_rate), *more)


def wear_report(
    places: Sequence[WornPlace], facts: FitFacts, *, missing: Sequence[str] = ()
) -> Report:
    """Everything, the verdict first."""
    return Report(
        good=False if any(place.under for place in places) else None,
        verdict=wear_verdict(places, facts.unit),
        summary="",
        chapters=chapters(
            ("Over the years", [wear_words(place, facts.unit) for place in places]),
        ),
        missing=tuple(missing),
        cautions=(STILL,),
        notes=(
            f"The shaft is {format_shop_size(facts.diameter_in)}. A mike shows no groove narrower "
            "than its anvils, and two diameters across show no three lobes.",
            "Rates by a straight line; wear that speeds up comes sooner. In years the interval is "
            "that of the line and of the mike, nothing else.",
        ),
    )


def check_stations(numbers: Sequence[float], length_in: float) -> None:
    """Raise ShaftlogError for a station off the shaft."""
    for x in numbers:
        if not 0 <= x <= length_in:
            raise ShaftlogError(
                f"Station {format_station(x)} is not on the shaft (0 to "
                f"{format_station(length_in)}). Check it."
            )
