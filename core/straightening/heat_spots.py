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
from math import ceil, hypot, isfinite, log, pi, radians, sin

from core.base.errors import BadReadings, ShaftlogError
from core.base.units import format_length, format_station
from core.straightening.response import Response

FIRST_ARC_RAD = radians(30.0)
WIDEST_ARC_RAD = radians(120.0)
SPOT_LENGTH_IN = 1.0
SHORTEST_SPOT_IN = 0.5
"""Half the width of a coin. Common practice, no source."""
LONGEST_SPOT_IN = 2.0
DEPTH_SHARE = 0.25
"""Depth heated, over the diameter, unless given. Ours, no source: deeper heats the whole bar."""
CLEAR_OF_RIDING_IN = 2.0
"""Kept between a spot and a bearing surface, taper or keyway. Common practice, no source."""
SPACING = 2.0
"""Middle to middle of the spots of one round over their length: heats that overlap do not work and
leave stress and cracks (printed of turbine rotors)."""
BESIDE_IN = 0.5
"""Sound metal kept, along or round the bar, between a spot and one that is cold. Ours, no
source."""
FIRST_SHARE = 0.5
"""With no record the first spot aims for at most this share of the bend."""
MOST_SPOTS_A_ROUND = 1
"""Spots at one bend before it is read. Tried in the second world, at 40 % scatter: with six the
shafts took 44 spots, with one 37, since several spread over a foot leave a bow of their own."""
ROUND_RECORD = 3
"""Own spots on this material before a round of several is planned; until then one, then read."""
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

    def is_in_the_way(self, high_side_rad: float, arc_rad: float, diameter_in: float) -> bool:
        """Whether a new spot at that clock would come too near at the same station; one on the
        other side of the bar does not."""
        off = abs((high_side_rad - self.high_side_rad + pi) % (2 * pi) - pi)
        return off < (self.size.arc_rad + arc_rad) / 2 + 2 * BESIDE_IN / diameter_in


@dataclass(frozen=True)
class SpotPlan:
    """The spots of one round at one bend."""

    high_side_rad: float
    """Clock of all spots."""
    station_in: tuple[float, ...]
    """Middle of each spot, rising."""
    size: SpotSize
    along: bool
    """True: a line along the shaft; False: an arc round it (wider than it is long)."""
    ceiling_rad: float
    """What one spot can take out at most: the angle to record as asked for."""
    each_rad: float
    """What one spot is expected to take out, by the shop's own share."""
    total_spots: int
    """Spots expected for the whole bend; more than this round's when read in between."""
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


SIZES = (
    (0.5, 20.0),
    (0.5, 30.0),
    (0.5, 60.0),
    (0.5, 90.0),
    (0.5, 120.0),
    (1.0, 120.0),
    (2.0, 120.0),
)
"""Length in and arc in degrees of spots, smallest first: round the bar before along it, so that
the next spot finds sound metal near the bend."""


def size_for(wanted_rad: float, share: float, ceiling_of: Callable[[SpotSize], float]) -> SpotSize:
    """The smallest spot that is expected to take out an angle, its length cut to fit; where none
    does, one of equal spots that do so together.

    `share`: the shop's share of the ceiling. Where a spot only springs back, any size will do.
    """
    for length_in, arc_deg in SIZES:
        size = SpotSize(length_in, radians(arc_deg))
        expected = share * ceiling_of(size)
        if expected >= wanted_rad:
            break
    if not expected > 0:
        return SpotSize()
    each = wanted_rad / max(1, ceil(wanted_rad / expected - 1e-9))
    return SpotSize(max(length_in * each / expected, SHORTEST_SPOT_IN), size.arc_rad)


def plan_spots(
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
    """The spots of one round at a bend.

    Parameters
    ----------
    kappa_rad : the bend to take out; high_side_rad : its clock, where the spots go
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
    notes = []
    count = min(total, MOST_SPOTS_A_ROUND)
    if response.n_hits < ROUND_RECORD:
        notes.append("First spot small, let it cool, read, then the next.")
        count = 1
    elif total > count:
        notes.append(f"{total} spots by the record: {count} now, let it cool, read.")
    if count == 1 and response.n_hits < ROUND_RECORD and each > FIRST_SHARE * angle:
        notes.append("This spot may take out more than half the bend: make it smaller.")
    taken = [(low - CLEAR_OF_RIDING_IN, high + CLEAR_OF_RIDING_IN) for low, high in keep_clear_in]
    for spot in heated:
        if spot.is_in_the_way(high_side_rad, size.arc_rad, diameter_in):
            half = spot.size.length_in / 2 + BESIDE_IN
            taken.append((spot.station_in - half, spot.station_in + half))
    places = _clear_places(station_in, count, size.length_in, taken, ends_in)
    notes += _place_notes(places, count, station_in, size.length_in)
    return SpotPlan(
        high_side_rad=high_side_rad,
        station_in=places,
        size=size,
        along=size.length_in > size.arc_rad * diameter_in / 2,
        ceiling_rad=ceiling_each_rad,
        each_rad=each,
        total_spots=total,
        notes=tuple(notes),
    )


def _place_notes(
    places: Sequence[float], count: int, station_in: float, length_in: float
) -> list[str]:
    said = []
    if len(places) < count:
        said.append(f"Only {len(places)} spots fit clear of riding surfaces and keyways here.")
    beside_in = min(abs(x - station_in) for x in places)
    if beside_in > length_in:
        said.append(
            f"Nearest place clear of riding surfaces and keyways: {format_length(beside_in, 1)} "
            "from the bend. It leaves a kink there: by press is better."
        )
    return said


def _clear_places(
    station_in: float,
    count: int,
    length_in: float,
    taken_in: Sequence[tuple[float, float]],
    ends_in: tuple[float, float],
) -> tuple[float, ...]:
    """Middles of spots near a station, none in a length taken, none overlapping."""
    apart, half = SPACING * length_in, length_in / 2
    reach = apart * (count + 1) / 2 + CLEAR_OF_RIDING_IN + length_in
    steps = [
        station_in + apart / 4 * k
        for k in range(-ceil(4 * reach / apart), ceil(4 * reach / apart) + 1)
    ]

    def is_clear(x: float) -> bool:
        on_shaft = ends_in[0] + half <= x <= ends_in[1] - half
        return on_shaft and all(
            x + half <= low + 1e-9 or x - half >= high - 1e-9 for low, high in taken_in
        )

    chosen: list[float] = []
    for x in sorted(filter(is_clear, steps), key=lambda x: (abs(x - station_in), x)):
        if len(chosen) < count and all(abs(x - other) >= apart - 1e-9 for other in chosen):
            chosen.append(x)
    if not chosen:
        raise ShaftlogError(
            f"No place for a heat spot within {format_length(reach, 1)} of "
            f"{format_station(station_in)} is clear of riding surfaces, tapers and keyways. Press "
            "it."
        )
    return tuple(sorted(chosen))


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
