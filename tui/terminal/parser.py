"""A keyboard parser that no bytes can stop.

Textual ends the whole program when its parser trips over a report it did not expect: a window of
no pixels followed by a mouse report is enough, and line noise can look like both. Here such a
sequence is lost and the keys after it are read. Reports that Shaftlog never asks for are dropped:
of the mouse, and of the window size in the keyboard's stream (the system tells the size by a
signal, which noise cannot forge).
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from textual import events
from textual._parser import Parser
from textual._xterm_parser import XTermParser
from textual.message import Message
from textual.messages import InBandWindowResize

NOT_ASKED_FOR = (events.MouseEvent, events.Resize, InBandWindowResize)


class TolerantParser(XTermParser):
    """Reads keys; whatever cannot be read is forgotten."""

    def feed(self, data: str) -> Iterable[Message]:
        """Keys in `data`, taken one character at a time so that a fault costs one sequence."""
        for char in data or [""]:
            yield from self._calmly(super().feed(char))

    def tick(self) -> Iterable[Message]:
        """A key that was waiting for more."""
        yield from self._calmly(super().tick())

    def _calmly(self, found: Iterable[Message]) -> Iterator[Message]:
        try:
            yield from (one for one in found if not isinstance(one, NOT_ASKED_FOR))
        except Exception:
            Parser.__init__(self)
