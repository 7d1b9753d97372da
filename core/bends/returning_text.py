"""What a bend at an old place means, in plain sentences: never as a certainty.

Causes by where the bend lies are common practice of the trade, no source.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Protocol

from core.base.units import format_angle, format_clock, format_length
from core.bends.returning import SAME_METAL_DIAMETERS, SAME_SIDE_RAD, RepeatBend, Visit

USUALLY = "usually, never certainly"
CHANCE_SAYS_LITTLE = 0.2
"""A match that chance alone brings in one shaft of five says little."""


class NamedSpan(Protocol):
    """What this module needs of a riding area."""

    @property
    def kind(self) -> str:
        """'taper', 'bearing', 'shaft log', 'coupling' or another word."""

    @property
    def name(self) -> str:
        """As the shop calls it."""

    @property
    def from_in(self) -> float:
        """One end, inches."""

    @property
    def to_in(self) -> float:
        """The other end, inches."""


CAUSES = {
    "bearing": "a strut that is bent, loose or out of line, or a worn bearing in it",
    "shaft log": "engine and log out of line (mounts gone soft, hull moved), the shaft riding hard "
    "in the log or its stuffing box",
    "coupling": "the engine out of line with the shaft, or a coupling face that is not square",
    "taper": "blows on the propeller, one out of balance, or too much shaft behind the last "
    "bearing",
}
"""By kind of riding area. Common practice, no source."""
FREE_LENGTH = (
    "something the boat meets again (a rope, a log, the ground), a free length too long for its "
    "speed, or stress left in the bar by the last straightening"
)
OTHER_AREA = "what the shaft rides in there being out of line, loose or worn"


def usual_cause(station_in: float, areas: Sequence[NamedSpan], diameter_in: float) -> str:
    """Where a place is and what a bend that comes back there usually comes from, in words.

    At an area or within `SAME_METAL_DIAMETERS` of it. Common practice, no source; never certain.
    """
    reach = SAME_METAL_DIAMETERS * diameter_in
    off = [(_off_in(station_in, area), area) for area in areas]
    near = [one for one in off if one[0] <= reach]
    if not near:
        return f"On the free length; {USUALLY}: {FREE_LENGTH}."
    off_in, area = min(near, key=lambda one: one[0])
    where = "At" if off_in == 0 else "Near"
    return f"{where} the {area.name}; {USUALLY}: {CAUSES.get(area.kind, OTHER_AREA)}."


def _off_in(station_in: float, area: NamedSpan) -> float:
    """How far a station lies off an area, inches; 0 inside."""
    low, high = sorted((area.from_in, area.to_in))
    return max(low - station_in, station_in - high, 0.0)


# -- sentences -------------------------------------------------------------------------------------


def headline(again: Sequence[RepeatBend]) -> str:
    """The nearest thing to 'same place again' in a few words; empty when there is none."""
    if not again:
        return ""
    best = min(again, key=lambda a: (a.near != "same place", a.chance))
    others = len({a.now.spot for a in again}) - 1
    more = f", {others} more" if others else ""
    doubt = " (may be chance)" if best.chance >= CHANCE_SAYS_LITTLE else ""
    place = format_length(best.now.spot.station_in, 1)
    if best.near == "same place":
        return f"Same place again: {place}, as in {best.visit.tag}{doubt}{more}"
    apart = format_length(best.apart_in, 1)
    return f"{apart} beside an old bend: {place}, {best.visit.tag}{doubt}{more}"


def sentences(one: RepeatBend, areas: Sequence[NamedSpan], diameter_in: float) -> tuple[str, ...]:
    """Everything about one bend at an old place: what matches, what was done, what it means."""
    done = (_what_was_done(one), _clock(one), _metal(one))
    return (
        f"{_where(one)} {_chance(one.chance)}",
        " ".join(words for words in done if words),
        usual_cause(one.now.spot.station_in, areas, diameter_in),
    )


def _where(one: RepeatBend) -> str:
    now, then = (format_length(b.spot.station_in, 1) for b in (one.now, one.then))
    apart, both = format_length(one.apart_in, 2), format_length(one.together_in, 2)
    places = f"{now} now, {then} on {one.visit.when} ({one.visit.tag}): {apart} apart,"
    if one.near == "same place":
        return f"{places} within both intervals together ({both})."
    return (
        f"{places} more than both intervals together ({both}), but within "
        f"{SAME_METAL_DIAMETERS:g} diameters, in the same metal."
    )


def _chance(chance: float) -> str:
    if chance >= CHANCE_SAYS_LITTLE:
        return f"By chance alone that happens on {_odds(chance)}: it says little by itself."
    return f"By chance alone that would happen on {_odds(chance)}."


def _odds(chance: float) -> str:
    if chance > 0.75:
        return "nearly every shaft"
    if chance >= 0.4:
        return "every second shaft"
    one_in = round(1 / chance) if chance > 0.001 else 1000
    return f"about one shaft in {one_in:,}" if chance > 0.001 else "less than one shaft in 1,000"


def _what_was_done(one: RepeatBend) -> str:
    if not one.straightened:
        return "It was not hit there then: this may be the old bend, never taken out."
    if one.left_rad is None:
        return "It was straightened there; how true it left was not swept."
    if one.left_rad > 0:
        return f"It was straightened there, and left with {format_angle(one.left_rad)} still in it."
    return "It was straightened there, and left without a bend."


def _clock(one: RepeatBend) -> str:
    if one.turned_rad is None:
        return f"The clocks cannot be compared: {one.why_no_clock}."
    now, then = (format_clock(b.high_side_rad, unit="") for b in (one.now, one.then))
    turned = format_clock(one.turned_rad)
    if one.turned_rad <= SAME_SIDE_RAD:
        side = "the same side: the old bend may have crept back, or the metal is soft there"
    else:
        side = f"{turned} round: another blow or load at that place, not the old bend creeping back"
    return f"High side {now} now, {then} then, {side}."


def _metal(one: RepeatBend) -> str:
    if one.visit.other_bar:
        return "It is another bar since then: that speaks for the boat, not for the metal."
    if one.straightened:
        return "Metal straightened twice at one place may crack: penetrant there before and after."
    return ""


def compared_words(earlier: Sequence[Visit]) -> tuple[str, ...]:
    """Visits that could not be compared, and why."""
    return tuple(f"{visit.tag}: {visit.trouble}" for visit in earlier if visit.trouble)
