"""One walk: acts drawn by a die, with things that come between, then the papers."""

from __future__ import annotations

import asyncio
import gc
import random
import tempfile
import traceback
from collections.abc import Awaitable, Callable, Iterator
from dataclasses import dataclass, field
from pathlib import Path

from tests.walks import (
    bend_acts,
    between,
    job_acts,
    paper,
    shop_acts,
    sweep_acts,
    sweep_changes,
    undo_acts,
)
from tests.walks.hands import Hands
from tests.walks.machinist import Machinist, WalkFault
from tests.walks.quick import paint_when_looked_at
from tests.walks.world import open_shop
from tui.screens.sweep.sweep_bench import SweepBench

Act = Callable[[Machinist], Awaitable[None]]
PLACES: dict[str, tuple[int, dict[Act, int]]] = {
    "sweep": (
        6,
        {
            sweep_acts.read: 10,
            sweep_acts.fill: 5,
            sweep_changes.correct: 5,
            sweep_changes.correct_by_number: 3,
            sweep_changes.open_other: 1,
            sweep_acts.block: 2,
            sweep_acts.no_number: 3,
            sweep_changes.undo: 4,
            sweep_changes.undo_all: 2,
            sweep_changes.odd: 2,
            sweep_changes.finish: 4,
            sweep_acts.stations: 1,
            sweep_changes.finished_takes_nothing: 3,
            undo_acts.reading_and_back: 1,
        },
    ),
    "straighten": (
        4,
        {
            shop_acts.hit: 6,
            shop_acts.enter_at_hits: 1,
            shop_acts.undo_hit: 2,
            undo_acts.hit_and_back: 2,
            bend_acts.stroke: 2,
            bend_acts.heat_spot: 1,
            bend_acts.correct_hit: 1,
            bend_acts.hold_check: 1,
        },
    ),
    "penetrant": (
        2,
        {shop_acts.penetrant_stage: 4, shop_acts.penetrant_undo: 2, shop_acts.penetrant_result: 2},
    ),
    "measure": (2, {shop_acts.measure: 3, shop_acts.undo_measure: 1}),
    "about": (1, {shop_acts.note: 2, shop_acts.look_about: 1, bend_acts.rest: 1}),
    "job": (1, {job_acts.release: 1, job_acts.close: 1, job_acts.intake: 1, bend_acts.rest: 1}),
}
"""How often the machinist goes to a place, and what he does there how often."""
AT_A_PLACE = (2, 7)
"""So many acts before he goes elsewhere."""
SweepBench.REST_S = 1.0
COLLECT = 200_000, 20, 100
"""Rubbish is collected so seldom: a walk makes much of it and ends soon."""
CHANCE = 0.06
"""Something comes between two keys so often."""


@dataclass
class WalkResult:
    """What came of one walk."""

    seed: int
    acts: int = 0
    fault: str = ""
    crash: str = ""
    keys: list[str] = field(default_factory=list)
    trail: list[str] = field(default_factory=list)

    @property
    def clean(self) -> bool:
        """Nothing was found."""
        return not (self.fault or self.crash)

    def report(self, most: int = 60) -> str:
        """Seed, the last acts and keys, and what was found."""
        trail = ", ".join(self.trail[-8:])
        keys = " ".join(self.keys[-most:])
        return (
            f"seed {self.seed}, act {self.acts} ({trail})\nkeys: {keys}\n{self.fault}{self.crash}"
        )


def drawn(die: random.Random, acts: int) -> Iterator[Act]:
    """The acts of a walk: place after place."""
    done = 0
    names = tuple(PLACES)
    while done < acts:
        _, here = PLACES[die.choices(names, [PLACES[n][0] for n in names])[0]]
        for _ in range(min(die.randint(*AT_A_PLACE), acts - done)):
            done += 1
            yield die.choices(tuple(here), tuple(here.values()))[0]


async def walk(seed: int, acts: int, plant: Callable[[], None] | None = None) -> WalkResult:
    """One walk in a folder of its own; `plant` puts a fault into the program, the shop open."""
    result = WalkResult(seed)
    with tempfile.TemporaryDirectory(prefix="shaftlog-walk-") as folder, paint_when_looked_at():
        shop = open_shop(Path(folder), seed)
        if plant is not None:
            plant()
        me = Machinist(shop, Hands(shop), seed)
        try:
            await me.hands.start()
            gc.freeze()
            gc.set_threshold(*COLLECT)
            me.disturbances, me.others, me.chance = between.ALL, between.OTHERS, CHANCE
            for act in drawn(me.die, acts):
                result.trail.append(act.__name__)
                result.acts += 1
                await me.hear()
                await act(me)
            await paper.check(me)
        except WalkFault as fault:
            result.fault = str(fault)
        except Exception:
            result.crash = traceback.format_exc() + me.hands.text
        result.keys = me.hands.pressed
        await me.hands.kill()
        me.watcher.con.close()
    return result


def run(seed: int, acts: int, plant: Callable[[], None] | None = None) -> WalkResult:
    """One walk from outside of any loop."""
    return asyncio.run(walk(seed, acts, plant))
