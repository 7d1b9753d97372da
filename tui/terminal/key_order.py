"""Keys typed ahead take effect in the order typed, however slow the program is at the moment.

Textual hands each key straight to the widget that has the focus now, while what a key causes (a
field taken, the cursor in the next field, a screen opened) happens some messages later. Two keys
that come close together, from a fast hand, a gauge cable or out of a short stall, would meet the
wrong field. Here a key waits until everything the key before it caused has been done; a key that
comes alone is handed on at once and loses nothing.
"""

from __future__ import annotations

import asyncio
from collections import deque

from textual import events
from textual.app import App, ScreenStackError
from textual.message_pump import MessagePump
from textual.timer import Timer
from textual.widget import Widget
from textual.widgets import Input

from tui.terminal.tag_scanner import GAP_S, TagScanner

LAPS_AT_LEAST = 2
LAPS_AT_MOST = 8
KEY_WAIT_S = 3.0
"""A key never waits longer than this for the one before it."""
KEY_PAUSE_S = 0.01


class OrderedKeys(App[None]):
    """An app whose keys never overtake each other."""

    def __init__(self, *, ansi_color: bool | None = None) -> None:
        super().__init__(ansi_color=ansi_color)
        self._typed: deque[events.Event] = deque()
        self._key_at_work: asyncio.Task[None] | None = None
        self.scanner: TagScanner | None = None
        """Watches for tags from a hand scanner; None = not watched for."""
        self._held: list[events.Event] = []
        """Digits that may be the beginning of a tag, where a digit would act at once."""
        self._let_go: Timer | None = None
        self._burst: list[events.Event] = []
        """Keys that came without a pause."""
        self._before_scan: tuple[Widget, str] | None = None
        """The field that a scanner types into, and what it held before."""

    def open_tag(self, tag: str) -> None:
        """A tag was scanned."""

    async def on_event(self, event: events.Event) -> None:
        """Let one key at a time through; a scanned tag goes to `open_tag` instead."""
        if isinstance(event, events.Key) and not event.is_forwarded:
            if self.scanner is None or not await self._is_scanned(event, self.scanner):
                await self._hand_on(event)
        elif isinstance(event, events.Paste):
            await self._hand_on(event)
        else:
            await super().on_event(event)

    async def _is_scanned(self, event: events.Key, scanner: TagScanner) -> bool:
        """Whether the key belongs to a tag, or may: then it is held back for a moment."""
        tag = scanner.key(event.key, event.character, event.time)
        field = self.focused if _takes_text(self.focused) else None
        if len(scanner.burst) == 1:
            self._before_scan = None if field is None else (field, str(getattr(field, "value", "")))
            self._burst.clear()
        self._burst.append(event)
        if tag:
            self._held.clear()
            self._typed = deque(e for e in self._typed if e not in self._burst)
            self._scanned = asyncio.create_task(self._open_scanned(tag))
            return True
        if field is None and scanner.may_be_tag:
            self._held.append(event)
            if self._let_go is not None:
                self._let_go.stop()
            self._let_go = self.set_timer(GAP_S, self._hand_on_held)
            return True
        await self._hand_on_held()
        return False

    async def _open_scanned(self, tag: str) -> None:
        """Once the key at work is done: the field as it was, then the job of the tag."""
        while self._key_at_work is not None:
            await asyncio.sleep(KEY_PAUSE_S)
        if self._before_scan is not None:
            setattr(self._before_scan[0], "value", self._before_scan[1])  # noqa: B010
        try:
            self.open_tag(tag)
        except Exception as error:
            self._handle_exception(error)

    async def _hand_on_held(self) -> None:
        """No tag came of it: the digits act as typed."""
        held, self._held = self._held, []
        for event in held:
            await self._hand_on(event)

    async def _hand_on(self, event: events.Event) -> None:
        """One key or paste, in its turn."""
        if self._key_at_work is None and self._stays_in_the_field(event):
            await super().on_event(event)
            return
        self._typed.append(event)
        if self._key_at_work is None:
            if self._is_up:
                await super().on_event(self._typed.popleft())
            self._key_at_work = asyncio.create_task(self._work_off())

    @property
    def _is_up(self) -> bool:
        """Whether there is a screen for a key; those typed while the program starts wait for it."""
        return bool(self.screen_stack) and self.screen.is_mounted

    def _stays_in_the_field(self, event: events.Event) -> bool:
        """Digits and letters for a field that says that typing has no effect outside of it.

        Nothing can overtake them there, so that nothing need be waited for afterwards.
        """
        if not isinstance(event, events.Key) or not getattr(self.focused, "TYPES_IN_TURN", False):
            return False
        return event.character is not None and (
            event.character.isalnum() or event.character in ".,"
        )

    async def _work_off(self) -> None:
        """Wait for what the last key caused, then hand on the next one, until none is left."""
        try:
            await self._settled()
            while self._typed:
                await super().on_event(self._typed.popleft())
                await self._settled()
        except ScreenStackError:
            self._typed.clear()  # the program is being left
        except Exception as error:
            self._handle_exception(error)
        finally:
            self._key_at_work = None

    async def _settled(self) -> None:
        """Return when the queues between the focus and the app have been worked off.

        Each lap waits for one message to pass through every pump from the focus up to the app;
        laps are run until screen and focus stay the same.
        """
        loop = asyncio.get_running_loop()
        end = loop.time() + KEY_WAIT_S
        while not self._is_up and loop.time() < end:
            await asyncio.sleep(KEY_PAUSE_S)  # a screen just opened has no parts yet
        seen = None
        for lap in range(LAPS_AT_MOST):
            here = self.focused or self.screen
            for pump in (*here.ancestors_with_self, self):
                await _passed_through(pump, end)
            now = (self.screen, self.focused)
            if now == seen and lap + 1 >= LAPS_AT_LEAST:
                return
            seen = now


def _takes_text(widget: Widget | None) -> bool:
    """Whether digits are typed into it, so that they do no harm before Enter."""
    return isinstance(widget, Input) or getattr(widget, "TYPES_IN_TURN", False)


async def _passed_through(pump: MessagePump, end: float) -> None:
    """Wait until a pump has worked off all that is in its queue now."""
    loop = asyncio.get_running_loop()
    done: asyncio.Future[None] = loop.create_future()

    def reached() -> None:
        if not done.done():
            done.set_result(None)

    if pump.is_running and pump.call_later(reached):
        try:
            await asyncio.wait_for(done, max(end - loop.time(), 0.01))
        except TimeoutError:
            return
