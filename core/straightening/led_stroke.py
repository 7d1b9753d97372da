"""A press stroke led by what stays: load, release, read, a little further, until it stays.

Real steel hardens and remembers: against a fibre beam the set reached was 0.2 to 7.7 times the
asked by load, 0.7 to 3.2 by travel, and 0.99 to 1.14 by the dial under the ram after release,
whatever the bar had seen. So load and travel are a caution, the reading after release is the goal.
The program that tries this: `tests/bench/world/led.py`. Lengths inches, angles radians.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from core.straightening.press import Stroke, stroke_for_set

WEAKEST_SHARE = 0.25
"""The first load stops where a bar with this share of the stated yield would keep the asked set: a
bar bent the other way before yields early."""
CLOSE_SHARE = 0.04
CLOSE_IN = 0.0005
"""It stays where asked within this share of the reading, or half a thou."""
NOTHING_IN = CLOSE_IN / 2
"""Less than this is nothing on the dial."""
UNSEEN_SHARE = 0.85
"""Nothing has stayed: the bar does not yield before this share of the travel. Real steel begins
softly, and what stayed first does not show on the dial."""
SMALL_GOAL_SHARE = 0.4
"""But never within more than this share: a small set must show on the dial at all."""
TOO_FAR_SHARE = 0.25
CEILING_SHARE = 2.0
JUST_YIELDED_SHARE = 0.6
"""At least this share of further travel may stay after the first step of which anything stayed:
part of that step was elastic."""
MORE_MAY_STAY = 1.5
"""Of further travel this many times the share that stayed last time may stay."""
NEAR_GOAL = 0.8
"""The share of further travel that stays by theory is taken from this share of the set on."""
SMALL_STEP = 0.06
"""A step of this share of the calculated travel is small."""


@dataclass(frozen=True)
class LoadTried:
    """One load and release at a place: both dial readings under the ram, from where it stood
    before the first load there."""

    travel_in: float
    """Under load."""
    stays_in: float
    """After release."""


@dataclass(frozen=True)
class NextLoad:
    """What to do next at the ram."""

    travel_in: float | None
    """Take the dial to this under load, from where it stood before the first load; None = stop."""
    done: bool
    """The dial stays where it was asked to."""
    left_in: float
    """What the dial still lacks of the asked reading after release; negative = too far."""
    set_rad: float
    """Angle taken out so far, by the reading after release."""
    text: str
    """One sentence for the screen."""


def set_of_stays(stroke: Stroke, stays_in: float) -> float:
    """Angle that a reading after release means, on the bar and blocks of a stroke.

    Up to the asked set the two are in proportion, near enough: against a fibre beam with hardening
    the set was 0.99 to 1.14 of what this says.
    """
    if stroke.stays_in <= 0:
        return 0.0
    return stroke.set_rad * stays_in / stroke.stays_in


def next_load(stroke: Stroke, tried: Sequence[LoadTried] = ()) -> NextLoad:
    """Lead a stroke by what stays: load, release, read, a little further, until it stays.

    The first load stops where a bar with `WEAKEST_SHARE` of the stated yield would already keep the
    asked set, so it cannot go too far. After that the dial goes down by what it still lacks: what
    stays never grows faster than the travel, so no load overshoots. Where the last load shows how
    much of the travel stays, the step is larger by that; where nothing has stayed, it is what the
    weakest bar that would not have yielded yet needs. Load and travel are a caution: past
    `CEILING_SHARE` of the calculated travel the stroke stops, because something is not as stated.

    Source: worked out here, tried against a fibre beam (`tests/bench/world/fibre.py`).
    """
    goal = stroke.stays_in
    close = min(max(CLOSE_SHARE * goal, CLOSE_IN), SMALL_GOAL_SHARE * goal)
    stays = tried[-1].stays_in if tried else 0.0
    left, reached = goal - stays, set_of_stays(stroke, stays)
    if tried and left <= close:
        over = left < -max(TOO_FAR_SHARE * goal, close)
        text = "Too far: roll the shaft before another hit." if over else "It stays where asked."
        return NextLoad(None, True, left, reached, text)
    if not tried:
        bar = stroke.diameter_in, stroke.span_in, stroke.e_psi
        weak = stroke_for_set(*bar, WEAKEST_SHARE * stroke.yield_psi, stroke.set_rad)
        return NextLoad(weak.travel_in, False, left, 0.0, "First load: little or nothing stays.")
    last = tried[-1].travel_in
    sure = max(stroke.travel_in, last + left, last + SMALL_STEP * stroke.travel_in)
    if stays < NOTHING_IN:
        weakest = _goal_of_a_bar_that_yields_at(stroke, UNSEEN_SHARE * last)
        travel = min(sure, max(weakest, last + left / _share_near_goal(stroke)))
    else:
        travel = min(sure, last + left / _share_that_stays(stroke, tried))
    if travel > CEILING_SHARE * stroke.travel_in:
        text = (
            "Stop: the next load would go far past the travel by theory. Check blocks, dial, "
            "diameter and material."
        )
        return NextLoad(None, False, left, reached, text)
    return NextLoad(travel, False, left, reached, "Load to this, release, read.")


def _goal_of_a_bar_that_yields_at(stroke: Stroke, travel_in: float) -> float:
    """Travel that leaves the asked set in a bar that begins to yield at another one."""
    yields_psi = stroke.yield_psi * travel_in / stroke.yields_at_travel_in
    bar = stroke.diameter_in, stroke.span_in, stroke.e_psi
    return stroke_for_set(*bar, yields_psi, stroke.set_rad).travel_in


def _share_that_stays(stroke: Stroke, tried: Sequence[LoadTried]) -> float:
    """Share of further travel that will stay: what the last step shows, and more to be safe.

    It grows with the travel; at least the share by theory near the goal is reckoned with, which is
    more than that of a bar that hardens.
    """
    if len(tried) < 2:
        return 1.0
    before, last = tried[-2:]
    further = last.travel_in - before.travel_in
    shown = (last.stays_in - before.stays_in) / further if further > 0 else 1.0
    just_yielded = before.stays_in < CLOSE_IN <= last.stays_in
    least = max(_share_near_goal(stroke), JUST_YIELDED_SHARE if just_yielded else 0.0)
    return min(1.0, max(least, MORE_MAY_STAY * shown))


def _share_near_goal(stroke: Stroke) -> float:
    """Share of further travel that stays by theory near the goal."""
    bar = stroke.diameter_in, stroke.span_in, stroke.e_psi, stroke.yield_psi
    near = stroke_for_set(*bar, NEAR_GOAL * stroke.set_rad)
    return (stroke.stays_in - near.stays_in) / (stroke.travel_in - near.travel_in)
