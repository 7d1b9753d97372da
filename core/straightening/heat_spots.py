"""Heat spots as a way of straightening: where, how large, how many, and when the bar is cold again.

A spot on the high side, heated and cooled, is shortened: while hot it cannot push the cold bar
apart and yields, and on cooling it pulls. What it can take out at most::

    angle = strain * length * Q / I        strain = alpha * rise - yield / E

with Q the first moment of the heated part of the section about its middle and I the second moment
of the whole. `alpha * rise` is the free thermal strain, `yield / E` what the bar takes up
elastically before anything yields. It is a ceiling by its own assumptions: the heated part takes
no load while hot, the rest of the section stays cold and elastic. Not modelled: cooling rate, how
far the heat spreads, restraint of rams or blocks, phase changes, and spots on metal that was
heated before (the literature names the second heat at one place as almost without effect).

What share of the ceiling a shop reaches is learnt from its own spots
(`core.straightening.response`, method 'heat', asked = the ceiling of the spot), and so carries over
between diameters and spot sizes.

Source: elementary mechanics, worked out here. Length and arc of a spot: trade guidance in
`core/tables/heat_cautions.csv`. Lengths inches, angles radians, temperatures F.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import asin, ceil, hypot, isfinite, log, pi, radians, sin

from core.base.errors import BadReadings, ShaftlogError
from core.base.units import format_length, format_station
from core.straightening.response import Response

FIRST_ARC_RAD = radians(30.0)
NARROWEST_ARC_RAD = radians(20.0)
WIDEST_ARC_RAD = radians(120.0)
SPOT_LENGTH_IN = 1.0
SHORTEST_SPOT_IN = 0.5
"""Half the width of a coin. Common practice, no source."""
LONGEST_SPOT_IN = 2.0
DEPTH_SHARE = 0.25
"""Depth heated, over the diameter, unless given. Ours, no source: deeper heats the whole bar."""
CLEAR_OF_RIDING_IN = 2.0
"""Kept between a spot and a bearing surface, taper or keyway. Common practice, no source."""
BESIDE_IN = 0.5
"""Sound metal kept, along or round the bar, between a spot and an earlier one: heats that overlap
do not work and leave stress and cracks (printed of turbine rotors). The distance is ours."""
FARTHEST_IN = 8.0
"""A spot is made no further from the bend. Ours, no source."""
GRID_IN = 0.25
FIRST_SHARE = 0.5
"""With no record the first spot aims for at most this share of the bend."""
ROUND_RECORD = 3
"""Own spots on this material before a spot is made for a whole bend; until then for half of it."""
SLOW_BOW_MIN = 20.0
"""Time in which the bow of a bar that cools in air falls to 37 %: seen in a trial where it spoilt
one sweep in three. No source."""
LEFT_IN = 0.00025
"""Bow that may still be there when a bar is called cold: a quarter of the usual limit on
eccentricity. Ours, no source. Two readings that agree within a half-thou dial can be 1 thou
apart; after a wait in which the bow falls to half, 1.2 thou were left, and spots were made for
them."""
COOL_DECAYS = 1.5
"""A bar is read cold after about so many decays of its bow and the wait between two readings, tried
with a bow of 4 thou."""


@dataclass(frozen=True)
class SpotSize:
    """The heated patch: along the shaft, round it, and how deep it goes."""

    length_in: float = SPOT_LENGTH_IN
    arc_rad: float = FIRST_ARC_RAD
    depth_in: float | None = None
    """None = a quarter of the diameter."""


@dataclass(frozen=True)
class HeatedSpot:
    """A patch that was heated before: metal heated twice gives little."""

    station_in: float
    high_side_rad: float
    size: SpotSize

    @property
    def kept_clear_in(self) -> tuple[float, float]:
        """From and to along the shaft, with what is kept beside it."""
        half = self.size.length_in / 2 + BESIDE_IN
        return self.station_in - half, self.station_in + half

    def is_in_the_way(self, high_side_rad: float, arc_rad: float, diameter_in: float) -> bool:
        """Whether a new spot at that clock would come too near at the same station; one on the
        other side of the bar does not."""
        off = abs((high_side_rad - self.high_side_rad + pi) % (2 * pi) - pi)
        return off < (self.size.arc_rad + arc_rad) / 2 + 2 * BESIDE_IN / diameter_in


@dataclass(frozen=True)
class SpotPlan:
    """The next spot at one bend. One, then it is read: several side by side spread over a foot and
    leave a bow of their own (tried in the second world: 44 spots a shaft with six, 37 with one)."""

    high_side_rad: float
    """Its clock."""
    station_in: float
    """Middle of the spot."""
    size: SpotSize
    along: bool
    """True: a line along the shaft; False: an arc round it (wider than it is long)."""
    ceiling_rad: float
    """What one spot can take out at most: the angle to record as asked for."""
    each_rad: float
    """What one spot is expected to take out, by the shop's own share."""
    total_spots: int
    """Spots expected for the whole bend."""
    notes: tuple[str, ...]


