"""A short numbered question in a box over the screen; Esc answers nothing."""

from __future__ import annotations

from collections.abc import Sequence

from textual.app import ComposeResult
from textual.containers import Vertical
from textual.widgets import Static

from tui.base.commands import commands_of
from tui.screens.base.box import Box
from tui.widgets.footer import KeyLine
from tui.widgets.menu import Menu, MenuItem
from tui.widgets.plain import plain


class AskScreen(Box[str | None]):
    """Answers with the name of a menu item, or None; screens open it with `self.ask_which`."""

    HEADING = "A question"
    HOW_TO = (
        "Type the digit of your answer: it is taken at once. Or choose it with Up and Down and "
        "press Enter. Esc goes back without an answer, and nothing is changed."
    )
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
            yield KeyLine(commands_of(type(self)))

    def on_menu_chosen(self, event: Menu.Chosen) -> None:
        """Give the answer."""
        self.dismiss(event.item.name)
