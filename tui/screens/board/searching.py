"""Base of the screens that search as typed: a line to type in, a list below that follows."""

from __future__ import annotations

from collections.abc import Sequence
from typing import ClassVar

from textual.app import ComposeResult
from textual.containers import Horizontal
from textual.content import Content
from textual.widgets import Input, Static

from tui.base.commands import Command
from tui.screens.base.screen import ShopScreen
from tui.widgets.list_box import Column, ListBox, ListRow
from tui.widgets.number_input import LineInput

OLD_CARD = "old card "
"""Before the id of a paper card, in the name of its row."""


class SearchingScreen(ShopScreen):
    """The line keeps the focus; Up, Down, PgUp, PgDn steer the list, Enter opens the row."""

    PROMPT: ClassVar[str] = "Find: "
    PLACEHOLDER: ClassVar[str] = ""
    COLUMNS: ClassVar[tuple[Column, ...]] = ()
    EMPTY: ClassVar[str] = "Nothing found. Try fewer letters."
    NOTHING_TYPED: ClassVar[str] = "No job in the book yet. F2, then F4 starts one."
    """Words for an empty list under an empty line."""
    ACTIONS: ClassVar[tuple[Command, ...]] = (
        Command("up", ("up",), "Up", "Up and Down choose a line, Enter opens it", footer=False),
        Command("down", ("down",), "Down", "The line below", footer=False),
        Command("page_up", ("pageup",), "Page up", "A page up", footer=False),
        Command("page_down", ("pagedown",), "Page down", "A page down", footer=False),
    )
    DEFAULT_CSS = """
    SearchingScreen .search { height: 1; margin: 0 0 1 0; }
    SearchingScreen .search Static { width: auto; text-style: bold; }
    """

    def rows_for(self, words: str) -> Sequence[ListRow]:
        """The rows for what has been typed so far."""
        raise NotImplementedError

    def body(self) -> ComposeResult:
        """Search line and list."""
        with Horizontal(classes="search"):
            yield Static(Content(self.PROMPT))
            yield LineInput(placeholder=self.PLACEHOLDER, max_length=80)
        yield ListBox(self.COLUMNS, empty=self.NOTHING_TYPED)

    @property
    def line(self) -> LineInput:
        """The search line."""
        return self.query_one(LineInput)

    @property
    def box(self) -> ListBox:
        """The list."""
        return self.query_one(ListBox)

    def refresh_view(self) -> None:
        """Search again."""
        self._show(self.line.value)

    def chosen(self) -> str | None:
        """Name of the row under the cursor; None (and said so) when there is none."""
        if self.box.chosen is not None:
            return self.box.chosen.name
        self.say("Nothing is chosen.")
        return None

    def on_input_changed(self, event: Input.Changed) -> None:
        """Search as typed."""
        with self.in_words():
            self._show(event.value, keep=False)

    def _show(self, words: str, *, keep: bool = True) -> None:
        self.box.empty = self.EMPTY if words.strip() else self.NOTHING_TYPED
        self.box.show(self.rows_for(words), keep=keep)

    def on_input_submitted(self) -> None:
        """Enter."""
        self.take_line()

    def take_line(self) -> None:
        """Enter opens the row under the cursor."""
        self.box.action_choose()

    def action_up(self) -> None:
        """Up."""
        self.box.move(-1)

    def action_down(self) -> None:
        """Down."""
        self.box.move(1)

    def action_page_up(self) -> None:
        """PgUp."""
        self.box.action_page(-1)

    def action_page_down(self) -> None:
        """PgDn."""
        self.box.action_page(1)
