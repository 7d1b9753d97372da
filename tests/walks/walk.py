"""One walk: acts drawn by a die, with things that come between, then the papers."""

from __future__ import annotations

import asyncio
import tempfile
import traceback
from collections.abc import Awaitable, Callable
from dataclasses import dataclass, field
from pathlib import Path

from tests.walks import between, paper, shop_acts, sweep_acts
from tests.walks.hands import Hands
from tests.walks.machinist import Machinist, WalkFault
from tests.walks.world import open_shop

Act = Callable[[Machinist], Awaitable[None]]
ACTS: dict[Act, int] = {
    sweep_acts.read: 24,
    sweep_acts.fill: 14,
    sweep_acts.correct: 8,
    sweep_acts.block: 4,
    sweep_acts.undo: 8,
    sweep_acts.undo_all: 3,
    sweep_acts.odd: 4,
    sweep_acts.finish: 10,
    sweep_acts.stations: 2,
    sweep_acts.finished_takes_nothing: 6,
    shop_acts.hit: 10,
    shop_acts.enter_at_hits: 3,
    shop_acts.undo_hit: 3,
    shop_acts.penetrant_stage: 8,
    shop_acts.penetrant_undo: 3,
    shop_acts.measure: 8,
    shop_acts.undo_measure: 3,
    shop_acts.note: 3,
    shop_acts.look_about: 2,
}
"""How often each act is drawn."""
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


async def walk(seed: int, acts: int) -> WalkResult:
    """One walk in a folder of its own."""
    result = WalkResult(seed)
    with tempfile.TemporaryDirectory(prefix="shaftlog-walk-") as folder:
        shop = open_shop(Path(folder), seed)
        me = Machinist(shop, Hands(shop.path), seed)
        try:
            await me.hands.start()
            me.disturbances, me.chance = between.ALL, CHANCE
            names, weights = tuple(ACTS), tuple(ACTS.values())
            for _ in range(acts):
                act = me.die.choices(names, weights)[0]
                result.trail.append(act.__name__)
                result.acts += 1
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


def run(seed: int, acts: int) -> WalkResult:
    """One walk from outside of any loop."""
    return asyncio.run(walk(seed, acts))
