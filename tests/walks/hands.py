"""Eyes and hands at the terminal: press keys, look at what is painted. Nothing else is touched."""

from __future__ import annotations

import re
from typing import cast

from textual import events
from textual.pilot import Pilot

from tests.support.app_helpers import text as painted_text
from tests.walks.quick import idle
from tests.walks.world import Shop
from tui.app import ShaftlogApp
from tui.base.commands import commands_of
from tui.widgets.message import MessageLine

NAMES = {
    ".": "full_stop", "-": "minus", "+": "plus", "*": "asterisk", "/": "slash", " ": "space",
    ",": "comma", "(": "left_parenthesis", ")": "right_parenthesis", ":": "colon",
}  # fmt: skip
CHARACTERS = {"enter": "\r", "asterisk": "*", "slash": "/", "minus": "-", "plus": "+"}
SECONDS_BETWEEN_KEYS = 1.0
"""No hand is as quick as a scanner of tags."""


class Hands:
    """One program on the book."""

    def __init__(self, shop: Shop, by: str = "bench 1") -> None:
        self.app = ShaftlogApp(shop.path, book=shop.open(by), warm=False)
        self.pilot = cast(Pilot[None], None)
        self.pressed: list[str] = []
        """All keys of the walk."""
        self._seen: str | None = None
        """What was painted, until the next key."""
        self._running = self.app.run_test(size=(80, 24))

    async def start(self) -> None:
        """The program opens."""
        self.pilot = await self._running.__aenter__()
        await self.settle()

    async def kill(self) -> None:
        """The program is gone without a goodbye: it can store nothing any more."""
        self.app.book.con.close()
        try:
            await self._running.__aexit__(None, None, None)
        except Exception:
            return

    async def leave(self) -> None:
        """The program ends in order."""
        self.app.close_book()
        await self._running.__aexit__(None, None, None)

    async def press(self, *keys: str) -> None:
        """Keys, one after the other, each worked off before the next."""
        for key in keys:
            self.pressed.append(key)
            name = NAMES.get(key, key)
            character = CHARACTERS.get(name, key if len(key) == 1 else None)
            event = events.Key(name, character)
            event.time += SECONDS_BETWEEN_KEYS * len(self.pressed)
            self.app.post_message(event)
            await self.settle()

    async def type(self, text: str) -> None:
        """Characters of a text."""
        await self.press(*text)

    async def settle(self) -> None:
        """Until nothing is under way any more."""
        self._seen = None
        await idle(self.app)
        if self.app._exception is not None:
            raise self.app._exception

    async def rest(self) -> None:
        """The pause after the last key is over: the core works out what there is to say."""
        bench = getattr(self.app.screen, "bench", None)
        if bench is not None and bench._rest is not None:
            bench._rest.stop()
            with bench._context():
                bench._work_out(self.app.book)
        await self.settle()

    @property
    def screen(self) -> str:
        """Name of the screen on top."""
        return type(self.app.screen).__name__

    @property
    def text(self) -> str:
        """All that is painted."""
        if self._seen is None:
            self._seen = painted_text(self.app)
        return self._seen

    @property
    def said(self) -> str:
        """The message line."""
        found = self.app.screen.query(MessageLine)
        return found.first().said if found else ""

    def key_of(self, command: str) -> str:
        """The key of a command of the screen, as its bottom line or F1 says."""
        for one in commands_of(type(self.app.screen)):
            if one.name == command:
                return one.keys[0]
        raise LookupError(f"no command {command!r} on {self.screen}")

    def has(self, command: str) -> bool:
        """Whether the screen has a command."""
        return any(one.name == command for one in commands_of(type(self.app.screen)))

    def find(self, pattern: str) -> re.Match[str] | None:
        """The first match in what is painted, with runs of spaces as one."""
        return re.search(pattern, re.sub(r"\s+", " ", self.text))
