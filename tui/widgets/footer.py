"""The bottom line: the keys that work here, the screen's own first."""

from __future__ import annotations

from textual.content import Content
from textual.widget import Widget

from tui.base.commands import Command, spoken

_LAST = ("help", "back", "open_jobs", "find", "job_card", "note")
"""Keys of every screen, in the order in which they get room."""


class KeyLine(Widget):
    """As many commands as fit in the width; the rest stand on the help screen."""

    DEFAULT_CSS = """
    KeyLine { height: 1; width: 100%; }
    """

    def __init__(self, commands: tuple[Command, ...]) -> None:
        super().__init__()
        self.commands = tuple(c for c in commands if c.footer)

    def render(self) -> Content:
        """Key caps in reverse, a word after each."""
        shown = _fitting(self.commands, self.size.width)
        parts: list[tuple[str, str] | str] = []
        for command in shown:
            parts += [(spoken(command.keys[0]), "reverse"), f" {command.label}  "]
        return Content.assemble(*parts)


def _fitting(commands: tuple[Command, ...], width: int) -> list[Command]:
    """The commands that fit, sorted as the keys stand on the keyboard."""
    order = [c for c in commands if c.name not in _LAST]
    order += sorted((c for c in commands if c.name in _LAST), key=lambda c: _LAST.index(c.name))
    # Help must always be reachable, so it is placed before the screen's own keys.
    order.sort(key=lambda c: c.name != "help")
    room, taken = width, []
    for command in order:
        room -= len(spoken(command.keys[0])) + len(command.label) + 3
        if room < -2:
            break
        taken.append(command)
    return sorted(taken, key=_place_on_keyboard)


def _place_on_keyboard(command: Command) -> tuple[int, int]:
    key = command.keys[0]
    if key[0] == "f" and key[1:].isdigit():
        return (0, int(key[1:]))
    return (2, 0) if key == "escape" else (1, 0)
