"""Text of the straighten screen."""

from __future__ import annotations

from collections.abc import Sequence
from math import radians
from typing import cast

from core.base.counting import many
from core.base.quantities import FORCE
from core.base.records import Hit
from core.base.units import (
    Unit,
    format_angle,
    format_clock,
    format_in_unit,
    format_length,
    format_station,
    length_unit,
)
from core.jobs.heat.choice import methods_of
from core.jobs.straightening import HitToMake, StraighteningState, check_stations_in
from core.straightening.press import PLASTIC_RATIO
from core.straightening.response import Response
from tui.widgets.list_box import Column

PRESS_SAFETY = (
    "Press: blocks on both sides, nobody in line with the shaft, hands out, face shield. A shaft "
    "or a block that slips flies. Creep up on the load; the first stroke is a prediction."
)
WORKING = "The round is still being worked out: press again in a moment."
LOST = "The chosen hit is no longer planned: choose one with Enter, Up or Down."
SAFETY = (
    "SAFETY: nobody in line with the shaft, hands out, face shield, blocks firm: what slips "
    "flies. Creep up. Heat: solvent, rags away; extinguisher at hand."
)
"""Both cautions in two lines of 80 columns, on the screen of the round."""
AFTER_SWEEP = (
    "The hold check (F7, 6) comes after a rest. The shape (F7, 4) has the verdicts, and which "
    "station to read where one is too close to call."
)
AFTER_CHECK = (
    "Sweep the whole shaft again (F7, 5): a full sweep after the last hit has the verdicts, and "
    "the hold check after the rest is compared with it."
)
HEAT_SAFETY = "Heat: solvent, penetrant and rags away first; extinguisher at hand; see F7."
PLACES = {"thou": 1, "mm": 2, "in": 4}
"""Decimals of a small length in each unit of the shop."""


def small(value_in: float, unit: str, *, with_unit: bool = True) -> str:
    """A dial figure or a travel in the unit of the shop."""
    text = format_in_unit(value_in, cast("Unit", unit), PLACES[unit])
    return text if with_unit else text.split()[0]


def unit_of(state: StraighteningState) -> str:
    """Unit of small lengths on the screens of straightening."""
    return state.raw.shop.unit


def headline(
    state: StraighteningState, cracks: int, cautions: Sequence[str] = ()
) -> tuple[str, ...]:
    """What comes first, what to do next, what is not safe, and the sweep that is not used."""
    first = _state_and_next(state, cracks)
    unsafe = () if cracks else cautions
    return (*unsafe, *first, *([state.raw.unused] if state.raw.unused else []))


def _state_and_next(state: StraighteningState, cracks: int) -> tuple[str, str]:
    if cracks:
        return (
            "STOP: a crack was found.",
            "No hit until it is overruled in writing on the penetrant screen.",
        )
    story = state.story
    if story is not None and story.line is None:
        said = " ".join(d for result in story.rounds[-1:] for d in result.doubts)
        return state.trouble, f"{said} F7: correct a hit, or sweep the whole shaft.".strip()
    if state.trouble:
        return state.trouble, "The job card (F10) opens the sweep."
    assert story is not None
    worst = f"bend part of the TIR at worst {small(state.worst_now_in, unit_of(state))}"
    worst += ", by sweep and hits" if state.by_sweep_and_hits else ""
    if story.waits_for_check:
        made = len(story.rounds[-1].made)
        left = f", {len(state.plan)} more to make" if state.plan else ""
        return (
            f"{made} {'hit' if made == 1 else 'hits'} made since the last reading{left}; by the "
            f"plan {worst}.",
            f"F6 starts the quick check of the hits made so far: {_stations(state)}.",
        )
    if not state.plan:
        return f"NOTHING MORE TO HIT: {worst}.", AFTER_SWEEP if story.swept else AFTER_CHECK
    number = len(story.rounds) + 1
    count = f"{len(state.plan)} {'hit' if len(state.plan) == 1 else 'hits'}"
    return f"ROUND {number}: {count}; {worst}.", doubt_or_response(state)


def _stations(state: StraighteningState) -> str:
    assert state.story is not None
    return station_words(check_stations_in(state.story))


def station_words(places_in: Sequence[float]) -> str:
    """Places along the shaft one after the other, the unit once."""
    return f"{', '.join(format_station(x, unit=False) for x in places_in)} {length_unit()}"


