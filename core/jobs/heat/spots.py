"""A heat spot as it is noted, and its cooling read: what the screens of heat call."""

from __future__ import annotations

from dataclasses import dataclass
from math import pi

from core.base.errors import ShaftlogError
from core.base.quantities import TEMPERATURE
from core.base.units import format_length, format_station
from core.book import hits
from core.book.connection import Book
from core.jobs import hit_actions
from core.jobs.heat.cooling import COOLING, SpotCooling, spots_of
from core.jobs.heat.plan import LEAST_ANGLE_RAD, ceiling_at_rad, heat_figures
from core.jobs.hit_actions import HitEntry
from core.jobs.straightening import RawJob
from core.straightening.heat_spots import FIRST_ARC_RAD, SPOT_LENGTH_IN, SpotPlan, SpotSize


@dataclass(frozen=True)
class SpotMade:
    """A spot as it was made. What nobody read is None."""

    station_in: float
    high_side_rad: float
    length_in: float = SPOT_LENGTH_IN
    arc_rad: float = FIRST_ARC_RAD
    temperature_f: float | None = None
    by: str = ""
    overrule_by: str = ""
    overrule_reason: str = ""


def entry_of_spot(raw: RawJob, made: SpotMade) -> HitEntry:
    """The hit that records a spot: what is asked of it is its ceiling at the temperature measured,
    or at the limit when nobody measured."""
    figures = heat_figures(raw.shaft)
    hot_f = made.temperature_f if made.temperature_f is not None else figures.advice.keep_under_f
    if hot_f is None:
        raise ShaftlogError("Type the temperature measured: no limit is known for this material.")
    size = SpotSize(made.length_in, made.arc_rad)
    most = ceiling_at_rad(figures, raw.shaft.diameter_in, size, hot_f)
    return HitEntry(
        made.station_in,
        made.high_side_rad % (2 * pi),
        max(most, LEAST_ANGLE_RAD),
        "heat",
        temperature_f=made.temperature_f,
        diameter_in=raw.shaft.diameter_in,
        spot_length_in=made.length_in,
        spot_arc_rad=made.arc_rad,
        by=made.by,
        overrule_by=made.overrule_by,
        overrule_reason=made.overrule_reason,
    )


def too_hot(raw: RawJob, made: SpotMade) -> str:
    """What a temperature over the limit asks for; '' = none measured, or within it."""
    limit_f = heat_figures(raw.shaft).advice.keep_under_f
    if made.temperature_f is None or limit_f is None or made.temperature_f <= limit_f:
        return ""
    hot, limit = TEMPERATURE.text(made.temperature_f), TEMPERATURE.text(limit_f)
    return (
        f"{hot} is over the limit of {limit}: it is on record. Look for cracks, and ask whether "
        "the metal is still sound."
    )


def last_spot(book: Book, job_id: str) -> SpotCooling | None:
    """The heat spot made last and how it cools; None = none on this job."""
    spots = spots_of(book, job_id)
    return spots[-1] if spots else None


def read_cooling(book: Book, spot: SpotCooling, value_in: float, by: str = "") -> None:
    """Store one look at the dial while the bar cools."""
    hit_actions.check_may_hit(book, spot.hit.job_id)
    hits.add_reading(
        book,
        job_id=spot.hit.job_id,
        hit_id=spot.hit.id,
        kind=COOLING,
        value_in=value_in,
        by=by,
    )


def undo_cooling(book: Book, spot: SpotCooling) -> None:
    """Take the last look back."""
    if not spot.readings:
        raise ShaftlogError("The dial has not been read since this spot.")
    hits.undo_reading(book, spot.readings[-1])


def size_of(plan: SpotPlan, diameter_in: float) -> str:
    """Line or arc with its size, in words."""
    round_in = plan.size.arc_rad * diameter_in / 2
    shape = "line along the shaft" if plan.along else "arc round the shaft"
    long = format_station(plan.size.length_in)
    return f"{shape}, {long} long and {format_length(round_in, 2)} round"
