"""A grid of characters that the drawn widgets fill, and the widget that paints what changed.

A `Canvas` is plain data: characters and a style word for each cell ('good', 'bad', 'dim' ...).
`GridView` shows one and repaints only the cells that differ from the last one, because every
byte counts on a slow line.
"""

from __future__ import annotations

import unicodedata
from itertools import groupby

from rich.cells import cell_len
from rich.segment import Segment
from rich.style import Style
from textual.geometry import Region
from textual.strip import Strip
from textual.widget import Widget

from tui.terminal.ascii_filter import to_ascii

CELL_STYLES = {
    "": Style(),
    "good": Style(color="green"),
    "bad": Style(color="bright_red", bold=True),
    "doubt": Style(color="bright_yellow"),
    "dim": Style(),
    "strong": Style(bold=True),
    "picked": Style(reverse=True),
    "first": Style(color="green"),
    "second": Style(color="cyan"),
}
"""What a cell can mean; a picture never depends on them, words and signs carry the meaning.

Component classes of the framework would be matched again for each widget at each change of style:
a quarter of the time in which a screen opens.
"""


def _printable(text: str) -> str:
    """Text without characters that would move the cursor or take no cell."""
    kept = (c for c in unicodedata.normalize("NFC", text) if unicodedata.category(c)[0] != "C")
    return "".join(c for c in kept if cell_len(c))


class Canvas:
    """Characters and style words in rows and columns; drawing outside of it is cut off."""

    def __init__(self, width: int, height: int, *, ascii_only: bool = False) -> None:
        self.width, self.height = max(width, 0), max(height, 0)
        self.ascii_only = ascii_only
        self.chars = [[" "] * self.width for _ in range(self.height)]
        self.styles = [[""] * self.width for _ in range(self.height)]

    def put(self, x: int, y: int, text: str, style: str = "") -> int:
        """Write `text` from column x of row y; returns the column after it."""
        text = _printable(text)
        if self.ascii_only:
            text = to_ascii(text)
        for char in text:
            wide = cell_len(char)
            if 0 <= y < self.height and x >= 0 and x + wide <= self.width:
                self._free(x, y)
                self.chars[y][x], self.styles[y][x] = char, style
                if wide == 2:
                    self._free(x + 1, y)
                    self.chars[y][x + 1], self.styles[y][x + 1] = "", style
            x += wide
        return x

    def _free(self, x: int, y: int) -> None:
        """Leave no half of a double-width character behind when a cell is overwritten."""
        row = self.chars[y]
        if row[x] == "" and x:
            row[x - 1] = " "
        if x + 1 < self.width and row[x + 1] == "":
            row[x + 1] = " "

    def put_right(self, x_end: int, y: int, text: str, style: str = "") -> None:
        """Write `text` so that it ends just before column x_end."""
        self.put(x_end - cell_len(_printable(text)), y, text, style)

    def put_centred(self, x: int, y: int, text: str, style: str = "") -> None:
        """Write `text` centred on column x, pushed in at the edges."""
        wide = cell_len(_printable(text))
        self.put(max(0, min(x - wide // 2, self.width - wide)), y, text, style)

    def row(self, x: int, y: int, length: int, char: str, style: str = "") -> None:
        """A run of one character along a row."""
        self.put(x, y, char * max(length, 0), style)

    def column(self, x: int, y: int, length: int, char: str, style: str = "") -> None:
        """A run of one character down a column."""
        for step in range(length):
            self.put(x, y + step, char, style)

    def paste(self, other: Canvas, x: int, y: int) -> None:
        """Copy another canvas in with its top left corner at (x, y)."""
        for dy in range(other.height):
            for dx in range(other.width):
                if 0 <= y + dy < self.height and 0 <= x + dx < self.width:
                    self.chars[y + dy][x + dx] = other.chars[dy][dx]
                    self.styles[y + dy][x + dx] = other.styles[dy][dx]

    def is_free(self, x: int, y: int, length: int) -> bool:
        """Whether a run of cells lies on the canvas and is still empty."""
        if not (0 <= y < self.height and x >= 0 and x + length <= self.width):
            return False
        return all(c == " " for c in self.chars[y][x : x + length])

    def lines(self) -> list[str]:
        """The rows as text, without trailing blanks."""
        return ["".join(row).rstrip() for row in self.chars]

    def text(self) -> str:
        """The whole picture as text."""
        return "\n".join(self.lines())


def changed_spans(old: Canvas, new: Canvas) -> list[tuple[int, int, int]]:
    """(row, first column, end column) of the cells that differ, one run for each row.

    Textual paints a row of a widget from its left edge up to the end of the run, so that a second
    run in the same row would send the first part again.
    """
    spans: list[tuple[int, int, int]] = []
    for y in range(new.height):
        if old.chars[y] == new.chars[y] and old.styles[y] == new.styles[y]:
            continue
        both = zip(old.chars[y], new.chars[y], old.styles[y], new.styles[y], strict=True)
        columns = [x for x, (a, b, c, d) in enumerate(both) if a != b or c != d]
        spans.append((y, columns[0], columns[-1] + 1))
    return spans


class GridView(Widget):
    """Shows a `Canvas`; `show()` repaints the cells that changed and nothing else."""

    DEFAULT_CSS = "GridView { height: auto; width: 1fr; }"

    def __init__(self, *, id: str | None = None, classes: str | None = None) -> None:
        super().__init__(id=id, classes=classes)
        self.canvas = Canvas(0, 0)

    @property
    def ascii_only(self) -> bool:
        """Whether the terminal can show nothing but ASCII."""
        return bool(getattr(self.app, "ascii", False))

    def draw(self, width: int, height: int) -> Canvas:
        """What to show at this size; a subclass draws its own data."""
        return Canvas(width, height, ascii_only=self.ascii_only)

    def redraw(self) -> None:
        """Draw again and repaint only the cells that changed."""
        width, height = self.size
        new, old = self.draw(width, height), self.canvas
        self.canvas = new
        if (old.width, old.height) != (new.width, new.height):
            self.refresh()
        elif spans := changed_spans(old, new):
            self.refresh(*(Region(x, y, end - x, 1) for y, x, end in spans))

    def on_mount(self) -> None:
        """Nothing can be drawn before the size is known: `on_resize` does the first drawing."""

    def on_resize(self) -> None:
        """Draw at the new size."""
        self.redraw()

    def render_line(self, y: int) -> Strip:
        """One row as segments, one for each run of cells of the same meaning."""
        base = self.rich_style
        if y >= self.canvas.height:
            return Strip.blank(self.size.width, base)
        cells = zip(self.canvas.styles[y], self.canvas.chars[y], strict=True)
        segments = []
        for word, run in groupby(cells, key=lambda cell: cell[0]):
            segments.append(Segment("".join(char for _, char in run), base + CELL_STYLES[word]))
        return Strip(segments, self.canvas.width)


class LineView(GridView):
    """One row of words; `show(words, style)` repaints what changed."""

    DEFAULT_CSS = "LineView { height: 1; width: 1fr; }"

    def __init__(self, *, id: str | None = None) -> None:
        super().__init__(id=id)
        self.words, self.style = "", ""

    def show(self, words: str, style: str = "") -> None:
        """Show other words."""
        self.words, self.style = words, style
        self.redraw()

    def draw(self, width: int, height: int) -> Canvas:
        """The words, cut at the edge."""
        canvas = Canvas(width, height, ascii_only=self.ascii_only)
        canvas.put(0, 0, self.words, self.style)
        return canvas
