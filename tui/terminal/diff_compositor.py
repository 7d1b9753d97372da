"""Paint only what changed: fewer widgets asked, and fewer bytes sent.

For a partial update the stock compositor asks each widget whose clip (the window of its
container) meets the changed region, so that one typed digit renders the whole screen from caches.
Asking those whose own region meets it gives the same picture for a fraction of the work.

`PaintsDifferences` sends of that what a `Picture` says has changed, on a slow line in turns. This
module, with the two it builds on, touches that private part of Textual, and no other does.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from rich.color import ColorSystem
from rich.console import Console, RenderableType
from textual._compositor import ChopsUpdate, Compositor, CompositorUpdate, LayoutUpdate
from textual.app import App
from textual.geometry import Region
from textual.screen import Screen
from textual.strip import Strip
from textual.timer import Timer

from tui.terminal.picture import Picture
from tui.terminal.slow_line import SLOW_BAUD, PacedPicture


class DiffCompositor(Compositor):
    """A compositor that leaves out widgets beside the changed region."""

    def _get_renders(
        self, crop: Region | None = None
    ) -> Iterable[tuple[Region, Region, list[Strip]]]:
        """Region, clip and strips of each widget that meets `crop`."""
        if not crop:
            yield from super()._get_renders(crop)
            return
        # One column more on each side: the stock code looks at the neighbour of a span's end.
        near = crop.grow((0, 1, 0, 1))
        for widget, (region, clip) in self.visible_widgets.items():
            shown = region.intersection(clip)
            if shown and near.overlaps(shown):
                inside = shown.translate((-region.x, -region.y))
                yield region, clip, widget.render_lines(inside)


class _Sent(CompositorUpdate):
    """An update that says what to send only when it is sent: some are thrown away before."""

    def __init__(self, update: LayoutUpdate | ChopsUpdate, picture: Picture) -> None:
        self.update, self.picture = update, picture

    def render_segments(self, console: Console) -> str:
        """What to send to the terminal."""
        colours = console._color_system or ColorSystem.TRUECOLOR
        if isinstance(self.update, LayoutUpdate):
            return self.picture.whole(self.update, colours)
        return self.picture.changes(self.update, colours)


class _Rest(CompositorUpdate):
    """More of what waits for room in a slow line."""

    def __init__(self, picture: PacedPicture) -> None:
        self.picture = picture

    def render_segments(self, console: Console) -> str:
        """What to send to the terminal."""
        return self.picture.more()


class PaintsDifferences(App[None]):
    """An app that sends the cells that changed."""

    def __init__(self, *, ansi_color: bool | None = None) -> None:
        super().__init__(ansi_color=ansi_color)
        self._picture = Picture()
        self._next_turn: Timer | None = None

    def pace(self, baud: int) -> None:
        """Say how fast the line is, before anything is painted; 0 = not known, fast."""
        if 0 < baud <= SLOW_BAUD:
            self._picture = PacedPicture(10 / baud)

    def _display(self, screen: Screen[object], renderable: RenderableType | None) -> None:
        """Called by Textual with what is to be painted."""
        if isinstance(renderable, LayoutUpdate | ChopsUpdate):
            sent: Any = _Sent(renderable, self._picture)  # painted like those of the compositor
            super()._display(screen, sent)
        else:
            super()._display(screen, renderable)
        self._send_rest_soon()

    def _send_rest_soon(self) -> None:
        """Send what waits when the line has room for it."""
        picture = self._picture
        if isinstance(picture, PacedPicture) and picture.waiting and self._next_turn is None:
            self._next_turn = self.set_timer(picture.wait_s, self._send_rest)

    def _send_rest(self) -> None:
        self._next_turn = None
        if isinstance(self._picture, PacedPicture):
            rest: Any = _Rest(self._picture)
            super()._display(self.screen, rest)
            self._send_rest_soon()
