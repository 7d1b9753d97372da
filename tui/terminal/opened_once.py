"""A new screen is styled once, laid out once and painted once.

The framework styles all widgets of a screen when they are made, again with the classes of the
window's size that come with the first resize, and again when the screen comes to the front. It
lays them out for the front and again for that resize, and paints them after each and once more.
Here the screen has the classes before it has any widgets, and what has been done for this size is
not done again.
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
        """Does what the framework's own does, but styles nothing anew and paints once."""
        event.prevent_default()
        self.stack_updates += 1
        self.app._refresh_notifications()
        self._update_auto_focus()
        if self.is_attached:
            if self._size == self.app.size:
                self.refresh()
            else:
                self._refresh_layout(self.app.size)  # it paints

    def _screen_resized(self, size: Size) -> None:
        """Called with the size of the window, which most often is the one there is."""
        if self._compositor.root is not self or self._compositor.size != size:
            super()._screen_resized(size)

    def _on_timer_update(self) -> None:
        """Called when something is to be painted: a layout that paints all paints it all."""
        if self._layout_required and self._repaint_required and self.is_current:
            self._repaint_required = False
            self._compositor.update_widgets({self})
        super()._on_timer_update()
