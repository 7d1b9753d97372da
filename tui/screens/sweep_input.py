"""The field that takes readings: number pad alone, every pad key with a meaning."""

from __future__ import annotations

from textual import events
from textual.message import Message

from core.errors import ShaftlogError
from core.units import Unit, parse_clock_rad, parse_length_in
from tui.screens.sweep_views import as_typed
from tui.widgets.number_input import NumberInput

MEANINGS = {"enter": "enter", "ctrl+j": "enter", "asterisk": "blocked", "slash": "undo"}
ANYTHING_LIKE_A_NUMBER = r"[-+]?[0-9.,a-zA-Z\" ]*"
TURNS = 10
"""Whole turns a dial has room for; a reading beyond is a slip of the hand."""


class ReadingInput(NumberInput):
    """A number field that keeps up with a gauge cable and leaves Up and Down to the marks.

    Every key is dealt with in its turn, and the field is empty again before the next digit arrives.
    """

    DEFAULT_CSS = "ReadingInput { width: 14; }"

    class Entered(Message):
        """Enter, or a pad key with a meaning, was pressed."""

        def __init__(self, text: str, key: str) -> None:
            super().__init__()
            self.text = text
            """What stood in the field."""
            self.key = key
            """'enter', 'blocked' or 'undo'."""

    def __init__(self) -> None:
        super().__init__(id="reading", restrict=ANYTHING_LIKE_A_NUMBER, arrows_move=True)

    async def _on_key(self, event: events.Key) -> None:
        """Keys with a meaning at once; the base classes see the others."""
        meaning = MEANINGS.get(event.key)
        if meaning is None:
            return
        event.stop()
        event.prevent_default()
        text, self.value = self.value.strip(), ""
        if text or meaning != "enter" or self.allow_empty:
            self.post_message(self.Entered(text, meaning))

    def give_back(self, text: str) -> bool:
        """Put a refused entry back; False when something else stands in the field already."""
        if self.value:
            return False
        self.value = text
        self.cursor_position = len(text)
        return True


def parse_reading_in(text: str, unit: Unit, dial_turn_in: float, what: str = "Reading") -> float:
    """Inches from what was typed, refused when no dial of ours can show it."""
    most_in = TURNS * dial_turn_in
    return parse_length_in(text, unit, least_in=-most_in, most_in=most_in, what=what)


def echo_words(text: str, kind: str, unit: Unit, dial_turn_in: float) -> str:
    """How a text would be understood, while it is being typed; empty when it is not a number."""
    if not text.strip(" +-"):
        return ""
    try:
        if kind == "high spot":
            return "= " + text.strip() + " deg" if parse_clock_rad(text) >= 0 else ""
        return f"= {as_typed(parse_reading_in(text, unit, dial_turn_in), unit)} {unit}"
    except ShaftlogError:
        return ""
