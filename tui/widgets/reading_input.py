"""The line that takes readings: prompt, number, and how it is understood; number pad alone.

Not a stock input: a key costs one string and the painting of one row, so that it is on the screen
as soon as it can be, and everything that ends a number is dealt with before the next digit.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import ClassVar

from textual import events
from textual.message import Message

from core.base.errors import ShaftlogError
from core.base.units import Unit, format_typed, parse_clock_rad, parse_reading_in
from tui.widgets.canvas import Canvas, GridView
from tui.widgets.number_input import NumberInput

MEANINGS = {"enter": "enter", "ctrl+j": "enter", "asterisk": "blocked", "slash": "undo"}
NUMLOCK_OFF = frozenset({"left", "right", "home", "end", "insert", "kp_begin", "clear"})
ANYTHING_LIKE_A_NUMBER = re.compile(r"[-+0-9.,/a-zA-Z\" ]*")
NUMBER_LENGTH = 16
VALUE_AT = 46
"""Column of the number, unless the prompt is longer."""


class ReadingInput(GridView, can_focus=True):
    """Posts `Entered` with what was typed; the field is empty again before the next key.

    Text that was not typed just now (refused, or back after an interruption) is *selected*: shown
    in reverse, and the next key replaces it, so that two numbers never run together.
    """

    DEFAULT_CSS = "ReadingInput { height: 1; }"
    TYPES_IN_TURN: ClassVar[bool] = True
    """Typing changes nothing but this line (see `tui.terminal.key_order`)."""

    class Entered(Message):
        """Enter, or a pad key with a meaning, was pressed."""

        def __init__(self, text: str, key: str) -> None:
            super().__init__()
            self.text = text
            """What was in the field; for 'undo' the selected text that the key has removed."""
            self.key = key
            """'enter', 'blocked' or 'undo'."""

    def __init__(self) -> None:
        super().__init__(id="reading")
        self.prompt = ""
        self.echo: tuple[str, str] = ("", "")
        """Text behind the number and its style."""
        self.allow_empty = False
        """Whether Enter alone is an answer."""
        self.understand: Callable[[str], str] = lambda _text: ""
        """How a number is understood while it is typed."""
        self.typed: Callable[[], None] = lambda: None
        """Called at each key, so that heavy work can be put off."""
        self._value = ""
        self._selected = False

    @property
    def value(self) -> str:
        """The text in the field."""
        return self._value

    @value.setter
    def value(self, text: str) -> None:
        self._value, self._selected = text[:NUMBER_LENGTH], False
        self.redraw()

    @property
    def selected(self) -> bool:
        """Whether the next key replaces the text."""
        return self._selected

    def select(self) -> None:
        """The next key replaces the text."""
        if self._value and not self._selected:
            self._selected = True
            self.redraw()

    def show(self, *, prompt: str | None = None, echo: tuple[str, str] | None = None) -> None:
        """Other text before or behind the number."""
        self.prompt = self.prompt if prompt is None else prompt
        self.echo = self.echo if echo is None else echo
        self.redraw()

    def draw(self, width: int, height: int) -> Canvas:
        """Prompt, number, cursor, echo."""
        canvas = Canvas(width, height, ascii_only=self.ascii_only)
        at = max(canvas.put(0, 0, self.prompt, "strong") + 1, min(VALUE_AT, width // 2 + 6))
        at = canvas.put(at, 0, self._value, "picked" if self._selected else "")
        if self.has_focus and not self._selected:
            canvas.put(at, 0, " ", "picked")
        canvas.put(at + 3, 0, *self.echo)
        return canvas

    def on_focus(self) -> None:
        """Show the cursor."""
        self.redraw()

    def on_blur(self) -> None:
        """Hide it."""
        self.redraw()

    def _on_key(self, event: events.Key) -> None:  # type: ignore[override]
        """Keys with a meaning, then typing; all others go on to the screen."""
        meaning = MEANINGS.get(event.key)
        typing = bool(self._value) and not self._selected
        if meaning == "undo" and typing:
            self._type(self._value + "/")
        elif meaning is not None:
            self._end(meaning)
        elif event.key == "backspace":
            self._type("" if self._selected else self._value[:-1])
        elif event.key in NUMLOCK_OFF:
            self.post_message(NumberInput.NumLockOff())
        elif event.character is not None and event.is_printable:
            self._type((self._value if typing else "") + event.character)
        else:
            return
        event.stop()
        event.prevent_default()

    def _end(self, meaning: str) -> None:
        """A key that ends the number. A selected number was not typed for `*`."""
        text = self._value.strip()
        if meaning == "blocked" and self._selected:
            text = ""
        self.value = ""
        if text or meaning != "enter" or self.allow_empty:
            self.post_message(self.Entered(text, meaning))

    def _on_paste(self, event: events.Paste) -> None:
        """The first line of what is pasted; Enter is left to the hand."""
        event.stop()
        before = "" if self._selected else self._value
        self._type(before + (event.text.strip().splitlines() or [""])[0])

    def _type(self, text: str) -> None:
        """Another text, if it can become a number."""
        if len(text) <= NUMBER_LENGTH and ANYTHING_LIKE_A_NUMBER.fullmatch(text):
            self._value, self._selected = text, False
            self.echo = (self.understand(text), "")
            self.redraw()
            self.typed()

    def give_back(self, text: str) -> bool:
        """Put a refused entry back, selected; False when the field holds something else."""
        if self._value:
            return False
        self.value = text
        self.select()
        return True


def understood_reading(text: str, kind: str, unit: Unit, dial_turn_in: float) -> str:
    """How a text would be understood while it is typed; empty when it is not a number."""
    if not text.strip(" +-"):
        return ""
    try:
        if kind == "high spot":
            return "= " + text.strip() + " deg" if parse_clock_rad(text) >= 0 else ""
        return f"= {format_typed(parse_reading_in(text, unit, dial_turn_in), unit)} {unit}"
    except ShaftlogError:
        return ""