def ceiling_rad(
    diameter_in: float,
    size: SpotSize,
    *,
    rise_f: float,
    expansion_per_f: float,
    e_psi: float,
    yield_psi: float,
) -> float:
    """Largest angle one spot can take out of a solid round bar, radians; 0 below first yield.

    `rise_f` is the temperature of the spot above that of the bar.
    """
    depth = DEPTH_SHARE * diameter_in if size.depth_in is None else size.depth_in
    figures = (diameter_in, size.length_in, size.arc_rad, depth, expansion_per_f, e_psi, yield_psi)
    if not all(isfinite(v) and v > 0 for v in figures) or not isfinite(rise_f) or rise_f < 0:
        raise ShaftlogError(
            "A heat spot needs diameter, size, expansion, modulus and yield above zero, and a "
            "temperature not below that of the bar."
        )
    if size.length_in > LONGEST_SPOT_IN or size.arc_rad > WIDEST_ARC_RAD or 2 * depth > diameter_in:
        raise ShaftlogError(
            f"A heat spot is at most {format_station(LONGEST_SPOT_IN)} long, 120 degrees round and "
            "half the diameter deep. Make it smaller and use more of them."
        )
    radius = diameter_in / 2
    first_moment = 2 * sin(size.arc_rad / 2) * (radius**3 - (radius - depth) ** 3) / 3
    strain = max(0.0, expansion_per_f * rise_f - yield_psi / e_psi)
    return strain * size.length_in * first_moment / (pi * radius**4 / 4)


def size_for(wanted_rad: float, share: float, ceiling_of: Callable[[SpotSize], float]) -> SpotSize:
    """The smallest spot that is expected to take out an angle; where none does, one of equal spots
    that do so together. It goes round the bar before along it, so that the next spot finds sound
    metal near the bend.

    `share`: the shop's share of the ceiling. Where a spot only springs back, any size will do.
    """
    widest = share * ceiling_of(SpotSize(SHORTEST_SPOT_IN, WIDEST_ARC_RAD))
    if not widest > 0:
        return SpotSize()
    if wanted_rad <= widest:
        arc_rad = 2 * asin(sin(WIDEST_ARC_RAD / 2) * wanted_rad / widest)
        return SpotSize(SHORTEST_SPOT_IN, max(arc_rad, NARROWEST_ARC_RAD))
    length_in = SHORTEST_SPOT_IN * wanted_rad / widest
    return SpotSize(length_in / ceil(length_in / LONGEST_SPOT_IN - 1e-9), WIDEST_ARC_RAD)


def plan_spot(
    station_in: float,
    kappa_rad: tuple[float, float],
    high_side_rad: float,
    ceiling_each_rad: float,
    size: SpotSize,
    *,
    diameter_in: float,
    response: Response,
    keep_clear_in: Sequence[tuple[float, float]] = (),
    heated: Sequence[HeatedSpot] = (),
    ends_in: tuple[float, float] = (0.0, float("inf")),
) -> SpotPlan:
    """The next spot at a bend.

    Parameters
    ----------
    kappa_rad : the bend to take out; high_side_rad : its clock, where the spot goes
    keep_clear_in : bearing surfaces, tapers, keyways; spots stay `CLEAR_OF_RIDING_IN` away
    heated : spots of before; a new one keeps `BESIDE_IN` away
    ends_in : the ends of the shaft

    Raises
    ------
    ShaftlogError : the spot takes nothing out, or no place near the bend is clear.
    """
    angle = hypot(*kappa_rad)
    each = ceiling_each_rad * response.mean
    if not each > 0 or not angle > 0:
        raise ShaftlogError(
            "At this temperature a spot takes nothing out: the bar springs back. Heat more, or "
            "press it."
        )
    total = max(1, ceil(angle / each - 1e-9))
    notes = _notes(response, each / angle, total)
    taken = [(low - CLEAR_OF_RIDING_IN, high + CLEAR_OF_RIDING_IN) for low, high in keep_clear_in]
    taken += [
        spot.kept_clear_in
        for spot in heated
        if spot.is_in_the_way(high_side_rad, size.arc_rad, diameter_in)
    ]
    place_in = _clear_place(station_in, size.length_in, taken, ends_in)
    if abs(place_in - station_in) > size.length_in:
        notes.append(
            "Nearest place clear of riding surfaces, keyways and earlier spots: "
            f"{format_length(abs(place_in - station_in), 1)} from the bend. It leaves a kink "
            "there: by press is better."
        )
    return SpotPlan(
        high_side_rad=high_side_rad,
        station_in=place_in,
        size=size,
        along=size.length_in > size.arc_rad * diameter_in / 2,
        ceiling_rad=ceiling_each_rad,
        each_rad=each,
        total_spots=total,
        notes=tuple(notes),
    )


