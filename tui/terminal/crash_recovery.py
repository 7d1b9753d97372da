"""A fault of ours costs one screen, not the program: it is noted, explained in words, and left.

Textual ends the whole program at the first exception nobody caught. At a bench that would throw
away where somebody stood in the middle of a sweep, although every reading is in the book. Here the
screen in which it happened is closed (its message loop has ended, so that it could do nothing more
anyway), the details go to a file, and the screen below says so. Faults that come too fast, one
upon the other, still end the program: `run_app` then prints the words.
"""

from __future__ import annotations

import time
import traceback
from contextlib import suppress
from pathlib import Path
from typing import Any

from rich.console import RenderableType
from textual._context import active_message_pump
from textual.dom import DOMNode
from textual.message import Message
from textual.screen import Screen

from tui.terminal.key_order import OrderedKeys

FAULTS_AT_MOST = 5
WITHIN_S = 20.0
"""More faults than that within this time end the program."""
OWNER_ONLY = 0o600


def note_fault(fault: BaseException, path: Path) -> str:
    """Append the details of a fault to a file its owner alone can read; where they are."""
    details = "".join(traceback.format_exception(fault))
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        path.touch(OWNER_ONLY)
        with path.open("a", encoding="utf-8", errors="replace") as file:
            file.write(f"{time.strftime('%Y-%m-%d %H:%M:%S')}\n{details}\n")
        return str(path)
    except OSError:
        return ""


class SurvivesFaults(OrderedKeys):
    """An app that outlives faults in its screens, unless it runs in a test (`is_headless`)."""

    def __init__(self, *, ansi_color: bool | None = None) -> None:
        super().__init__(ansi_color=ansi_color)
        self.carries_on: bool | None = None
        """None: except in tests, which must see each fault."""
        self.fault: BaseException | None = None
        """What ended the program, if it was a fault of ours."""
        self._faults: list[float] = []

    @property
    def fault_file(self) -> Path:
        """Where details of a fault are written."""
        raise NotImplementedError

    def new_board(self) -> Screen[Any]:
        """A fresh screen for the bottom of everything."""
        raise NotImplementedError

    def tell_fault(self, words: str) -> None:
        """Show `words` on the screen that is on top now."""
        raise NotImplementedError

    async def _dispatch_message(self, message: Message) -> None:
        """A fault while the app itself deals with a message must not end its loop."""
        try:
            await super()._dispatch_message(message)
        except Exception as error:
            self._handle_exception(error)

    def _handle_exception(self, error: Exception) -> None:
        """Called by Textual from whichever loop, timer or worker had the fault."""
        if not (not self.is_headless if self.carries_on is None else self.carries_on):
            self.fault = error
            super()._handle_exception(error)
            return
        now = time.monotonic()
        self._faults = [at for at in self._faults if now - at < WITHIN_S] + [now]
        if len(self._faults) > FAULTS_AT_MOST or not self.is_running:
            self.fault, self._return_code = error, 1
            self._close_messages_no_wait()
            return
        note_fault(error, self.fault_file)
        self.call_later(self._leave_faulty, _screen_of(active_message_pump.get(None)))

    def panic(self, *renderables: RenderableType) -> None:
        """Textual gives up: the thread that reads the keys has ended. Words instead of a trace."""
        what = (getattr(getattr(one, "trace", one), "stacks", one) for one in renderables)
        self.fault, self._return_code = RuntimeError(f"keyboard thread: {list(what)}"), 1
        self._close_messages_no_wait()

    def _leave_faulty(self, dead: Screen[Any] | None) -> None:
        """Close the screen that had the fault and all above it; a dead board is made again.

        `dead` is the screen with a message loop that has ended; None after a fault in what the
        screen on top had the app do, such as the action of a key.
        """
        board, *above = self.screen_stack
        first = dead if dead in above else (above[-1] if dead is None and above else None)
        while len(self.screen_stack) > 1 and (dead is board or first in self.screen_stack):
            self.pop_screen()
        if dead is board:
            # The screen the app began with lacks the callback that `switch_screen` takes away.
            if not board._result_callbacks:
                board._push_result_callback(self, None)
            self.switch_screen(self.new_board())
        self.call_later(
            self.tell_fault,
            "Something went wrong on that screen (a fault of the program). What was shown as "
            f"taken is stored. Details: {self.fault_file.name}",
        )


def _screen_of(pump: object) -> Screen[Any] | None:
    """The screen that a message pump belongs to."""
    if isinstance(pump, Screen):
        return pump
    if isinstance(pump, DOMNode):
        with suppress(Exception):
            return next((n for n in pump.ancestors_with_self if isinstance(n, Screen)), None)
    return None
