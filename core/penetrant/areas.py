"""Where a propeller shaft cracks and is looked at with penetrant.

Keyways (above all their ends), the taper, the threads, the coupling end, and every straightened
spot. Source: common practice of the trade; the margin of clean metal is that of the standard.
Stations in inches from the coupling end unless the shaft is zeroed at the propeller end.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Protocol

from core.base.errors import BadShaft
from core.base.units import format_station, in_shop_unit

MARGIN_IN = 1.0
"""Clean margin beside the area: NAVSEA T9074-AS-GIB-010/271 Rev 1 par. 5.6.2."""
PROPELLER_END_DIAMETERS = 6.0
"""Taper and thread together when no taper was entered. Common practice, no source."""
COUPLING_DIAMETERS = 3.0
"""Seat of the coupling when none was entered. Common practice, no source."""


class RidingSpan(Protocol):
    """What this module needs of a riding area."""

    @property
    def kind(self) -> str:
        """'taper', 'bearing', 'shaft log', 'coupling' or another word."""

    @property
    def from_in(self) -> float:
        """One end, inches."""

    @property
    def to_in(self) -> float:
        """The other end, inches."""


@dataclass(frozen=True)
class CheckArea:
    """One area to check."""

    name: str
    from_in: float
    to_in: float
    why: str
    assumed: bool = False
    """True when its stations follow from the diameter because nothing was entered."""
    straightened: bool = False
    """True for a spot that was hit: a hit after its check asks for another check."""
    before_hits: bool = False
    """True for a place to look at before it is hit: a bend as received, or metal that was
    straightened at an earlier visit."""

    @property
    def shown(self) -> str:
        """The name with its stations in the unit of the shop; the book keeps them in inches."""
        return in_shop_unit(self.name)


def areas_to_check(
    length_in: float,
    diameter_in: float,
    riding: Sequence[RidingSpan] = (),
    hits_in: Sequence[float] = (),
    *,
    bends_in: Sequence[float] = (),
    earlier_hits_in: Sequence[float] = (),
    zero_at_coupling: bool = True,
) -> tuple[CheckArea, ...]:
    """The areas of one shaft along its length, stations in inches.

    `hits_in` were hit on this job; `bends_in` are the bends as received and `earlier_hits_in` the
    hits of earlier visits: metal bent twice at one place may crack, so these are looked at before
    anything is pressed there. Raises BadShaft.
    """
    if length_in <= 0 or diameter_in <= 0:
        raise BadShaft("Give the length and the diameter of the shaft before a penetrant check.")
    for station in hits_in:
        if not 0 <= station <= length_in:
            raise BadShaft(
                f"A hit at {format_station(station)} is not on the shaft (0 to "
                f"{format_station(length_in)})."
            )
    ends = _ends(length_in, diameter_in, riding, zero_at_coupling)
    spots = [
        *_spots(length_in, diameter_in, hits_in, HIT),
        *_spots(length_in, diameter_in, [x for x in bends_in if 0 <= x <= length_in], BEND),
        *_spots(
            length_in, diameter_in, [x for x in earlier_hits_in if 0 <= x <= length_in], EARLIER
        ),
    ]
    return tuple(sorted(ends + spots, key=lambda area: (area.from_in, area.to_in)))


def _ends(
    length_in: float, diameter_in: float, riding: Sequence[RidingSpan], zero_at_coupling: bool
) -> list[CheckArea]:
    """Both ends of the shaft, laid out from the coupling end and turned round if need be."""

    def turned(from_in: float, to_in: float) -> tuple[float, float]:
        low, high = sorted((from_in, to_in))
        if not zero_at_coupling:
            low, high = length_in - high, length_in - low
        return max(0.0, low), min(length_in, high)

    def area(name: str, from_in: float, to_in: float, why: str, assumed: bool) -> CheckArea:
        return CheckArea(name, *turned(from_in, to_in), why, assumed)

    seat = _find(riding, "coupling", turned)
    taper = _find(riding, "taper", turned)
    no_seat, no_taper = seat is None, taper is None
    seat = seat or (0.0, COUPLING_DIAMETERS * diameter_in)
    taper = taper or (
        length_in - PROPELLER_END_DIAMETERS * diameter_in,
        length_in - 1.5 * diameter_in,
    )
    corner = "cracks start at the corners and the end of a keyway"
    found = [
        area("coupling end", 0.0, MARGIN_IN, "burrs and drawing marks start cracks", no_seat),
        area("coupling keyway and its end", 0.0, seat[1] + MARGIN_IN, corner, no_seat),
        area("propeller keyway and its end", taper[0] - MARGIN_IN, taper[1], corner, no_taper),
        area(
            "propeller taper", taper[0] - MARGIN_IN, taper[1],
            "fretting under the big end of the hub", no_taper,
        ),
        area(
            "propeller thread", taper[1], length_in,
            "the first threads carry the pull of the nut", no_taper,
        ),
    ]  # fmt: skip
    return [one for one in found if one.to_in > one.from_in]  # a taper up to the end has no thread


def _find(
    riding: Sequence[RidingSpan], kind: str, turned: Callable[[float, float], tuple[float, float]]
) -> tuple[float, float] | None:
    """First riding area of a kind, its stations counted from the coupling end."""
    for area in riding:
        if area.kind == kind:
            return turned(area.from_in, area.to_in)
    return None


@dataclass(frozen=True)
class _Kind:
    """Name and reason of the areas at single places."""

    one: str
    many: str
    why: str


HIT = _Kind(
    "straightened spot at",
    "straightened spots",
    "the ram compressed the high side here and stretched the far side",
)
BEND = _Kind("bend as received at", "bends as received", "bent metal may crack when pressed back")
EARLIER = _Kind(
    "earlier spot at", "earlier spots", "straightened at an earlier visit: look before and after"
)


def _spots(
    length_in: float, diameter_in: float, places_in: Sequence[float], kind: _Kind
) -> list[CheckArea]:
    """Single places, one diameter either way and the margin; close ones run together."""
    reach = diameter_in + MARGIN_IN
    groups: list[list[float]] = []
    for station in sorted(places_in):
        if groups and station - groups[-1][-1] <= reach:
            groups[-1].append(station)
        else:
            groups.append([station])
    return [
        CheckArea(
            f"{kind.one} {group[0]:.4g} in"
            if group[0] == group[-1]
            else f"{kind.many} {group[0]:.4g} to {group[-1]:.4g} in",
            max(0.0, group[0] - reach),
            min(length_in, group[-1] + reach),
            kind.why,
            straightened=kind is HIT,
            before_hits=kind is not HIT,
        )
        for group in groups
    ]
