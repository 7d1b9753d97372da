"""A short numbered question in a box over the screen; Esc answers nothing."""

from __future__ import annotations

from collections.abc import Sequence
from typing import ClassVar

from textual.app import ComposeResult
from textual.containers import Vertical
from textual.screen import ModalScreen
from textual.widgets import Static

from tui.commands import Command, bindings
from tui.widgets.footer import KeyLine
from tui.widgets.menu import Menu, MenuItem
from tui.widgets.plain import plain


class AskScreen(ModalScreen[str | None]):
    """Answers with the name of a menu item, or None. `push_screen(AskScreen(...), callback)`."""

    COMMANDS: ClassVar[tuple[Command, ...]] = (
        Command("close", ("escape",), "Back", "Back without choosing"),
    )
    BINDINGS = bindings(COMMANDS)
    AUTO_FOCUS = "Menu"
    DEFAULT_CSS = """
    AskScreen { align: center middle; }
    AskScreen > Vertical {
        width: 70; max-width: 100%; height: auto; max-height: 100%;
        border: double $foreground; background: $background; padding: 0 1;
    }
    AskScreen Static { height: auto; margin: 0 0 1 0; }
    """

    def __init__(self, question: str, items: Sequence[MenuItem]) -> None:
        super().__init__()
        self.question = question
        self.items = tuple(items)

    def compose(self) -> ComposeResult:
        """Question, answers, keys."""
        with Vertical():
            yield Static(plain(self.question))
            yield Menu(self.items)
            yield KeyLine(self.COMMANDS)

    def on_menu_chosen(self, event: Menu.Chosen) -> None:
        """Give the answer."""
        self.dismiss(event.item.name)

    def action_close(self) -> None:
        """Back."""
        self.dismiss(None)
