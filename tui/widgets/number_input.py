"""Borderless one-line fields that cost few bytes a key and none while idle.

`LineInput` takes text, `NumberInput` takes numbers from the pad. Pad Enter arrives inside tmux as
`ctrl+j`, so both keys take the entry.
"""

from __future__ import annotations

from typing import ClassVar

from textual import events
from textual.binding import Binding, BindingType
from textual.geometry import Size
from textual.message import Message
from textual.reactive import Reactive
from textual.widgets import Input

PAD_WITHOUT_NUMLOCK = frozenset(
    {"left", "right", "up", "down", "home", "end", "insert", "kp_begin", "clear"}
)
"""What the digits of the pad send when NumLock is off (Page keys are second keys elsewhere)."""

READING = r"[-+]?\d*[.,]?\d*"
"""A reading in numbers only."""
LENGTH = r"[-+]?[\d.,/ -]*[a-zA-Z\"']*\.?"
"""A length as people write it: 1-3/4, 44,45 mm, 2.5 in, 3 thou."""


class LineInput(Input):
    """One line of text without border and blink; Enter and pad Enter submit."""

    DEFAULT_CSS = """
    LineInput, LineInput:focus { border: none; height: 1; padding: 0; background-tint: initial; }
    LineInput.-textual-compact { border: none !important; }
    LineInput > .input--selection {
        background: ansi_default; color: ansi_default; text-style: reverse;
    }
    """
    BINDINGS: ClassVar[list[BindingType]] = [Binding("ctrl+j", "submit", show=False)]
    virtual_size = Reactive(Size(0, 0))
    """Without a layout: the text scrolls inside the field, a letter moves no other widget."""

    def __init__(
        self,
        value: str = "",
        *,
        id: str | None = None,
        placeholder: str = "",
        restrict: str | None = None,
        max_length: int = 0,
        classes: str | None = None,
    ) -> None:
        super().__init__(
            value=value,
            id=id,
            placeholder=placeholder,
            restrict=restrict,
            max_length=max_length,
            classes=classes,
            compact=True,
            select_on_focus=False,
            validate_on=(),  # screens check; else each first letter and each leaving styles it
        )
        self.cursor_blink = False

    @property
    def content_width(self) -> int:
        """At least the width of the field.

        The stock field grows with each letter, and Textual then lays out the whole screen again;
        while the text fits there is no need to.
        """
        return max(super().content_width, self.size.width)

    async def _on_key(self, event: events.Key) -> None:
        """Enter and Backspace in their turn.

        Textual sends them round by way of the app while letters go straight in, so that a letter
        typed at once after Enter would overtake it.
        """
        act = {"enter": self.action_submit, "ctrl+j": self.action_submit}.get(event.key)
        if act is not None:
            event.stop()
            event.prevent_default()
            await act()
        elif event.key == "backspace":
            event.stop()
            event.prevent_default()
            self.action_delete_left()


class NumberInput(LineInput):
    """A field for numbers; an empty Enter does nothing, so a bouncing key does no harm.

    Posts Textual's `Input.Submitted` with the text as typed, and `PadKey` for those keys named in
    `pad_keys` (for example `{"asterisk": "blocked", "slash": "undo"}`).
    """

    class PadKey(Message):
        """A key of the pad with a meaning of its own was pressed."""

        def __init__(self, sender: NumberInput, name: str) -> None:
            super().__init__()
            self.sender = sender
            self.name = name
            """The meaning given in `pad_keys`."""

    class NumLockOff(Message):
        """A pad key came without its digit: NumLock is off."""

        words = "Is NumLock off? The pad sends arrows: press NumLock, then type again."

    def __init__(
        self,
        value: str = "",
        *,
        id: str | None = None,
        placeholder: str = "",
        restrict: str = READING,
        max_length: int = 16,
        allow_empty: bool = False,
        pad_keys: dict[str, str] | None = None,
        arrows_move: bool = False,
        classes: str | None = None,
    ) -> None:
        super().__init__(
            value,
            id=id,
            placeholder=placeholder,
            restrict=restrict,
            max_length=max_length,
            classes=classes,
        )
        self.allow_empty = allow_empty
        self.pad_keys = pad_keys or {}
        self.pad_only = True
        """Whether only numbers are typed here, so that a strange key may mean NumLock."""
        self.strange_keys = PAD_WITHOUT_NUMLOCK - ({"up", "down"} if arrows_move else set())
        """Keys that mean that NumLock is off; Up and Down are left out where they move about."""

    async def _on_key(self, event: events.Key) -> None:
        """Pad keys with a meaning first, then the NumLock hint, then the digits."""
        if event.key in self.pad_keys:
            event.stop()
            event.prevent_default()
            self.post_message(self.PadKey(self, self.pad_keys[event.key]))
        elif self.pad_only and event.key in self.strange_keys:
            self.post_message(self.NumLockOff())

    async def action_submit(self) -> None:
        """Take the number; nothing typed means nothing taken."""
        if self.value.strip() or self.allow_empty:
            await super().action_submit()
