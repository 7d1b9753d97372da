"""Press or heat for each bend of a round, and what the shop usually does. Pure."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from math import radians

from core.base.errors import ShaftlogError
from core.jobs.heat.plan import (
    HeatFigures,
    ceiling_at_rad,
    heat_figures,
    plan_heat,
)
from core.jobs.straightening import HitToMake, RawJob, StraighteningState
from core.straightening.heat_spots import (
    FIRST_ARC_RAD,
    FIRST_SHARE,
    LONGEST_SPOT_IN,
    ROUND_RECORD,
    SPOT_LENGTH_IN,
    WIDEST_ARC_RAD,
    HeatedSpot,
    SpotPlan,
    SpotSize,
    read_cold_after_min,
    size_for,
    slowest_decay_min,
)
from core.straightening.method import HEAT_MIN, MethodChoice, heat_choice, press_choice
from core.straightening.response import HEAT, PRESS, HitOutcome, Response


@dataclass(frozen=True)
class BendMethods:
    """One bend both ways."""

    planned: HitToMake
    press: MethodChoice | None
    heat: MethodChoice | None
    spots: SpotPlan | None
    """The next heat spot; None = not to be had, see `no_heat`."""
    no_press: str = ""
    no_heat: str = ""


def usual_method(raw: RawJob, earlier: Sequence[RawJob]) -> str:
    """What this shop does most on this material, this job counted three times; press at first."""
    count: Counter[str] = Counter()
    for job, weight in ((raw, 3), *((other, 1) for other in earlier)):
        for one in job.rounds:
            count.update({made.method: weight for made in one.hits})
    return HEAT if count[HEAT] > count[PRESS] else PRESS


def methods_of(
    state: StraighteningState, planned: HitToMake, size: SpotSize | None = None
) -> BendMethods:
    """Strokes and spots, minutes and objections for one bend."""
    raw = state.raw
    press = None
    if planned.stroke is not None:
        press = press_choice(
            planned.stroke, state.responses[PRESS], capacity_lbf=raw.shop.press_capacity_lbf
        )
    try:
        figures = heat_figures(raw.shaft, state.record)
        size = size or usual_size(figures, raw, planned.hit.angle_rad, state.responses[HEAT])
        spots = plan_heat(
            raw.shaft,
            raw.areas,
            planned.hit,
            state.responses[HEAT],
            figures,
            size,
            heated=heated_before(raw),
        )
    except ShaftlogError as error:
        return BendMethods(planned, press, None, None, planned.trouble, str(error))
    heat = heat_choice(
        planned.hit.angle_rad,
        spots.ceiling_rad,
        state.responses[HEAT],
        cool_min=_cool_min(raw, figures),
        advice=figures.advice,
    )
    return BendMethods(planned, press, heat, spots, planned.trouble)


def usual_size(figures: HeatFigures, raw: RawJob, angle_rad: float, response: Response) -> SpotSize:
    """The spot for a bend at the limit of temperature: for half of it while there is no record."""
    limit_f = figures.advice.keep_under_f
    if limit_f is None:
        return SpotSize()
    wanted = angle_rad * (1.0 if response.n_hits >= ROUND_RECORD else FIRST_SHARE)
    return size_for(
        wanted,
        response.mean,
        lambda size: ceiling_at_rad(figures, raw.shaft.diameter_in, size, limit_f),
    )


def largest_spot_rad(raw: RawJob, record: Sequence[HitOutcome]) -> float | None:
    """The most that the largest spot can take out at the limit; None = no heat on this material."""
    try:
        figures = heat_figures(raw.shaft, record)
    except ShaftlogError:
        return None
    limit_f = figures.advice.keep_under_f
    if limit_f is None:
        return None
    size = SpotSize(LONGEST_SPOT_IN, WIDEST_ARC_RAD)
    return ceiling_at_rad(figures, raw.shaft.diameter_in, size, limit_f) or None


def spot_min(raw: RawJob) -> float:
    """Minutes of one spot: heating, and waiting until it is read cold."""
    figures = heat_figures(raw.shaft)
    return HEAT_MIN + _cool_min(raw, figures)


def _cool_min(raw: RawJob, figures: HeatFigures) -> float:
    decay_min = slowest_decay_min(raw.shaft.diameter_in, figures.diffusivity_in2_s)
    dial_in = raw.start.resolution_in if raw.start else raw.shop.resolution_in
    return read_cold_after_min(decay_min, dial_in)


def heated_before(raw: RawJob) -> tuple[HeatedSpot, ...]:
    """The spots made on this job; where no size was noted, one of the usual size."""
    return tuple(
        HeatedSpot(
            made.station_in,
            radians(made.clock_deg),
            SpotSize(
                made.spot_length_in or SPOT_LENGTH_IN,
                FIRST_ARC_RAD if made.spot_arc_deg is None else radians(made.spot_arc_deg),
            ),
        )
        for one in raw.rounds
        for made in one.hits
        if made.method == HEAT
    )
