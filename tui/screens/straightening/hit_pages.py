"""Pages beside the straighten screen: the hits so far, and what is known about heat."""

from __future__ import annotations

from collections.abc import Iterator

from core.base.counting import many
from core.base.errors import ShaftlogError
from core.base.quantities import TEMPERATURE
from core.base.records import Hit
from core.base.units import format_angle, format_clock, format_length, format_station
from core.jobs.heat.choice import methods_of
from core.jobs.straightening import StraighteningState, tell
from core.straightening import heat
from core.straightening.history import RepairHistory
from core.straightening.method import MethodChoice
from core.straightening.plan import PlannedHit
from core.straightening.response import HEAT, PRESS, STARTS
from tui.screens.straightening.straighten_text import recorded_text, small, unit_of


def made_hits(state: StraighteningState) -> Iterator[str]:
    """Round by round, what was done and what it took out, the doubts of each round behind it.

    As the ticket has it: without the shop's record, which only the plan uses.
    """
    story = None if state.story is None else tell(state.raw)
    if story is None or not story.rounds:
        yield "No hit has been made on this job."
        return
    for raw, result in zip(state.raw.rounds, story.rounds, strict=True):
        how = "full sweep" if result.swept else "quick check" if result.checked else ""
        yield f"ROUND {raw.number}: {how or 'nothing read after it yet'}"
        for made, recorded, hit in zip(raw.hits, result.made, result.hits, strict=True):
            yield from _made_lines(made, hit, recorded.shown_rad is not None, unit_of(state))
        if result.after is None:
            yield "  The readings do not agree with the hits: correct a hit, or sweep it all."
        yield from (f"  {doubt}" for doubt in result.doubts)
    yield from _responses(state, story)


def of_what(made: Hit) -> str:
    """What a share of this hit is a share of."""
    return STARTS[HEAT if made.is_sized_spot else PRESS].of


def _made_lines(made: Hit, hit: PlannedHit, shown: bool, unit: str) -> Iterator[str]:
    """What was done, then what was read of it; `shown`: the share is of what the dial showed."""
    corrected = " (corrected)" if made.corrects else ""
    yield f" {recorded_text(made)}, by {made.by or 'nobody named'}{corrected}"
    out = "taken out: not measured yet"
    if hit.taken_share is not None:
        share, sigma = hit.taken_share / hit.aim_for, hit.taken_sigma / hit.aim_for
        taken = format_angle(hit.taken_share * hit.angle_rad, 2)
        of = "what the dial showed" if shown else of_what(made)
        out = f"taken out: {taken}, {share:.0%} +-{sigma:.0%} of {of}"
    stays = (
        f"stayed {small(made.stays_in, unit)}" if made.stays_in is not None else "stays not read"
    )
    blocks = f"blocks {format_station(made.blocks_in)}, " if made.blocks_in is not None else ""
    hot = f"{TEMPERATURE.text(made.temperature_f)}, " if made.temperature_f is not None else ""
    yield f"     {blocks}{hot}{stays if made.method == 'press' else 'heat'}"
    yield f"     {out}"


def _responses(state: StraighteningState, story: RepairHistory) -> Iterator[str]:
    """What the plan uses, beside what was measured on this job."""
    for method, response in state.responses.items():
        shares = [
            hit.taken_share / hit.aim_for
            for result in story.rounds
            for made, hit in zip(result.made, result.hits, strict=True)
            if made.method == method and hit.taken_share is not None
        ]
        if shares:
            yield (
                f"Measured on this job, {method}: {sum(shares) / len(shares):.0%} of "
                f"{STARTS[method].of}, {many(len(shares), 'hit')}."
            )
        if response.n_hits:
            yield (
                f"Used for the plan, {method}: {response.mean:.0%} +-{response.scatter:.0%} a hit: "
                f"{many(response.n_hits, 'measured hit')} of this material, drawn towards "
                f"{STARTS[method].mean:.0%}. Few hits "
                "say little, so the plan moves to your own share as more are measured."
            )


def method_lines(state: StraighteningState) -> Iterator[str]:
    """Press and heat for each bend: acts, minutes, what speaks against."""
    if not state.plan:
        yield "No bend is to be taken out now."
    for number, planned in enumerate(state.plan, start=1):
        hit, both = planned.hit, methods_of(state, planned)
        yield (
            f"BEND {number}: {format_length(hit.station_in, 2)}, clock "
            f"{format_clock(hit.high_side_rad)}, {format_angle(hit.angle_rad, 2)}"
        )
        for name, act, way, no in (
            ("Press", "stroke", both.press, both.no_press),
            ("Heat", "spot", both.heat, both.no_heat),
        ):
            yield f"  {name}: {way_text(way, act) if way is not None else no}"
            yield from (f"    - {text}" for text in (way.against if way is not None else ()))
    yield ""
    yield "Minutes are those of the shop for a hit and a roll; a spot waits until it is read cold."


def way_text(way: MethodChoice, act: str) -> str:
    """Acts and minutes of one way to take a bend out."""
    most = f", at most {way.acts_95} nineteen times of twenty" if way.acts_95 > way.acts else ""
    return f"about {many(way.acts, act)}{most}; {way.minutes:.0f} min."


def heat_lines(state: StraighteningState) -> Iterator[str]:
    """Cautions, temperatures, the shop's own record."""
    shaft = state.raw.shaft
    try:
        advice = heat.advise(shaft.material, shaft.condition, state.record)
    except ShaftlogError as error:
        yield str(error)
        yield from heat.SAFETY
        return
    if advice.discouraged:
        yield f"WARNING: {shaft.material} is spoilt by heat; press it if it can be pressed."
    if advice.keep_under_f is not None:
        limit = TEMPERATURE.text(advice.keep_under_f)
        yield f"Keep it under {limit} (lowest of the figures below)."
    yield advice.said
    yield ""
    yield from (f"- {caution.said}" for caution in advice.cautions)
    yield ""
    yield from heat.SAFETY
    yield heat.DEFER
