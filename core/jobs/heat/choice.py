"""Press or heat for each bend of a round, and what the shop usually does. Pure."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

from core.base.errors import ShaftlogError
from core.jobs.heat.plan import cools_in_min, heat_figures, plan_heat
from core.jobs.straightening import HitToMake, RawJob, StraighteningState
from core.straightening.heat_spots import LONGEST_WAIT_MIN, SpotPlan, SpotSize
from core.straightening.method import MethodChoice, heat_choice, press_choice

PRESS, HEAT = "press", "heat"
COOL_DECAYS = 2.0
"""A bar is read cold after about so many decays of its bow and the wait between two readings. Ours,
no source."""


@dataclass(frozen=True)
class BendMethods:
    """One bend both ways."""

    planned: HitToMake
    press: MethodChoice | None
    heat: MethodChoice | None
    spots: SpotPlan | None
    """The heat spots of one round; None = not to be had, see `no_heat`."""
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
        spots = plan_heat(
            raw.shaft,
            raw.areas,
            planned.hit,
            state.responses[HEAT],
            figures,
            size or SpotSize(),
            heated_in=heated_in(raw),
        )
    except ShaftlogError as error:
        return BendMethods(planned, press, None, None, planned.trouble, str(error))
    cool_min = LONGEST_WAIT_MIN + COOL_DECAYS * cools_in_min(figures, raw.shaft.diameter_in)
    heat = heat_choice(
        planned.hit.angle_rad,
        spots.ceiling_rad,
        state.responses[HEAT],
        cool_min=cool_min,
        advice=figures.advice,
    )
    return BendMethods(planned, press, heat, spots, planned.trouble)


def heated_in(raw: RawJob) -> tuple[float, ...]:
    """Stations heated on this job."""
    return tuple(m.station_in for one in raw.rounds for m in one.hits if m.method == HEAT)
