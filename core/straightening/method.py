"""Press or heat for one bend: what each takes, and what speaks against it.

Pure figures; the shop's habit decides. A new place costs more than another act where the blocks
already are. Minutes as in the forecast; lengths inches, angles radians.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil, sqrt
from typing import Literal

from core.straightening.heat import DEFER, HeatAdvice
from core.straightening.press import NEAR_LIMIT_RATIO, Stroke, hits_to_share, needs_more
from core.straightening.response import Response

NEW_PLACE_MIN = 6.0
SAME_PLACE_MIN = 2.0
STANDING_ROLL_MIN = 0.75
HEAT_MIN = 3.0
"""Heating one spot, minutes. Shop figure, no source."""
UPPER_95 = 1.645


@dataclass(frozen=True)
class MethodChoice:
    """One way to take out one bend."""

    method: Literal["press", "heat"]
    acts: int
    """Strokes or spots expected."""
    acts_95: int
    """No more than this nineteen times of twenty, by the record's scatter."""
    minutes: float
    against: tuple[str, ...]
    """What speaks against it, most serious first; empty = nothing."""


def press_choice(
    stroke: Stroke, response: Response, *, capacity_lbf: float | None = None
) -> MethodChoice:
    """The bend at the press: strokes side by side where one would fold the shaft."""
    places = hits_to_share(stroke)
    more = _repeats(response)
    against = []
    if capacity_lbf is not None and stroke.load_lbf > capacity_lbf:
        against.append(needs_more(stroke, capacity_lbf))
    if stroke.moment_ratio > NEAR_LIMIT_RATIO:
        against.append(f"Close to the load that folds the shaft: share it over {places} places.")
    minutes = places * (NEW_PLACE_MIN + STANDING_ROLL_MIN + (more - 1) * SAME_PLACE_MIN)
    return MethodChoice("press", places, ceil(places * more), minutes, tuple(against))


def heat_choice(
    angle_rad: float,
    ceiling_each_rad: float,
    response: Response,
    *,
    cool_min: float,
    advice: HeatAdvice,
) -> MethodChoice:
    """The bend by heat spots: one heated, cooled and read after the other."""
    against = [c.text for c in advice.cautions if c.kind == "warning"] + [DEFER]
    each = max(ceiling_each_rad * response.mean, 1e-9)
    spots = max(1, ceil(angle_rad / each - 1e-9))
    spread = UPPER_95 * sqrt(response.mean_sigma**2 + response.scatter**2 / spots)
    worst = max(0.2, 1 - spread / response.mean)
    most = ceil(angle_rad / (each * worst) - 1e-9)
    minutes = spots * (HEAT_MIN + cool_min + STANDING_ROLL_MIN) + NEW_PLACE_MIN - HEAT_MIN
    return MethodChoice("heat", spots, max(spots, most), minutes, tuple(against))


def _repeats(response: Response) -> float:
    """Strokes at one place until it is right nineteen times of twenty: one, or two when the
    record scatters."""
    return 2.0 if UPPER_95 * response.share_sigma > 0.2 else 1.0
