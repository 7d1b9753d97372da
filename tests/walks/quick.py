"""Wait for a program without waiting: what is idle is seen at the loop, and nobody paints.

The stock pilot sends a message through every widget after each key. Here the loop itself is asked
whether anything is left to run; a screen is painted only when somebody looks at it.
"""

from __future__ import annotations

import asyncio
import time
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

from textual._compositor import Compositor
from textual.css.stylesheet import Stylesheet
from textual.dom import DOMNode

from tui.app import ShaftlogApp

MOST_S = 120.0
"""A program that is not idle after this long never will be."""
PAUSE_S = 0.001


@contextmanager
def paint_when_looked_at() -> Iterator[None]:
    """Until the end, screens are laid out as ever and painted only by `render_strips`.

    The colours of a widget's parts (cursor, bars) are found once: a walk reads text.
    """

    def clear(self: Compositor, *_: Any, **__: Any) -> None:
        self._dirty_regions.clear()

    def once(self: Stylesheet, node: DOMNode) -> None:
        if not node._component_styles:
            colours(self, node)

    paints, colours = Compositor.render_update, Stylesheet._process_component_classes
    Compositor.render_update = clear  # type: ignore[assignment]
    Stylesheet._process_component_classes = once  # type: ignore[method-assign]
    try:
        yield
    finally:
        Compositor.render_update = paints  # type: ignore[method-assign]
        Stylesheet._process_component_classes = colours  # type: ignore[method-assign]


async def idle(app: ShaftlogApp) -> None:
    """Until nothing is under way any more: no key, no worker, no message, no layout.

    Raises `TimeoutError` when something stays under way: what is seen then means nothing.
    """
    ready = asyncio.get_running_loop()._ready  # type: ignore[attr-defined]
    until = time.monotonic() + MOST_S
    while time.monotonic() < until:
        await asyncio.sleep(0)
        if ready:
            continue
        if app._held:
            if app._let_go is not None:
                app._let_go.stop()
            with app._context():
                await app._hand_on_held()
            continue
        if app._key_at_work is not None or app._typed or _at_work(app):
            await asyncio.sleep(PAUSE_S)
            continue
        if not app._running or not app.screen_stack or not _repaint_due(app.screen):
            return
        with app.screen._context():
            app.screen._on_timer_update()
    work = [worker.name for worker in app.workers if not worker.is_finished]
    raise TimeoutError(f"not idle after {MOST_S:g} s on {app.screen}: {work}")


def _at_work(app: ShaftlogApp) -> bool:
    return any(not worker.is_finished for worker in app.workers)


def _repaint_due(screen: Any) -> bool:
    return bool(
        screen._layout_required
        or screen._scroll_required
        or screen._repaint_required
        or screen._dirty_widgets
        or screen._recompose_required
        or screen._callbacks
    )
