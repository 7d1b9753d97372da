"""Readings that the book cannot take just now: they wait in order, and go in by themselves.

Another program may hold the book for a minute (taking in another book, a copy program), or its file
has to be put right. The hands go on meanwhile: what is typed is listed, told as NOT stored, and
stored from the first to the last as soon as the book is free. Until then the cursor stays.
"""

from __future__ import annotations

from typing import ClassVar

from textual.timer import Timer

from core.base.errors import ShaftlogError
from core.book.errors import LockedBook, MovedBook
from tui.screens.sweep.sweep_moves import SweepMoves

FIRST_WAIT_S, NEXT_WAIT_S = 0.4, 0.05
"""How long the first attempt, and each later one, waits for the book: no key waits longer."""
MOST_SHOWN = 6


class SweepWaiting(SweepMoves):
    """The part of the sweep screen that waits for the book."""

    TRY_AGAIN_S: ClassVar[float] = 0.5
    STAYS_PUT: ClassVar[frozenset[str]] = frozenset(
        ("block", "mend", "stations", "menu", "jump", "next", "previous", "up", "down")
    )
    """Actions that would move the place where the waiting readings belong."""

    waiting: tuple[str, ...] = ()
    """Typed and entered, not yet stored."""
    _tries: Timer | None = None
    _warned = False

    def store(self, text: str) -> None:
        """Store one reading at the cursor and show it; raises when it was not stored."""
        raise NotImplementedError

    def refuse(self, text: str, error: ShaftlogError, behind: tuple[str, ...]) -> None:
        """The book does not take `text`; nor what was typed behind it."""
        raise NotImplementedError

    def take(self, text: str) -> None:
        """Store it, or let it wait behind those that wait already."""
        if self.waiting:
            self._wait_too(text)
            return
        try:
            with self.book.short_timeout(FIRST_WAIT_S):
                self.store(text)
        except (LockedBook, MovedBook):
            self._wait_too(text)
        except ShaftlogError as error:
            self.refuse(text, error, ())

    def _wait_too(self, text: str) -> None:
        self.waiting += (text,)
        self._warned = False
        if self._tries is None:
            self._tries = self.set_interval(self.TRY_AGAIN_S, self.try_again)
        self._tell()

    def try_again(self) -> None:
        """Store what waits, as far as the book lets us."""
        while self.waiting:
            text, *behind = self.waiting
            try:
                with self.book.short_timeout(NEXT_WAIT_S):
                    self.store(text)
            except (LockedBook, MovedBook):
                return
            except ShaftlogError as error:
                self.waiting = ()
                self.refuse(text, error, tuple(behind))
                break
            self.waiting = tuple(behind)
            if not behind:
                self.say("The book is free again: all that waited is stored.", "done")
        if self._tries is not None:
            self._tries.stop()
            self._tries = None

    def _tell(self) -> None:
        self.bench.echo(f"{len(self.waiting)} wait", "doubt")
        self.say(
            f"NOT STORED YET: {listed(self.waiting)}. The book is held by another program. Go on "
            "reading: they are stored in order when it is free. / takes the last one back.",
            "stop",
        )

    def wipe_waiting(self) -> None:
        """The last one that waits is taken back."""
        last, self.waiting = self.waiting[-1], self.waiting[:-1]
        if self.waiting:
            self._tell()
        else:
            self.say("Nothing waits any more.")
        self.bench.echo(f"Taken back: {last}, not stored", "doubt")

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """No going about while readings wait for the place under the cursor."""
        if self.waiting and action in self.STAYS_PUT:
            self.say_stay()
            return False
        return super().check_action(action, parameters)

    def say_stay(self) -> None:
        """Why the cursor does not move."""
        self.say(
            f"Wait: {listed(self.waiting)} not stored yet, and belong here. / takes the last back.",
            "stop",
        )

    def settle(self) -> bool:
        """Leaving would drop what waits: told once, done the second time."""
        if self.waiting and not self._warned:
            self._warned = True
            self.say(
                f"{listed(self.waiting)} not stored yet: wait until the book is free. The same key "
                "again leaves without them.",
                "stop",
            )
            return False
        return super().settle()


def listed(texts: tuple[str, ...]) -> str:
    """The readings that wait, the last few of many."""
    more = len(texts) - MOST_SHOWN
    shown = ", ".join(texts[-MOST_SHOWN:])
    return f"{more} more, {shown}" if more > 0 else shown
