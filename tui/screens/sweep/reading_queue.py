"""Readings that the book cannot take just now: they wait in order.

Another program may hold the book for a minute (a merge, a copy program), or its file has to be put
right. The hands go on meanwhile: what is typed is listed, shown as NOT stored, and stored from the
first to the last as soon as the book is free. Until then the cursor stays.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Protocol

from core.base.errors import ShaftlogError
from core.book.connection import Book
from core.book.errors import LockedBook, MovedBook
from tui.base.context import Tone
from tui.screens.sweep import sweep_text as text

FIRST_WAIT_S, NEXT_WAIT_S = 0.4, 0.05
"""How long the first attempt, and each later one, waits for the book: no key waits longer."""
READINGS_SHOWN = 6


class QueueOwner(Protocol):
    """What the queue needs of the screen that owns it."""

    def store(self, typed: str) -> None:
        """Store one reading at the cursor and show it; raises when it was not stored."""

    def refuse(self, typed: str, error: ShaftlogError, behind: tuple[str, ...]) -> None:
        """The book does not take `typed`; nor what was typed after it."""

    def say(self, words: object, tone: Tone = "hint") -> None:
        """Show a sentence."""


class ReadingQueue:
    """Takes what is typed; holds what is entered but not stored yet."""

    def __init__(self, owner: QueueOwner, book: Callable[[], Book]) -> None:
        self._owner = owner
        self._book = book
        self.texts: tuple[str, ...] = ()
        self._warned = False

    def __bool__(self) -> bool:
        return bool(self.texts)

    def take(self, typed: str) -> None:
        """Store it, or let it wait behind those that wait already."""
        if not self.texts:
            try:
                with self._book().short_timeout(FIRST_WAIT_S):
                    self._owner.store(typed)
                return
            except (LockedBook, MovedBook):
                pass
            except ShaftlogError as error:
                self._owner.refuse(typed, error, ())
                return
        self.texts += (typed,)
        self._warned = False
        self._owner.say(text.waiting_text(self.listed), "stop")

    def try_again(self) -> None:
        """Store what waits, as far as the book lets us."""
        while self.texts:
            typed, *behind = self.texts
            try:
                with self._book().short_timeout(NEXT_WAIT_S):
                    self._owner.store(typed)
            except (LockedBook, MovedBook):
                return
            except ShaftlogError as error:
                self.texts = ()
                self._owner.refuse(typed, error, tuple(behind))
                return
            self.texts = tuple(behind)
            if not behind:
                self._owner.say(text.ALL_STORED, "done")

    def drop_last(self) -> str:
        """Take the last one out again."""
        last, self.texts = self.texts[-1], self.texts[:-1]
        if self.texts:
            self._owner.say(text.waiting_text(self.listed), "stop")
        else:
            self._owner.say("Nothing waits any more.")
        return last

    def say_stay(self) -> None:
        """Why the cursor does not move."""
        self._owner.say(text.stay_text(self.listed), "stop")

    def may_leave(self) -> bool:
        """Leaving would drop what waits: refused once, with the reason."""
        if not self.texts or self._warned:
            return True
        self._warned = True
        self._owner.say(text.leave_text(self.listed), "stop")
        return False

    @property
    def listed(self) -> str:
        """The readings that wait, the last few of many."""
        more = len(self.texts) - READINGS_SHOWN
        shown = ", ".join(self.texts[-READINGS_SHOWN:])
        return f"{more} more, {shown}" if more > 0 else shown
