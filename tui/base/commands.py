"""Commands as data: one table drives the bindings, the footer, the help screen and the key test.

A screen lists its own commands once::

    ACTIONS = (
        verb("act", "swap", "Swap", "Show the other bend plane"),
        Command("wider", ("plus",), "Wider", "Draw it wider"),
    )

and writes `action_swap` and `action_wider`. `ShopScreen` turns the table into Textual bindings.
A function key always belongs to a verb of `KEY_OF`, so that it means the same on every screen.
"""

from __future__ import annotations

from textual.binding import Binding, BindingType

from core.base.light_dataclass import dataclass

WIDE_COLUMNS, HIGH_ROWS = 110, 32
"""From this size on a screen has the classes -wide and -high, and room for more."""
_SPOKEN = {
    "escape": "Esc",
    "enter": "Enter",
    "pageup": "PgUp",
    "pagedown": "PgDn",
    "asterisk": "*",
    "slash": "/",
    "plus": "+",
    "minus": "-",
    "ctrl+p": "Ctrl+P",
    "space": "Space",
    "up": "Up",
    "down": "Down",
    "left": "Left",
    "right": "Right",
    "delete": "Del",
    "insert": "Ins",
    "home": "Home",
    "end": "End",
}

KEY_OF = {
    "help": "f1",
    "jobs": "f2",
    "find": "f3",
    "act": "f4",
    "undo": "f5",
    "data": "f6",
    "more": "f7",
    "setup": "f8",
    "note": "f9",
    "card": "f10",
    "finish": "f12",
    "actions": "ctrl+p",
    "back": "escape",
}
"""The one table of verbs and keys. act: what the screen is for; undo: take back; data: other
sweeps, sets, visits; more: more words or choices; setup: settings of this screen; finish: finish or
store, also to a file; actions: find an action by letters of its name."""


@dataclass(frozen=True)
class Command:
    """One thing a person can do on a screen."""

    name: str
    """Name of the action: the screen has a method `action_<name>`."""
    keys: tuple[str, ...]
    """Textual key names; the first one is shown."""
    label: str
    """One or two words for the footer."""
    help: str
    """One line for the help screen."""
    footer: bool = True
    """Whether it may show in the footer."""
    verb: str = ""
    """Name in `KEY_OF`, for a command on one of those keys."""

    @property
    def key_words(self) -> str:
        """The keys as printed on a keyboard: `F4 or PgUp`."""
        return " or ".join(spoken(key) for key in self.keys if key != "ctrl+j")

    def bindings(self) -> list[Binding]:
        """One Textual binding for each key."""
        return [Binding(key, self.name, self.label, show=False) for key in self.keys]


def verb(
    name: str,
    action: str,
    label: str,
    help: str,
    *,
    also: tuple[str, ...] = (),
    footer: bool = True,
) -> Command:
    """A command on the key of a verb, such as "undo"; `also` are further keys, no function keys."""
    return Command(action, (KEY_OF[name], *also), label, help, footer, name)


def spoken(key: str) -> str:
    """A Textual key name in the words printed on the key cap."""
    if key in _SPOKEN:
        return _SPOKEN[key]
    return key.upper() if key[0] == "f" and key[1:].isdigit() else key


def bindings(commands: tuple[Command, ...]) -> list[BindingType]:
    """Textual bindings of a table of commands."""
    return [binding for command in commands for binding in command.bindings()]


def commands_of(screen_class: type) -> tuple[Command, ...]:
    """All commands of a screen, its own first, then those of its base classes.

    A key taken by the screen hides the same key of a base class.
    """
    found: list[Command] = []
    taken: set[str] = set()
    for base in screen_class.__mro__:
        for command in base.__dict__.get("ACTIONS", ()):
            keys = tuple(key for key in command.keys if key not in taken)
            if keys:
                found.append(command)
        taken |= {key for command in base.__dict__.get("ACTIONS", ()) for key in command.keys}
    return tuple(found)
