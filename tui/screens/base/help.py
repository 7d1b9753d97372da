"""F1: what this screen is for, how to work it, and every key, read from the command tables."""

from __future__ import annotations

from typing import ClassVar

from textual.app import ComposeResult
from textual.containers import VerticalScroll
from textual.content import Content
from textual.screen import ModalScreen
from textual.widgets import Static

from tui.base.commands import Command, bindings, verb
from tui.widgets.footer import KeyLine
from tui.widgets.header import TopLine
from tui.widgets.plain import plain

EVERYWHERE = (
    "Enter takes what was typed and stores it at once: after a power cut it is still there. "
    "Up and Down go from field to field."
)


class HelpScreen(ModalScreen[None]):
    """A page of words; Esc goes back to the work."""

    ACTIONS: ClassVar[tuple[Command, ...]] = (
        Command("page", ("pagedown",), "More", "The rest of this page"),
        Command("page_back", ("pageup",), "Back up", "The page before", footer=False),
        Command("line_down", ("down",), "Down", "One line on", footer=False),
        Command("line_up", ("up",), "Up", "One line back", footer=False),
        verb("back", "close", "Back", "Back to the work", also=("f1", "enter", "ctrl+j")),
    )
    BINDINGS = bindings(ACTIONS)
    AUTO_FOCUS = ""
    DEFAULT_CSS = """
    HelpScreen { layout: vertical; background: $background; }
    HelpScreen .everywhere { margin: 1 0; }
    HelpScreen VerticalScroll { height: 1fr; padding: 1 2 0 2; }
    """

    def __init__(self, heading: str, how_to: str, commands: tuple[Command, ...]) -> None:
        super().__init__()
        self.heading = heading
        self.how_to = how_to
        self.commands = commands

    def compose(self) -> ComposeResult:
        """Words, then keys."""
        top = TopLine()
        top.heading = f"Help: {self.heading}"
        yield top
        with VerticalScroll(can_focus=False):
            yield Static(plain(self.how_to))
            yield Static(plain(EVERYWHERE), classes="everywhere")
            yield Static(self._keys())
        yield KeyLine(self.ACTIONS)

    def _keys(self) -> Content:
        """One line for each command."""
        wide = max(len(c.key_words) for c in self.commands)
        lines = [f"{c.key_words.ljust(wide)}  {c.help}" for c in self.commands]
        return Content("\n".join(lines))

    @property
    def _page(self) -> VerticalScroll:
        return self.query_one(VerticalScroll)

    def action_page(self) -> None:
        """PgDn."""
        self._page.scroll_page_down(animate=False)

    def action_page_back(self) -> None:
        """PgUp."""
        self._page.scroll_page_up(animate=False)

    def action_line_down(self) -> None:
        """Down."""
        self._page.scroll_down(animate=False)

    def action_line_up(self) -> None:
        """Up."""
        self._page.scroll_up(animate=False)

    def action_close(self) -> None:
        """Back."""
        self.dismiss(None)
