"""The board: all open jobs, what is next on each, and the way in for a new one."""

from __future__ import annotations

from typing import ClassVar

from textual.app import ComposeResult

from tui.keys import Command
from tui.screens.base import ShopScreen
from tui.widgets.menu import Menu


class BoardScreen(ShopScreen):
    """Open jobs with two-digit numbers and the next step of each."""

    HEADING = "Shaftlog: open jobs"
    HOW_TO = "Every shaft in the shop stands here with the step that comes next."
    COMMANDS: ClassVar[tuple[Command, ...]] = (
        Command("leave", ("f12",), "Leave", "Leave Shaftlog; everything is stored"),
    )

    def body(self) -> ComposeResult:
        """The list."""
        yield Menu()

    def action_leave(self) -> None:
        """F12."""
        self.app.exit()

    def action_back(self) -> None:
        """Esc has nowhere to go from here."""
        self.say("This is the board. F12 leaves Shaftlog.")
