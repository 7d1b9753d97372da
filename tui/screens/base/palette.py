"""Ctrl+P: find an action of this screen by letters of its name, whatever key it has."""

from __future__ import annotations

from collections.abc import Awaitable, Callable, Iterator
from functools import partial

from textual.command import CommandPalette, DiscoveryHit, Hit, Hits, Provider

from tui.base.commands import Command, commands_of, spoken


class ScreenActions(Provider):
    """The commands of the screen below, those that the bottom line has no room for too."""

    async def discover(self) -> Hits:
        """All of them, before anything is typed."""
        for words, run, help in self._actions():
            yield DiscoveryHit(words, run, help=help)

    async def search(self, query: str) -> Hits:
        """Those that hold the letters typed, in this order."""
        matcher = self.matcher(query)
        for words, run, help in self._actions():
            if score := max(matcher.match(words), matcher.match(help)):
                yield Hit(score, matcher.highlight(words), run, text=words, help=help)

    def _actions(self) -> Iterator[tuple[str, Callable[[], Awaitable[None]], str]]:
        for command in commands_of(type(self.screen)):
            if command.name != "actions":
                words = f"{command.label} ({spoken(command.keys[0])})"
                yield words, partial(self._run, command), command.help

    async def _run(self, command: Command) -> None:
        await self.app.run_action(command.name, self.screen)


class ActionPalette(CommandPalette):
    """The framework's palette in the glyphs of every console."""

    DEFAULT_CSS = """
    ActionPalette > Vertical { margin-top: 1; background: $background; }
    ActionPalette SearchIcon { display: none; }
    ActionPalette #--input { border: solid $foreground; }
    ActionPalette #--input.--list-visible { border-bottom: solid $foreground; }
    ActionPalette #--results { background: $background; }
    ActionPalette CommandList { border: solid $foreground; border-top: none; }
    ActionPalette LoadingIndicator { display: none; }
    ActionPalette > .command-palette--help-text { color: $foreground; text-style: none; }
    """

    def __init__(self) -> None:
        super().__init__([ScreenActions], placeholder="Letters of what you want to do, then Enter")
