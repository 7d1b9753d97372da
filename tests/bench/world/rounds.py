"""A repair in rounds: hits as planned, a quick check, a full sweep where nothing is left to hit."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace

from core.runout.line import ShaftLine
from core.straightening.history import RecordedHit, RepairHistory, Round, StationsRead, follow
from core.straightening.plan import PlannedHit, line_and_hits
from core.straightening.response import Response
from tests.bench.world.kinds import World
from tests.bench.world.loop import core_areas, hit_limits

Work = Callable[[tuple[PlannedHit, ...], RepairHistory, Sequence[Round]], tuple[RecordedHit, ...]]
"""Makes the hits of a plan, given the repair so far."""


def work_in_rounds(
    world: World,
    start: ShaftLine,
    response: Response,
    *,
    method: str,
    work: Work,
    check: Callable[[tuple[float, ...]], StationsRead],
    sweep: Callable[[], ShaftLine],
    most: int,
) -> tuple[RepairHistory, bool]:
    """Follow the program until a full sweep leaves nothing to hit, or to `most` hits.

    `start` : the line as received; `sweep` reads every later full sweep.
    Returns the repair and whether nothing was left.
    """
    areas = core_areas(world)
    rounds: list[Round] = []
    while True:
        story = follow(start, rounds, {method: response})
        hits: tuple[PlannedHit, ...] = ()
        if story.line is not None:
            _, hits = line_and_hits(
                story.line,
                limit_in=hit_limits(story.line, areas, world),
                response=response,
                hits_so_far=story.hits,
            )
            if (not hits and story.swept) or len(story.hits) >= most:
                return story, not hits
        if not hits:
            rounds[-1] = replace(rounds[-1], sweep=sweep())
            continue
        made = work(hits, story, rounds)
        rounds.append(Round(made, check=check(hits[0].check_stations_in)))
