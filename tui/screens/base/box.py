"""The base of the boxes that open over a screen: a question, the list of open jobs."""

from __future__ import annotations

from typing import ClassVar, TypeVar, cast

from textual.screen import ModalScreen

from tui.base.commands import Command, bindings, commands_of, verb
from tui.base.context import Context
from tui.terminal.opened_once import OpenedOnce

Answer = TypeVar("Answer")


class Box(ModalScreen[Answer], OpenedOnce[Answer]):
    """Esc closes it without an answer; F1 says what it is for."""

    HEADING: ClassVar[str] = ""
    """Name of the box in its help."""
    HOW_TO: ClassVar[str] = ""
    """What the box is for and how to work it."""
    ACTIONS: ClassVar[tuple[Command, ...]] = (
        verb("help", "help", "Help", "What this box is for and its keys"),
        verb("back", "close", "Back", "Close this box and change nothing"),
    )
    BINDINGS = bindings(ACTIONS)

    def __init_subclass__(cls, **kwargs: bool) -> None:
        """A subclass's own table of commands becomes its bindings."""
        if "ACTIONS" in cls.__dict__:
            cls.BINDINGS = bindings(cls.ACTIONS)
        super().__init_subclass__(**kwargs)

    @property
    def context(self) -> Context:
        """The app, as far as a screen knows it."""
        return cast("Context", self.app)

    def action_help(self) -> None:
        """F1."""
        from tui.screens.base.help import HelpScreen

        self.app.push_screen(HelpScreen(self.HEADING, self.HOW_TO, commands_of(type(self))))

    def action_close(self) -> None:
        """Esc."""
        self.dismiss(None)
