"""The top line of every screen: where am I, whose shaft is this, what clock is running."""

from __future__ import annotations

from textual.content import Content
from textual.reactive import reactive
from textual.widget import Widget

from tui.widgets.plain import cut

MOST_OTHERS = 20
"""Columns for the names of other benches."""


class TopLine(Widget):
    """Left the screen and the job, right a running clock (penetrant dwell) when there is one."""

    DEFAULT_CSS = """
    TopLine { height: 1; width: 100%; text-style: reverse; }
    """

    heading = reactive("")
    """Name of the screen."""
    subject = reactive("")
    """Job tag, vessel, customer."""
    clock = reactive("")
    """Words of the running clock; empty when none runs."""
    others = reactive("")
    """Other benches that have this job open now; empty = nobody."""

    def render(self) -> Content:
        """One line in exactly the width there is."""
        width = self.size.width
        right = f" {self.clock} " if self.clock else " F1 help "
        if self.others:
            right = f" ALSO AT {cut(self.others, min(len(self.others), MOST_OTHERS))} {right}"
        left = f" {self.heading}"
        if self.subject:
            left += f" | {self.subject}"
        return Content(cut(left, max(width - len(right), 0)) + right)
