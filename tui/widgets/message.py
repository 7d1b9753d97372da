"""The one place where the program speaks: a line above the footer, in words."""

from __future__ import annotations

from textual.widgets import Static

from tui.base.context import Tone
from tui.widgets.plain import clean

_STYLE: dict[str, str] = {"hint": "", "done": "bold", "stop": "bold reverse"}


class MessageLine(Static):
    """Shows the last thing said; grows to three lines when words need them."""

    DEFAULT_CSS = """
    MessageLine { height: auto; min-height: 1; max-height: 3; padding: 0 1; }
    """

    said: str = ""
    """The words shown now."""
    tone: str = "hint"
    """How they are meant."""

    def say(self, words: str, tone: Tone = "hint") -> None:
        """Show `words`; an empty string wipes the line."""
        if (words, tone) == (self.said, self.tone):
            return
        self.said, self.tone = words, tone
        from textual.content import Content

        self.update(Content.styled(clean(words), _STYLE[tone]) if words else Content(""))
