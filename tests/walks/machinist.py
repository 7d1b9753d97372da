"""The machinist of a walk: what was meant, what was done, what the book says of it.

Each act has three parts: read on the screen what the key will do (the *intention*), press the keys
with disturbances between them, then compare the changes in the book with the intention. A refusal
with a sentence and no change is allowed only where something disturbed the act.
"""

from __future__ import annotations

import random
from collections.abc import Awaitable, Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field
from typing import Any

from tests.walks.book_rows import Row, RowChange, Rows, Watcher, diff
from tests.walks.hands import Hands
from tests.walks.world import Shop

POPUPS = ("AskScreen", "HelpScreen", "JumpScreen")
SAME_TIME, LOOKS = 4, 10
"""How many times likelier than between two keys: at the key that ends an act, after a choice."""
Disturbance = Callable[["Machinist"], Awaitable[None]]


class WalkFault(AssertionError):
    """The book, or a screen, says something that was not done."""


@dataclass
class Memory:
    """What was really done, to be compared with the ticket at the end."""

    hits: list[tuple[float, float]] = field(default_factory=list)
    """Station in, clock deg of each hit that was noted and not taken back."""
    blocked: set[tuple[str, float, float]] = field(default_factory=set)
    """Sweep id, station, clock of each mark called blocked."""
    finished: list[str] = field(default_factory=list)
    """Ids of finished sweeps."""
    notes: list[str] = field(default_factory=list)
    clear: set[str] = field(default_factory=set)
    """Penetrant areas at which 'clear' was noted."""


class Machinist:
    """Hands, eyes, memory and a die."""

    def __init__(self, shop: Shop, hands: Hands, seed: int) -> None:
        self.shop = shop
        self.hands = hands
        self.die = random.Random(seed)
        self.watcher = Watcher(shop.path)
        self.memory = Memory()
        self.before: Rows = self.watcher.look()
        self.disturbed = False
        """Whether something came between the intention and the key."""
        self.unheard = False
        """Whether the other bench has stored something that this one has not shown yet."""
        self.news = False
        """The same, from one act to the next: it is heard before the next one begins."""
        self.disturbances: Sequence[Disturbance] = ()
        self.others: Sequence[Disturbance] = ()
        """Those that the other bench makes."""
        self.chance = 0.0
        """How likely a disturbance comes before a key."""
        self.done: list[str] = []
        """The acts so far, in words."""
        self.sweep_step = "Sweep as received"
        """The step of the card that led to a sweep last."""
        self.elsewhere: set[str] = set()
        """Ids of rows that the other bench has written."""

    # -- pressing -------------------------------------------------------------------------------

    async def press(self, *keys: str, steady: bool = False) -> None:
        """Keys; before each of them something may come between, unless `steady`."""
        for key in keys:
            if not steady and self.disturbances and self.die.random() < self.chance:
                await self.disturb()
            await self.hands.press(key)

    @contextmanager
    def undisturbed(self, *, alone: bool = True) -> Iterator[None]:
        """Until the end nothing comes between; not `alone`: the other bench goes on working."""
        before = self.disturbances, self.others
        self.disturbances, self.others = (), () if alone else self.others
        try:
            yield
        finally:
            self.disturbances, self.others = before

    async def disturb(self, among: Sequence[Disturbance] = ()) -> None:
        """One thing that comes between."""
        chance, self.chance = self.chance, 0.0
        self.disturbed = True
        try:
            await self.die.choice(among or self.disturbances)(self)
        finally:
            self.chance = chance

    async def at_the_same_time(self) -> None:
        """The other bench may store something just before the key that ends an act."""
        if self.others and self.die.random() < SAME_TIME * self.chance:
            await self.disturb(self.others)

    async def hear(self) -> None:
        """What the other bench stored comes on the screen, as it does within two seconds."""
        if self.news and self.hands.app.heart is not None:
            self.hands.app.heart.beat()
            await self.hands.settle()
        self.news = False

    async def looks_again(self) -> bool:
        """Something may come between choosing and the key.

        True when the screen was opened anew by it: then one has to choose again.
        """
        screen = self.hands.app.screen
        if self.disturbances and self.die.random() < LOOKS * self.chance:
            await self.disturb()
        await self.at_the_same_time()
        return self.hands.app.screen is not screen

    async def number(self, text: str, place: Callable[[Machinist], object] | None = None) -> bool:
        """Type a number; begin again where one was elsewhere between two digits.

        False when the screen was opened again meanwhile and now asks for another `place`. What only
        the other bench did takes the hand off no key.
        """
        screen, asked = self.hands.app.screen, place and place(self)
        at = tries = 0
        while at < len(text):
            if at and tries < 6 and self.disturbances and self.die.random() < self.chance:
                tries += 1
                pressed = len(self.hands.pressed)
                await self.disturb()
                if len(self.hands.pressed) > pressed:
                    at = 0
                    if place and place(self) != asked:
                        if self.hands.app.screen is screen:
                            raise self.fault(f"a look elsewhere moved the cursor from {asked}")
                        return False
                elif place:
                    asked = place(self)
            await self.hands.press(text[at])
            at += 1
        return True

    # -- looking --------------------------------------------------------------------------------

    def begin(self) -> None:
        """The intention is read now."""
        self.before = self.watcher.look()
        self.disturbed = self.unheard = False

    def changes(self) -> list[RowChange]:
        """What changed in the book since the intention (or since the other bench wrote)."""
        return diff(self.before, self.watcher.look())

    def fault(self, words: str, changes: Sequence[RowChange] = ()) -> WalkFault:
        """A fault, with what is on the screen and what changed."""
        listed = "".join(f"\n    {change}" for change in changes)
        return WalkFault(f"{words}{listed}\n  said: {self.hands.said!r}\n{self.hands.text}")

    def nothing_changed(self, what: str) -> None:
        """Raise when anything changed."""
        if found := self.changes():
            raise self.fault(f"{what}: nothing should have changed", found)

    def refused_or(self, what: str, found: Sequence[RowChange]) -> bool:
        """True when nothing changed, which needs a disturbance and a sentence; else False."""
        if found:
            return False
        if not self.disturbed:
            raise self.fault(f"{what}: nothing was stored")
        if not self.hands.said:
            raise self.fault(f"{what}: nothing was stored, and nothing said")
        return True

    def only(self, found: Sequence[RowChange], *tables: str) -> None:
        """Raise when another table changed too."""
        if strange := [c for c in found if c.table not in tables]:
            raise self.fault(f"changed beside {', '.join(tables)}", strange)

    def rows(self, table: str, **where: Any) -> list[Row]:
        """Rows of a table now."""
        found = self.watcher.look()[table].values()
        return [row for row in found if all(row.get(k) == v for k, v in where.items())]

    # -- going about ---------------------------------------------------------------------------

    async def to_card(self) -> None:
        """The card of the job: F10 at any place of the job, else F2 and its two digits."""
        while self.hands.screen in POPUPS:
            await self.hands.press("escape")
        if self.at_card:
            return
        if self.die.random() < 0.5:
            await self.hands.press("f10")
        if not self.at_card:
            await self.hands.press("f2")
            await self.hands.type("01")
        if not self.at_card:
            raise self.fault("F2 and two digits did not open the card")

    @property
    def at_card(self) -> bool:
        """Whether the card of the walk's own job is on the screen."""
        return f"Job card | {self.shop.tag} " in self.hands.text

    async def to_step(self, name: str) -> bool:
        """A step of the card by its digit; False when the card has no such line."""
        await self.to_card()
        found = self.hands.find(rf"(\d) {name}")
        if found is None:
            return False
        await self.hands.press(found[1])
        return True
