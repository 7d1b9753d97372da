"""A field with a few fixed answers: its digit, or Left and Right, choose; Enter moves on."""

from __future__ import annotations

from typing import ClassVar

from textual import events
from textual.binding import Binding, BindingType
from textual.content import Content
from textual.message import Message
from textual.widget import Widget

from tui.widgets.plain import cut


class ChoiceBox(Widget, can_focus=True):
    """All answers in one line with their digits; the chosen one stands in reverse and brackets."""

    DEFAULT_CSS = """
    ChoiceBox { height: 1; width: 1fr; }
    """
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("left", "step(-1)", show=False),
        Binding("right,space", "step(1)", show=False),
        Binding("enter,ctrl+j", "take", show=False),
    ]

    class Chosen(Message):
        """Another answer was chosen, or Enter confirmed the one that stands."""

        def __init__(self, value: str, final: bool) -> None:
            super().__init__()
            self.value = value
            self.final = final
            """True for Enter: go on to the next field."""

    def __init__(self, choices: tuple[tuple[str, str], ...], value: str = "") -> None:
        super().__init__()
        self.choices = choices
        self.value = value

    @property
    def index(self) -> int:
        """Place of the chosen answer; -1 when none is chosen yet."""
        return next((i for i, (value, _) in enumerate(self.choices) if value == self.value), -1)

    def show(self, value: str) -> None:
        """Show another answer."""
        self.value = value
        self.refresh()

    def render(self) -> Content:
        """`1 one  [2 two]  3 three`; when there is no room, only the chosen one."""
        width = self.size.width
        parts: list[tuple[str, str]] = []
        for i, (_, words) in enumerate(self.choices):
            text = f"{(i + 1) % 10} {words}"
            if self.is_chosen(i):
                parts.append((f"[{text}]", "bold reverse" if self.has_focus else "bold"))
            else:
                parts.append((f" {text} ", ""))
        if sum(len(text) for text, _ in parts) > width:
            return self._short(width)
        if self.has_focus and not any(map(self.is_chosen, range(len(self.choices)))):
            parts.insert(0, (">", "reverse"))
        return Content.assemble(*parts)

    def _short(self, width: int) -> Content:
        at = self.index
        words = self.choices[at][1] if at >= 0 else "not chosen"
        text = cut(f"< {words} >  {at + 1} of {len(self.choices)}", width)
        return Content.styled(text, "reverse" if self.has_focus else "")

    def on_focus(self) -> None:
        """Show the cursor."""
        self.refresh()

    def on_blur(self) -> None:
        """Hide the cursor."""
        self.refresh()

    def on_key(self, event: events.Key) -> None:
        """A digit chooses."""
        if event.character and event.character in "1234567890":
            index = (int(event.character) - 1) % 10
            if index < len(self.choices):
                event.stop()
                self._choose(index)

    def _choose(self, index: int) -> None:
        self.show(self.choices[index][0])
        self.post_message(self.Chosen(self.value, final=False))

    def is_chosen(self, index: int) -> bool:
        """Whether the answer at this place is chosen."""
        return index == self.index

    def action_step(self, by: int) -> None:
        """Next or previous answer, round and round."""
        if self.choices:
            at = self.index
            self._choose((at + by) % len(self.choices) if at >= 0 else 0)

    def action_take(self) -> None:
        """Enter."""
        self.post_message(self.Chosen(self.value, final=True))


class ManyBox(ChoiceBox):
    """Any number of the answers: a digit switches one on or off; `value` joins them with commas."""

    def is_chosen(self, index: int) -> bool:
        """Whether the answer at this place is switched on."""
        return self.choices[index][0] in self.value.split(",")

    def _choose(self, index: int) -> None:
        on = {i for i in range(len(self.choices)) if self.is_chosen(i)} ^ {index}
        self.show(",".join(self.choices[i][0] for i in sorted(on)))
        self.post_message(self.Chosen(self.value, final=False))

    def action_step(self, by: int) -> None:
        """Left and Right have no meaning here: digits switch."""