def doubt_or_response(state: StraighteningState) -> str:
    """What the readings after the last round say against its hits; else the shop's response."""
    story = state.story
    if story is not None and story.rounds and story.rounds[-1].doubts:
        return story.rounds[-1].doubts[0]
    return response_text(state.responses["press"])


def response_text(press: Response) -> str:
    """The response used for the plan, and what it is."""
    if not press.n_hits:
        return "No measured hits of this material yet: each is planned to take out what it asks."
    return (
        f"Response {press.mean:.0%} +-{press.scatter:.0%} a hit: "
        f"{many(press.n_hits, 'measured hit')}, drawn towards 100%."
    )


def hit_columns() -> tuple[Column, ...]:
    """Columns of the list of hits; `hit_cells` fills them."""
    return (
        Column("No", 2, right=True),
        Column("Station", 8, right=True),
        Column("High side", 9, right=True),
        Column("mrad", 6, right=True),
        Column("Ask for", 7, right=True),
        Column(f"Load {FORCE.unit}", 9, right=True),
        Column("Travel", 7, right=True),
        Column("Stays", 6, right=True),
        Column("Worst after", 11, right=True),
    )


def hit_cells(number: int, planned: HitToMake, unit: str) -> tuple[str, ...]:
    """One line of the list."""
    hit, stroke = planned.hit, planned.stroke
    return (
        str(number),
        format_length(hit.station_in, 2, unit=False),
        format_clock(hit.high_side_rad, unit=""),
        f"{1000 * hit.angle_rad:.2f}",
        f"{1000 * hit.ask_for_rad:.2f}",
        FORCE.number(stroke.load_lbf) if stroke is not None else "?",
        small(stroke.travel_in, unit, with_unit=False) if stroke is not None else "?",
        small(stroke.stays_in, unit, with_unit=False) if stroke is not None else "?",
        small(hit.worst_tir_after_in, unit, with_unit=False),
    )


def note_line(number: int, planned: HitToMake, state: StraighteningState) -> str:
    """What F4 would note now."""
    hit = planned.hit
    return (
        f"F4 notes hit {number}: {format_length(hit.station_in, 2)}, clock "
        f"{format_clock(hit.high_side_rad, unit='')}, {format_angle(hit.ask_for_rad, 2)}, by "
        f"{state.raw.worker or 'nobody named (F8)'}."
    )


def hit_text(planned: HitToMake, state: StraighteningState) -> str:
    """What is done and seen at one hit, and the first thing to mind."""
    hit, unit = planned.hit, unit_of(state)
    lines = [
        f"Ram: clock {format_clock(hit.high_side_rad)}, {format_length(hit.station_in, 2)}, blocks "
        f"{format_station(state.raw.blocks_in)}. Enter: take out {format_angle(hit.angle_rad, 2)}."
    ]
    hinge = ""
    if planned.stroke is not None:
        hinge = f" Hinge {FORCE.text(planned.stroke.yields_at_lbf * PLASTIC_RATIO)}."
    if planned.dial:
        read = (
            f"at {format_station(x)} {small(before, unit, with_unit=False)} before, "
            f"{small(after, unit, with_unit=False)} after"
            for x, before, after in planned.dial
        )
        lines.append(f"TIR {'; '.join(read)}.{hinge}")
    if hit.check_stations_in and not (state.story and state.story.waits_for_check):
        places = station_words(hit.check_stations_in)
        lines.append(f"Quick check after the round at {places}.")
    if planned.trouble:
        lines.append(f"Press: {planned.trouble}")
    elif not planned.warnings:
        lines.append(both_text(planned, state))
    if planned.warnings:
        more = len(planned.warnings) - 1
        count = f" ({more} more, F8 shows all)" if more else ""
        lines.append(f"MIND{count}: {planned.warnings[0]}")
    return "\n".join(lines)


def both_text(planned: HitToMake, state: StraighteningState) -> str:
    """Both methods in one line; objections are on the page of F7, 3, F6."""
    both = methods_of(state, planned)
    ways = [
        f"{name} about {many(way.acts, act)}, {way.minutes:.0f} min"
        for name, act, way in (("press", "stroke", both.press), ("heat", "spot", both.heat))
        if way is not None
    ]
    return f"By {'; by '.join(ways)}{'' if both.heat else '; no heat here'}."


def recorded_text(made: Hit) -> str:
    """A hit as noted, in one line."""
    return (
        f"{format_length(made.station_in, 2)}, clock {format_clock(radians(made.clock_deg))}, "
        f"{made.method}, {format_angle(made.angle_rad, 2)} "
        f"{'at most' if made.is_sized_spot else 'asked'}"
    )
