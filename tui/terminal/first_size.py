"""A new screen has the classes of the window's size at once.

The framework gives them with the first resize, and then styles all widgets of the screen again.
"""

from __future__ import annotations

from typing import Any

from textual.screen import Screen


def take_size_classes(screen: Screen[Any]) -> None:
    """Called before the screen has any widgets; `-wide`, `-high` and the like (`commands.py`)."""
    app, (width, height) = screen.app, screen.app.size
    for size, own, common in (
        (width, screen.HORIZONTAL_BREAKPOINTS, app.HORIZONTAL_BREAKPOINTS),
        (height, screen.VERTICAL_BREAKPOINTS, app.VERTICAL_BREAKPOINTS),
    ):
        breakpoints = (common if own is None else own) or []
        named = screen._get_breakpoint_classes(size, breakpoints)
        screen.add_class(*named, update=False)
