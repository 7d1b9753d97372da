"""Screens with one long text: PgUp and PgDn scroll it."""

from __future__ import annotations

from typing import ClassVar

from textual.containers import ScrollableContainer, VerticalScroll

from tui.base.commands import Command
from tui.screens.base.screen import ShopScreen


class ScrollingScreen(ShopScreen):
    """PgUp and PgDn for the text of the screen, whatever has the cursor."""

    ACTIONS: ClassVar[tuple[Command, ...]] = (
        Command("scroll_up", ("pageup",), "Up", "Scroll up", footer=False),
        Command("scroll_down", ("pagedown",), "Down", "Scroll down", footer=False),
    )
    SCROLLED: ClassVar[type[ScrollableContainer]] = VerticalScroll
    """The widget with the text."""

    def action_scroll_up(self) -> None:
        """PgUp."""
        self.query_one(self.SCROLLED).scroll_page_up(animate=False)

    def action_scroll_down(self) -> None:
        """PgDn."""
        self.query_one(self.SCROLLED).scroll_page_down(animate=False)
