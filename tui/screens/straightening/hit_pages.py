"""Words beside the straighten screen: the hits so far, and what is known about heat."""

from __future__ import annotations

from collections.abc import Iterator

from core.base.errors import ShaftlogError
from core.base.units import format_thou
from core.jobs.straightening import StraighteningState
from core.straightening import heat


def made_hits(bench: StraighteningState) -> Iterator[str]:
    """Round by round, one line a hit, the doubts of each round behind it."""
    story = bench.story
    if story is None or not story.rounds:
        yield "No hit has been made on this job."
        return
    for raw, result in zip(bench.raw.rounds, story.rounds, strict=True):
        how = "full sweep" if result.swept else "quick check" if result.checked else ""
        yield f"ROUND {raw.number}: {how or 'nothing read after it yet'}"
        for made, hit in zip(raw.hits, result.hits, strict=True):
            out = "out: not known yet"
            if hit.taken_share is not None:
                share = hit.taken_share / hit.aim_for
                out = f"out: {share:.0%} +-{hit.taken_sigma:.0%}"
            stays = "" if made.stays_in is None else f", stayed {format_thou(made.stays_in)}"
            yield (
                f"{made.station_in:7.2f} in {made.clock_deg:3.0f} deg {made.method}, asked "
                f"{1000 * made.angle_rad:.2f} mrad{stays}; {out}"
            )
        if result.after is None:
            yield "  The readings do not agree with the hits: a full sweep is needed."
        yield from (f"  {said}" for said in result.doubts)
    for method, response in bench.responses.items():
        if response.n_hits:
            yield (
                f"Response, {method}: {response.mean:.0%} of what is asked, give or take "
                f"{response.scatter:.0%} a hit, from {response.n_hits} hits of this material."
            )


def heat_lines(bench: StraighteningState) -> Iterator[str]:
    """Cautions, temperatures, the shop's own record; no formula, as there is no honest one."""
    shaft = bench.raw.shaft
    try:
        advice = heat.advise(shaft.material, shaft.condition, bench.record)
    except ShaftlogError as error:
        yield str(error)
        yield from heat.SAFETY
        return
    if advice.discouraged:
        yield f"WARNING: {shaft.material} is spoilt by heat; press it if it can be pressed."
    if advice.keep_under_f is not None:
        yield f"Keep it under {advice.keep_under_f:,.0f} F (lowest of the figures below)."
    yield advice.said
    yield ""
    yield from (f"- {caution.said}" for caution in advice.cautions)
    yield ""
    yield from heat.SAFETY
    yield heat.DEFER
