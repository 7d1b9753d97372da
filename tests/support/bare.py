"""The smallest Textual app with one stock Input: the yardstick of start and key to paint."""

from __future__ import annotations

from textual.app import App, ComposeResult
from textual.widgets import Input


class Bare(App[None]):
    """One Input."""

    def compose(self) -> ComposeResult:
        """The Input."""
        yield Input(placeholder="ready")


if __name__ == "__main__":
    Bare().run(mouse=False)
