"""The ticket on the whole screen, as wide as it is printed."""

from __future__ import annotations

from typing import ClassVar

from rich.cells import set_cell_size
from rich.segment import Segment
from textual.app import ComposeResult
from textual.geometry import Size
from textual.scroll_view import ScrollView
from textual.strip import Strip

from core.reports.ticket_collect import ticket_of
from core.reports.ticket_data import Ticket
from tui.base.commands import Command
from tui.screens.base.screen import JobScreen
from tui.screens.base.scrolling import ScrollingScreen
from tui.widgets.plain import clean

PRINTED_COLUMNS = 80


class PaperScroll(ScrollView, can_focus=False):
    """Printed lines, of which only those in sight are drawn.

    Scrolled by keys of the screen; no bar, so that all 80 columns are paper.
    """

    def __init__(self) -> None:
        super().__init__()
        self.printed: list[str] = []

    def on_mount(self) -> None:
        """Here, as the rules of all screens give every widget a bar one column wide."""
        self.styles.scrollbar_size_vertical = 0

    def show(self, text: str) -> None:
        """Show other lines, each made safe."""
        self.printed = [clean(line) for line in text.splitlines()]
        self.virtual_size = Size(PRINTED_COLUMNS, len(self.printed))
        self.refresh()

    def render_line(self, y: int) -> Strip:
        """One row of the window."""
        at, width = self.scroll_offset.y + y, self.size.width
        line = self.printed[at] if at < len(self.printed) else ""
        return Strip([Segment(set_cell_size(line, width), self.rich_style)], width)


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
    SCROLLED = PaperScroll
    DEFAULT_CSS = """
    TicketScreen > .body { padding: 0; }
    TicketScreen PaperScroll { height: 1fr; }
    """

    def body(self) -> ComposeResult:
        """The whole ticket."""
        yield PaperScroll()

    def refresh_view(self) -> None:
        """The frozen ticket, or the draft as of now."""
        self.in_background(lambda book: ticket_of(book, self.job_id), self._show)

    def _show(self, ticket: Ticket) -> None:
        self.query_one(PaperScroll).show(ticket.text)

    def action_first(self) -> None:
        """Home."""
        self.query_one(PaperScroll).scroll_home(animate=False)

    def action_last(self) -> None:
        """End."""
        self.query_one(PaperScroll).scroll_end(animate=False)
