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
from core.base.units import Unit, parse_clock_rad, parse_length_in
from tui.screens.sweep.sweep_views import as_typed
from tui.widgets.canvas import Canvas, GridView
from tui.widgets.number_input import NumberInput

MEANINGS = {"enter": "enter", "ctrl+j": "enter", "asterisk": "blocked", "slash": "undo"}
NUMLOCK_OFF = frozenset({"left", "right", "home", "end", "insert", "kp_begin", "clear"})
ANYTHING_LIKE_A_NUMBER = re.compile(r"[-+]?[0-9.,a-zA-Z\" ]*")
LONGEST = 16
VALUE_AT = 46
"""Column of the number, unless the prompt is longer."""
TURNS = 10
"""Whole turns a dial has room for; a reading beyond is a slip of the hand."""


class ReadingInput(GridView, can_focus=True):
    """Posts `Entered` with what was typed; the field is empty again before the next key."""

    DEFAULT_CSS = "ReadingInput { height: 1; }"
    TYPES_IN_TURN: ClassVar[bool] = True
    """Typing changes nothing but this line (see `tui.terminal.key_order`)."""

    class Entered(Message):
        """Enter, or a pad key with a meaning, was pressed."""

        def __init__(self, text: str, key: str) -> None:
            super().__init__()
            self.text = text
            """What stood in the field."""
            self.key = key
            """'enter', 'blocked' or 'undo'."""

    def __init__(self) -> None:
        super().__init__(id="reading")
        self.prompt = ""
        self.echo: tuple[str, str] = ("", "")
        """Words behind the number and their style."""
        self.allow_empty = False
        """Whether Enter alone is an answer."""
        self.understand: Callable[[str], str] = lambda _text: ""
        """Words for how a number is understood while it is typed."""
        self.typed: Callable[[], None] = lambda: None
        """Called at each key, so that heavy work can be put off."""
        self._value = ""
        self._held = False
        """The text was refused: typing on must not run the next number into it."""

    @property
    def value(self) -> str:
        """What stands typed."""
        return self._value

    @value.setter
    def value(self, text: str) -> None:
        self._value, self._held = text[:LONGEST], False
        self.redraw()

    def show(self, *, prompt: str | None = None, echo: tuple[str, str] | None = None) -> None:
        """Other words before or behind the number."""
        self.prompt = self.prompt if prompt is None else prompt
        self.echo = self.echo if echo is None else echo
        self.redraw()

    def draw(self, width: int, height: int) -> Canvas:
        """Prompt, number, cursor, echo."""
        canvas = Canvas(width, height, ascii_only=self.ascii_only)
        at = max(canvas.put(0, 0, self.prompt, "strong") + 1, min(VALUE_AT, width // 2 + 6))
        at = canvas.put(at, 0, self._value)
        if self.has_focus:
            canvas.put(at, 0, " ", "picked")
        canvas.put(at + 3, 0, *self.echo)
        return canvas

    def on_focus(self) -> None:
        """Show the cursor."""
        self.redraw()

    def on_blur(self) -> None:
        """Hide it."""
        self.redraw()

    def _on_key(self, event: events.Key) -> None:
        """Keys with a meaning, then typing; all others go on to the screen."""
        meaning = MEANINGS.get(event.key)
        if meaning is not None:
            text, self.value = self._value.strip(), ""
            if text or meaning != "enter" or self.allow_empty:
                self.post_message(self.Entered(text, meaning))
        elif event.key == "backspace":
            self._held = False
            self._type(self._value[:-1])
        elif event.key in NUMLOCK_OFF:
            self.post_message(NumberInput.NumLockOff())
        elif event.character is not None and event.is_printable:
            self._type(self._value + event.character)
        else:
            return
        event.stop()
        event.prevent_default()

    def _on_paste(self, event: events.Paste) -> None:
        """The first line of what is pasted; Enter is left to the hand."""
        event.stop()
        self._type(self._value + (event.text.strip().splitlines() or [""])[0])

    def _type(self, text: str) -> None:
        """Another text, if it can become a number."""
        if self._held:
            self.app.bell()
            self.show(echo=("Not stored. Enter, Bksp or /", "doubt"))
        elif len(text) <= LONGEST and ANYTHING_LIKE_A_NUMBER.fullmatch(text):
            self._value = text
            self.echo = (self.understand(text), "")
            self.redraw()
            self.typed()

    def give_back(self, text: str, *, held: bool = False) -> bool:
        """Put a refused entry back; False when something else stands in the field already.

        `held`: keys typed on, without a look at the screen, are not added to it.
        """
        if self._value:
            return False
        self.value = text
        self._held = held
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
