"""A table of measured figures with a cursor; the cell to be measured next is in brackets."""

from __future__ import annotations

from dataclasses import dataclass

from tui.widgets.canvas import Canvas, GridView

LEAST_CELL = 7
MOST_CELL = 12


@dataclass(frozen=True)
class FigureCell:
    """One figure."""

    text: str
    state: str = "read"
    """'read', 'open', 'old' (from an earlier set) or 'left out'."""


@dataclass(frozen=True)
class FigureRow:
    """One row: a name, figures (None = no figure wanted there) and words behind them."""

    label: str
    cells: tuple[FigureCell | None, ...]
    words: str = ""
    style: str = ""
    """Style word of the words behind."""


@dataclass(frozen=True)
class FigureGrid:
    """The whole table."""

    columns: tuple[str, ...] = ()
    rows: tuple[FigureRow, ...] = ()
    cursor: tuple[int, int] | None = None
    """Row and column of the figure to be measured next."""
    title: str = ""
    """Over the names of the rows."""
    words_title: str = ""


_STYLES = {"open": "dim", "old": "dim", "left out": "dim"}


def _shown(cell: FigureCell | None) -> str:
    if cell is None:
        return ""
    return f"({cell.text})" if cell.state == "old" else cell.text


def draw_figures(grid: FigureGrid, width: int, height: int, *, ascii_only: bool = False) -> Canvas:
    """The table; when there are more rows than room, those about the cursor."""
    canvas = Canvas(width, height, ascii_only=ascii_only)
    if not grid.columns or height < 2:
        return canvas
    label = max(len(row.label) for row in grid.rows) if grid.rows else 0
    label = min(max(label, len(grid.title)) + 1, max(width // 2, 8))
    room = (width - label) // len(grid.columns)
    longest = max(len(column) for column in grid.columns) + 3
    cell_width = max(min(room, max(longest, MOST_CELL)), LEAST_CELL)
    words_at = label + cell_width * len(grid.columns) + 2
    canvas.put(0, 0, grid.title[:label], "dim")
    for number, column in enumerate(grid.columns):
        canvas.put_right(label + cell_width * (number + 1), 0, column[: cell_width - 1], "strong")
    canvas.put(words_at, 0, grid.words_title, "strong")
    first = _first_row(grid, height - 1)
    for line, row in enumerate(grid.rows[first : first + height - 1], 1):
        canvas.put(0, line, row.label[: label - 1])
        for number, cell in enumerate(row.cells):
            picked = grid.cursor == (first + line - 1, number)
            _put_cell(canvas, label + cell_width * (number + 1), line, cell, picked)
        canvas.put(words_at, line, row.words, row.style)
    if first:
        canvas.put(width - 1, 1, "^", "strong")
    if first + height - 1 < len(grid.rows):
        canvas.put(width - 1, height - 1, "v", "strong")
    return canvas


def _first_row(grid: FigureGrid, room: int) -> int:
    """The first row shown, so that the cursor is in sight with a row after it."""
    at = grid.cursor[0] if grid.cursor else 0
    return max(0, min(at - room + 2, len(grid.rows) - room))


def _put_cell(canvas: Canvas, x_end: int, y: int, cell: FigureCell | None, picked: bool) -> None:
    if cell is None:
        return
    if picked:
        canvas.put_right(x_end, y, f"[{_shown(cell)}]", "picked")
    else:
        canvas.put_right(x_end - 1, y, _shown(cell), _STYLES.get(cell.state, ""))


class FigureTable(GridView):
    """The table as a widget; `show(grid)` repaints what changed."""

    DEFAULT_CSS = "FigureTable { height: 6; width: 1fr; }"

    def __init__(self, *, id: str | None = None) -> None:
        super().__init__(id=id)
        self.grid = FigureGrid()

    def show(self, grid: FigureGrid) -> None:
        """Show other figures."""
        self.grid = grid
        self.redraw()

    def draw(self, width: int, height: int) -> Canvas:
        """The table at this size."""
        return draw_figures(self.grid, width, height, ascii_only=self.ascii_only)
