"""A clock in digits five rows high, readable from the other end of the bench."""

from __future__ import annotations

from collections.abc import Sequence

from tui.widgets.canvas import Canvas, GridView

_DIGITS = {
    "0": ("###", "# #", "# #", "# #", "###"),
    "1": ("  #", "  #", "  #", "  #", "  #"),
    "2": ("###", "  #", "###", "#  ", "###"),
    "3": ("###", "  #", "###", "  #", "###"),
    "4": ("# #", "# #", "###", "  #", "  #"),
    "5": ("###", "#  ", "###", "  #", "###"),
    "6": ("###", "#  ", "###", "# #", "###"),
    "7": ("###", "  #", "  #", "  #", "  #"),
    "8": ("###", "# #", "###", "# #", "###"),
    "9": ("###", "# #", "###", "  #", "###"),
    ":": (" ", "#", " ", "#", " "),
    "-": ("  ", "  ", "##", "  ", "  "),
    "N": ("#   #", "##  #", "# # #", "#  ##", "#   #"),
    "O": ("###", "# #", "# #", "# #", "###"),
    "W": ("#   #", "#   #", "# # #", "## ##", "#   #"),
}
ROWS = 5


def clock_text(seconds: float) -> str:
    """Seconds as m:ss, with a minus once the time is over."""
    minutes, rest = divmod(abs(int(seconds)), 60)
    return f"{'-' if seconds <= -1 else ''}{minutes}:{rest:02d}"


class BigClock(GridView):
    """Shows `m:ss` or NOW; repaints only the cells that changed."""

    DEFAULT_CSS = "BigClock { width: 38; height: 5; }"

    def __init__(self) -> None:
        super().__init__()
        self.words, self.style = "", "strong"

    def show(self, words: str, style: str = "strong") -> None:
        """Show other digits; '' = nothing runs."""
        self.words, self.style = words, style
        self.redraw()

    def draw(self, width: int, height: int) -> Canvas:
        """Digits set to the right; thin ones when the wide ones do not fit, words when none do."""
        canvas = Canvas(width, height, ascii_only=self.ascii_only)
        glyphs = [_DIGITS[char] for char in self.words if char in _DIGITS]
        for wide in (2, 1):
            needed = sum(len(glyph[0]) * wide + 1 for glyph in glyphs)
            if needed <= width and height >= ROWS:
                self._paint(canvas, glyphs, width - needed, wide)
                return canvas
        canvas.put_right(width, 0, self.words, self.style)
        return canvas

    def _paint(self, canvas: Canvas, glyphs: Sequence[tuple[str, ...]], x: int, wide: int) -> None:
        block = "#" if self.ascii_only else "█"
        for glyph in glyphs:
            for y, row in enumerate(glyph):
                for dx, pixel in enumerate(row):
                    if pixel == "#":
                        canvas.put(x + dx * wide, y, block * wide, self.style)
            x += len(glyph[0]) * wide + 1
