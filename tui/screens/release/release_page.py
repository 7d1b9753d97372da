"""The ticket on the whole screen, as wide as it is printed."""

from __future__ import annotations

from typing import ClassVar

from textual.app import ComposeResult
from textual.containers import VerticalScroll
from textual.widgets import Static

from core.reports.ticket_collect import ticket_of
from core.reports.ticket_data import Ticket
from tui.base.commands import Command
from tui.screens.base.screen import JobScreen
from tui.screens.base.scrolling import ScrollingScreen
from tui.widgets.plain import paper


class PaperScroll(VerticalScroll, can_focus=False):
    """Scrolled by keys of the screen; no bar, so that all 80 columns are paper."""

    def on_mount(self) -> None:
        """Here, as the rules of all screens give every widget a bar one column wide."""
        self.styles.scrollbar_size_vertical = 0


class TicketScreen(ScrollingScreen, JobScreen):
    """80 columns, scrolled by the page."""

    HEADING = "Ticket"
    HOW_TO = (
        "The ticket as it will be printed: 80 columns. PgUp and PgDn scroll, Home and End go to "
        "its ends. Until the release it is a draft and says so."
    )
    ACTIONS: ClassVar[tuple[Command, ...]] = (
        Command("scroll_up", ("pageup",), "Up", "Scroll up"),
        Command("scroll_down", ("pagedown",), "Down", "Scroll down"),
        Command("first", ("home",), "Start", "To the start"),
        Command("last", ("end",), "End", "To the end"),
    )
    DEFAULT_CSS = """
    TicketScreen > .body { padding: 0; }
    TicketScreen PaperScroll { height: 1fr; }
    TicketScreen #ticket { width: 80; padding: 0; }
    """

    def body(self) -> ComposeResult:
        """The whole ticket."""
        with PaperScroll():
            yield Static(id="ticket")

    def refresh_view(self) -> None:
        """The frozen ticket, or the draft as of now."""
        self.in_background(lambda book: ticket_of(book, self.job_id), self._show)

    def _show(self, ticket: Ticket) -> None:
        self.query_one("#ticket", Static).update(paper(ticket.text))

    def action_first(self) -> None:
        """Home."""
        self.query_one(PaperScroll).scroll_home(animate=False)

    def action_last(self) -> None:
        """End."""
        self.query_one(PaperScroll).scroll_end(animate=False)