def _notes(response: Response, share_of_bend: float, total: int) -> list[str]:
    """What the record says of how to go about it."""
    if response.n_hits >= ROUND_RECORD:
        more = f"{total} spots by the record: one now, let it cool, read."
        return [more] if total > 1 else []
    first = "First spot small, let it cool, read, then the next."
    smaller = "This spot may take out more than half the bend: make it smaller."
    rounded = 1.05  # lengths and arcs are typed and shown in round figures
    return [first, smaller] if share_of_bend > FIRST_SHARE * rounded else [first]


def _clear_place(
    station_in: float,
    length_in: float,
    taken_in: Sequence[tuple[float, float]],
    ends_in: tuple[float, float],
) -> float:
    """Middle of a spot as near as can be to a station, in no length taken."""
    half, steps = length_in / 2, int(FARTHEST_IN / GRID_IN)
    for x in sorted(
        (station_in + GRID_IN * k for k in range(-steps, steps + 1)),
        key=lambda x: (abs(x - station_in), x),
    ):
        on_shaft = ends_in[0] + half <= x <= ends_in[1] - half
        if on_shaft and all(
            x + half <= low + 1e-9 or x - half >= high - 1e-9 for low, high in taken_in
        ):
            return x
    raise ShaftlogError(
        f"No place for a heat spot within {format_length(FARTHEST_IN, 1)} of "
        f"{format_station(station_in)} is clear of riding surfaces, tapers, keyways and earlier "
        "spots. Press it."
    )


# --- cooling


def settling_min(diameter_in: float, diffusivity_in2_s: float) -> float:
    """Time in which the bow of a bar warm on one side falls to 37 %, minutes, once heating stopped.

    Slowest one-sided mode of an insulated round section: R^2 / (1.841^2 a), 1.841 the first zero
    of the slope of the Bessel function J1 (textbook). A bar that is still being warmed from one
    side (sun, stove, a hot coupling) settles far more slowly.
    """
    return (diameter_in / 2) ** 2 / (1.841**2 * diffusivity_in2_s) / 60


def slowest_decay_min(diameter_in: float, diffusivity_in2_s: float) -> float:
    """The slower of the bow of the hot section and that of a bar that cools in air, minutes."""
    return max(SLOW_BOW_MIN, settling_min(diameter_in, diffusivity_in2_s))


def wait_between_min(decay_min: float, dial_in: float) -> float:
    """How far apart the two readings that call a bar cold must be, minutes.

    Readings that agree within a graduation of the dial are up to two graduations apart. A bow that
    falls to 37 % in `decay_min` and lost no more than that in the wait has at most `LEFT_IN` left::

        left * (exp(wait / decay) - 1) = 2 dial
    """
    return decay_min * log(1 + 2 * dial_in / LEFT_IN)


def read_cold_after_min(decay_min: float, dial_in: float) -> float:
    """About how long after heating a bar is read cold, minutes."""
    return wait_between_min(decay_min, dial_in) + COOL_DECAYS * decay_min


@dataclass(frozen=True)
class Cooling:
    """Whether a bar is cold, by readings of one mark while the shaft lies still."""

    is_cold: bool
    cold_since_min: float | None
    """Time of the second of the two readings that agree; readings before it are warm."""
    read_again_min: float | None
    """Time from which a reading can call it cold; None = at any time, or it is cold."""
    text: str


def cooling(
    minute: Sequence[float], reading_in: Sequence[float], dial_in: float, wait_min: float
) -> Cooling:
    """Cold = the last reading agrees, within the dial, with all read in the `wait_min` before it.

    Parameters
    ----------
    minute : (n,) rising; reading_in : (n,) the same mark each time; dial_in : one graduation

    A reading taken before `cold_since_min` is warm: it is kept but never used.
    """
    if len(minute) != len(reading_in) or any(b <= a for a, b in pairwise(minute)):
        raise BadReadings("Cooling needs one reading for each time, times rising.")
    if not minute:
        text = f"Read one mark now, and again in {wait_min:.0f} min."
        return Cooling(False, None, None, text)
    alike = _first_alike(reading_in, dial_in * (1 + 1e-9))
    if minute[-1] - minute[alike] >= wait_min - 1e-9:
        return Cooling(True, minute[-1], None, "Cold: it reads the same. Sweep or read now.")
    moved = "Still warm: it moved. Readings now do not count. " if alike else ""
    return Cooling(
        False, None, minute[alike] + wait_min, f"{moved}Read it again when the clock shows NOW."
    )


def _first_alike(reading_in: Sequence[float], within_in: float) -> int:
    """Number of the first reading from which on all agree with one another."""
    first = len(reading_in) - 1
    while first and max(reading_in[first - 1 :]) - min(reading_in[first - 1 :]) <= within_in:
        first -= 1
    return first
