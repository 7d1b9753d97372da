"""A numbered menu: a digit opens at once; Up, Down and Enter work too."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import ClassVar

from textual import events
from textual.binding import Binding, BindingType
from textual.content import Content
from textual.geometry import Region
from textual.message import Message
from textual.reactive import reactive
from textual.widget import Widget

from tui.widgets.plain import clean, cut


@dataclass(frozen=True)
class MenuItem:
    """One line of a menu."""

    name: str
    """What the screen gets when it is chosen."""
    label: str
    """Words of the line; user text is allowed."""
    note: str = ""
    """Words behind the label, such as `next` or `done`."""
    strong: bool = False
    """Whether the line is highlighted (the next step)."""


class Menu(Widget, can_focus=True):
    """Up to ten numbered items (1 to 9, then 0); posts `Menu.Chosen`."""

    DEFAULT_CSS = """
    Menu { height: auto; width: 1fr; }
    """
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("up", "move(-1)", show=False),
        Binding("down", "move(1)", show=False),
        Binding("enter,ctrl+j", "choose", show=False),
    ]

    cursor = reactive(0, repaint=False)
    """Index of the line under the cursor."""

    class Chosen(Message):
        """An item was chosen."""

        def __init__(self, menu: Menu, item: MenuItem) -> None:
            super().__init__()
            self.menu = menu
            self.item = item
            """The item."""

        @property
        def control(self) -> Menu:
            """The menu that posted it."""
            return self.menu

    def __init__(self, items: Sequence[MenuItem] = (), *, id: str | None = None) -> None:
        super().__init__(id=id)
        self.items: tuple[MenuItem, ...] = tuple(items)

    def show(self, items: Sequence[MenuItem], cursor: int | None = None) -> None:
        """Replace the items; the cursor goes to `cursor`, or stays if it can."""
        self.items = tuple(items)
        wanted = self.cursor if cursor is None else cursor
        self.cursor = max(0, min(wanted, len(self.items) - 1))
        self.refresh(layout=True)

    def get_content_height(self, container: object, viewport: object, width: int) -> int:
        """One row for each item."""
        return len(self.items)

    def render(self) -> Content:
        """Digit, label, note; the line under the cursor in reverse."""
        width = self.size.width
        lines: list[Content] = []
        for index, item in enumerate(self.items):
            note = f"  {clean(item.note)} " if item.note else ""
            text = (
                cut(f" {(index + 1) % 10}  {clean(item.label)}", max(width - len(note), 0)) + note
            )
            style = "reverse" if index == self.cursor and self.has_focus else ""
            lines.append(Content.styled(text, f"{style} {'bold' if item.strong else ''}".strip()))
        return Content("\n").join(lines)

    def watch_cursor(self, old: int, new: int) -> None:
        """Paint the two lines that change."""
        self.refresh(*(Region(0, at, max(self.size.width, 1), 1) for at in (old, new)))

    def on_focus(self) -> None:
        """Show the cursor."""
        self.refresh()

    def on_blur(self) -> None:
        """Hide the cursor."""
        self.refresh()

    def on_key(self, event: events.Key) -> None:
        """A digit opens its line at once."""
        if event.character and event.character in "1234567890":
            index = (int(event.character) - 1) % 10
            if index < len(self.items):
                event.stop()
                self.cursor = index
                self.action_choose()

    def action_move(self, step: int) -> None:
        """Move the cursor; it stops at the ends."""
        self.cursor = max(0, min(self.cursor + step, len(self.items) - 1))

    def action_choose(self) -> None:
        """Choose the line under the cursor."""
        if self.items:
            self.post_message(self.Chosen(self, self.items[self.cursor]))
