"""A section through hub, key and shaft: not to scale, with the gaps as figures."""

from __future__ import annotations

from dataclasses import dataclass

from tui.widgets.canvas import Canvas, GridView

LEAST_WIDTH, LEAST_HEIGHT = 24, 8


@dataclass(frozen=True)
class KeySection:
    """The labels of the drawing, as short as they come; '?' = not measured."""

    top: str = "?"
    """Room over the key."""
    top_style: str = ""
    hub_side: str = "?"
    """Clearance of the key between the sides of the hub keyway; minus = interference."""
    hub_style: str = ""
    shaft_side: str = "?"
    shaft_style: str = ""
    width: str = "?"
    height: str = "?"
    unit: str = "thou"


def draw_section(
    section: KeySection, width: int, height: int, *, ascii_only: bool = False
) -> Canvas:
    """Hub above, shaft below, the key between them."""
    canvas = Canvas(width, height, ascii_only=ascii_only)
    if width < LEAST_WIDTH or height < LEAST_HEIGHT:
        return canvas
    key_left, key_right = width // 2 - 6, width // 2 + 6
    for y in range(LEAST_HEIGHT):
        canvas.row(0, y, width, "░" if y < 4 else "▒", "dim")
    canvas.row(0, 4, width, "─")
    _box(canvas, key_left - 2, 0, key_right + 2, 7)
    _box(canvas, key_left, 2, key_right, 6)
    canvas.put_centred(width // 2, 1, f"top {section.top}", section.top_style)
    canvas.put_centred(width // 2, 3, "KEY", "strong")
    canvas.put_centred(width // 2, 4, section.width)
    canvas.put_centred(width // 2, 5, f"x {section.height}")
    canvas.put(0, 2, " hub ")
    canvas.put(0, 3, f" {section.hub_side} ", section.hub_style)
    canvas.put(0, 5, f" {section.shaft_side} ", section.shaft_style)
    canvas.put(0, 6, " shaft ")
    if height > LEAST_HEIGHT:
        canvas.put(0, 8, f"gaps in {section.unit}, not to scale"[:width], "dim")
    return canvas


def _box(canvas: Canvas, left: int, top: int, right: int, bottom: int) -> None:
    """A box with nothing in it."""
    inside = right - left - 1
    canvas.put(left, top, "┌" + "─" * inside + "┐")
    for y in range(top + 1, bottom):
        canvas.put(left, y, "│" + " " * inside + "│")
    canvas.put(left, bottom, "└" + "─" * inside + "┘")


class KeySectionView(GridView):
    """The section as a widget; `show(section)` repaints what changed."""

    DEFAULT_CSS = "KeySectionView { width: 30; height: 9; }"

    def __init__(self, *, id: str | None = None) -> None:
        super().__init__(id=id)
        self.section = KeySection()

    def show(self, section: KeySection) -> None:
        """Show other figures."""
        self.section = section
        self.redraw()

    def draw(self, width: int, height: int) -> Canvas:
        """The section at this size."""
        return draw_section(self.section, width, height, ascii_only=self.ascii_only)
