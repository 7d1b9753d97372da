"""Words to read and scroll through, on a screen of their own."""

from __future__ import annotations

from collections.abc import Sequence
from typing import ClassVar

from textual.app import ComposeResult
from textual.containers import VerticalScroll
from textual.widgets import Static

from tui.base.commands import Command
from tui.screens.base.screen import JobScreen
from tui.screens.base.scrolling import ScrollingScreen
from tui.widgets.plain import paper


class PaperScreen(ScrollingScreen, JobScreen):
    """Lines under a heading."""

    HOW_TO = "PgUp and PgDn scroll, Esc goes back."
    ACTIONS: ClassVar[tuple[Command, ...]] = (
        Command("scroll_up", ("pageup",), "Up", "Scroll up"),
        Command("scroll_down", ("pagedown",), "Down", "Scroll down"),
    )
    DEFAULT_CSS = "PaperScreen VerticalScroll { height: 1fr; padding: 0 1; }"

    def __init__(self, job_id: str, heading: str, lines: Sequence[str]) -> None:
        super().__init__(job_id)
        self.HEADING = heading  # type: ignore[misc]
        self.lines = tuple(lines)

    def body(self) -> ComposeResult:
        """All lines."""
        with VerticalScroll(can_focus=False):
            yield Static(paper("\n".join(self.lines)))
