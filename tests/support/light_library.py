"""What the library of the screens does over and over where hundreds of apps start in one process.

Nothing here changes what an app does. `lighten` is called once, before the first test.
"""

from __future__ import annotations

import asyncio
from collections.abc import Callable

from textual import _callback, _wait, strip
from textual.css.model import RuleSet
from textual.css.stylesheet import Stylesheet
from textual.css.types import CSSLocation
from textual.message_pump import MessagePump
from textual.pilot import Pilot

_parse_rules = Stylesheet._parse_rules
_parsed: dict[tuple[object, ...], list[RuleSet]] = {}
_count_parameters = _callback._count_parameters
_counted: dict[object, int] = {}


def lighten() -> None:
    """Put the ways of this file in place of the library's."""
    # it looks every 20 ms whether the app is idle, twice for each key
    _wait.SLEEP_GRANULARITY = 0.005
    _wait.SLEEP_IDLE = 0.0005
    Stylesheet._parse_rules = _parsed_once  # type: ignore[method-assign]
    _callback._count_parameters = _counted_once
    Pilot._wait_for_screen = _wait_for_busy  # type: ignore[method-assign]
    # it has its own in Python, which says the same
    RuleSet.__hash__ = object.__hash__  # type: ignore[method-assign]
    # seven small caches for each row of each widget: here no row lives long enough to fill one
    strip.FIFOCache = lambda maxsize: {}  # type: ignore[assignment,misc]


def _parsed_once(
    self: Stylesheet,
    css: str,
    read_from: CSSLocation,
    is_default_rules: bool = False,
    tie_breaker: int = 0,
    scope: str = "",
) -> list[RuleSet]:
    """The library keeps parsed styles for one app; here hundreds of apps have the same."""
    asked = (css, read_from, is_default_rules, tie_breaker, scope)
    key = (*asked, tuple(self._variables.items()))
    if key not in _parsed:
        _parsed[key] = _parse_rules(self, *asked)
    return _parsed[key]


def _counted_once(func: Callable[..., object]) -> int:
    """The library looks at the signature of each callback; a function made anew has the same."""
    key = (getattr(func, "__code__", None), hasattr(func, "__self__"))
    if key[0] is None:
        return _count_parameters(func)
    if key not in _counted:
        _counted[key] = _count_parameters(func)
    return _counted[key]


def _is_waiting(pump: MessagePump) -> bool:
    """Whether it has worked off all messages and waits for the next one."""
    queue = pump._message_queue
    return queue.empty() and bool(queue.ready_event._waiters) and not pump._next_callbacks


async def _wait_for_busy(pilot: Pilot[object], timeout: float = 30.0) -> bool:
    """Wait until the screen and its widgets have worked off what they have to do now.

    The library sends a message through each widget, also through those that have nothing to do.
    """
    app = pilot.app
    if not app.screen_stack:
        return False
    screen, left = app.screen, 0
    through = asyncio.Event()

    def passed() -> None:
        nonlocal left
        left -= 1
        if not left:
            through.set()

    widgets = (one for one in screen.walk_children() if not _is_waiting(one))
    for pump in (app, screen, *widgets):
        left += pump.call_later(passed)
    if not left:
        return True
    waits = [asyncio.ensure_future(one.wait()) for one in (through, app._exception_event)]
    done, pending = await asyncio.wait(waits, timeout=timeout, return_when=asyncio.FIRST_COMPLETED)
    for wait in pending:
        wait.cancel()
    assert done, "widgets that never end their work"
    return through.is_set()
