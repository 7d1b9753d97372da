"""A new screen is styled once and laid out once.

The framework styles all widgets of a screen when they are made, again with the classes of the
window's size that come with the first resize, and again when the screen comes to the front; and it
lays them out for the front and again for that resize. Here the screen has the classes before it
has any widgets, and what has been done for this size is not done again.
"""

from __future__ import annotations

from textual import events
from textual.geometry import Size
from textual.screen import Screen, ScreenResultType


class OpenedOnce(Screen[ScreenResultType]):
    """A screen that is made new each time it is opened."""

    def take_size_classes(self) -> None:
        """Call before the screen has any widgets; `-wide`, `-high` and the like (`commands.py`)."""
        app, (width, height) = self.app, self.app.size
        for size, own, common in (
            (width, self.HORIZONTAL_BREAKPOINTS, app.HORIZONTAL_BREAKPOINTS),
            (height, self.VERTICAL_BREAKPOINTS, app.VERTICAL_BREAKPOINTS),
        ):
            breakpoints = (common if own is None else own) or []
            self.add_class(*self._get_breakpoint_classes(size, breakpoints), update=False)

    def _on_screen_resume(self, event: events.ScreenResume) -> None:
        """Called before the framework's own: each widget has its styles since it was made."""
        event.refresh_styles = False

    def _screen_resized(self, size: Size) -> None:
        """Called with the size of the window, which most often is the one there is."""
        if self._compositor.root is not self or self._compositor.size != size:
            super()._screen_resized(size)
