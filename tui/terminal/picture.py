"""What the terminal shows, and the fewest bytes that bring it up to date.

What a compositor gives is whole runs of rows, each from the left edge of its widget, with colours
spelled out for every piece. A `Picture` keeps in mind what the terminal shows and gives the
cells that differ and nothing else: at 9600 baud a reading taken is then painted in a fifth of a
second instead of most of one. A whole screen is always sent whole (a garbled terminal gets right
again), but with its blank ends of rows wiped instead of written.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from functools import lru_cache

from rich.cells import cell_len
from rich.color import ColorSystem
from rich.style import Style
from textual._compositor import ChopsUpdate, LayoutUpdate
from textual.strip import Strip

NEAR = 4
"""Cells that stayed the same are sent again when the next change is as near as this: to move the
cursor costs as much."""
WIPE_BYTES = 3
"""Bytes it costs to wipe the rest of a row."""
SAME_AS_RESET = frozenset({"39", "49"})
"""Colour codes that say what a reset has said already."""

Cell = tuple[str, str]
"""Character (empty behind a wide one) and its codes (empty = the terminal's own colours)."""
UNKNOWN: Cell = ("", "?")
NOWHERE = (-1, -1)
BLANK: Cell = (" ", "")


@lru_cache(1024)
def _codes(style: Style | None, colours: ColorSystem) -> str:
    """SGR codes of a style, without those that a reset gives anyway."""
    if style is None:
        return ""
    wanted = Strip.render_ansi(style, colours).split(";")
    return ";".join(code for code in wanted if code not in SAME_AS_RESET)


@lru_cache(4096)
def _characters(text: str) -> tuple[str, ...]:
    """One string for each cell: a wide character has an empty one behind it."""
    if text.isascii():
        return tuple(text)
    cells: list[str] = []
    for char in text:
        wide = cell_len(char)
        if wide:
            cells += [char] + [""] * (wide - 1)
        elif cells:
            cells[-1] += char
    return tuple(cells)


def cells_of(strip: Strip, colours: ColorSystem) -> list[Cell]:
    """The cells of a strip."""
    cells: list[Cell] = []
    for text, style, control in strip:
        if not control:
            codes = _codes(style, colours)
            cells += [(char, codes) for char in _characters(text)]
    return cells


def is_plain(cells: Iterable[Cell]) -> bool:
    """Whether every terminal agrees that each character takes one cell."""
    return all(len(char) == 1 for char, _ in cells)


class Picture:
    """What the terminal shows."""

    def __init__(self) -> None:
        self.rows: list[list[Cell]] = []

    def whole(self, update: LayoutUpdate, colours: ColorSystem) -> str:
        """Everything, sent without regard to what stood there."""
        self.rows = [[c for s in row for c in cells_of(s, colours)] for row in update.strips]
        left, top = update.region.x, update.region.y
        pen = Pen()
        for y, row in enumerate(self.rows):
            pen.write(left, top + y, row, row if is_plain(row) else None)
        return pen.done()

    def changes(self, update: ChopsUpdate, colours: ColorSystem) -> str:
        """The cells of the spans of an update that differ from what is there."""
        pen = Pen()
        for y, first, end in update.spans:
            self._change_row(pen, y, new_cells(update, y, first, end, colours))
        return pen.done()

    def _change_row(self, pen: Pen, y: int, pieces: Iterable[tuple[int, list[Cell], int]]) -> None:
        self.rows += [[] for _ in range(len(self.rows), y + 1)]
        row = self.rows[y]
        for x, cells, first in pieces:
            row += [UNKNOWN] * (x + len(cells) - len(row))
            old = row[x : x + len(cells)]
            if old[first:] == cells[first:] and is_plain(cells):
                continue
            if is_plain(cells) and is_plain(old):
                row[x + first : x + len(cells)] = cells[first:]
                for start, end in changed_runs(old, cells, first):
                    pen.write(x + start, y, cells[start:end], row)
            else:
                # Terminals do not agree on the width of such text: all of it, from its start.
                row[x : x + len(cells)] = cells
                pen.write(x, y, cells)


def new_cells(
    update: ChopsUpdate, y: int, first: int, end: int, colours: ColorSystem
) -> Iterator[tuple[int, list[Cell], int]]:
    """(column, cells, number of the first that may have changed) of the pieces of a span."""
    for stop, (x, strip) in zip(update.chop_ends[y], update.chops[y].items(), strict=False):
        if strip is not None and x < end and stop > first:
            cells = cells_of(strip, colours)[: min(stop, end) - x]
            yield x, cells, max(first - x, 0)


def changed_runs(old: list[Cell], new: list[Cell], first: int = 0) -> list[tuple[int, int]]:
    """(start, end) of the runs of cells to send; runs close to each other become one."""
    runs: list[tuple[int, int]] = []
    for x in range(first, len(new)):
        if old[x : x + 1] == [new[x]]:
            continue
        if runs and x - runs[-1][1] <= NEAR and _one_style(new[runs[-1][1] - 1 : x + 1]):
            runs[-1] = (runs[-1][0], x + 1)
        else:
            runs.append((x, x + 1))
    return runs


def _one_style(cells: list[Cell]) -> bool:
    """Whether cells between two changes cost no other colour codes."""
    return all(codes == cells[0][1] for _, codes in cells[:-1])


class Pen:
    """Writes cells with as few bytes as it takes."""

    def __init__(self) -> None:
        self._out: list[str] = []
        self._at = NOWHERE
        self._codes = ""

    def write(self, x: int, y: int, cells: list[Cell], row: list[Cell] | None = None) -> bool:
        """Cells of row `y` from column `x`; with the whole `row`, its blank end may be wiped.

        Says whether it was.
        """
        blank_from = len(cells) if row is None else max(blank_tail(row) - x, 0)
        blanks = cells[blank_from:]
        if len(blanks) <= WIPE_BYTES:
            blanks = []
        for start, end, codes in _pieces(cells[: len(cells) - len(blanks)]):
            self._move(x + start, y)
            self._ink(codes)
            self._out.append("".join(char for char, _ in cells[start:end]))
            self._at = (x + end, y) if is_plain(cells[start:end]) else NOWHERE
        if blanks:
            self._move(x + len(cells) - len(blanks), y)
            self._ink("")
            self._out.append("\x1b[K")
        return bool(blanks)

    @property
    def length(self) -> int:
        """Bytes written so far."""
        return len("".join(self._out).encode())

    def _move(self, x: int, y: int) -> None:
        if self._at == (x, y):
            return
        at_x, at_y = self._at
        by = x - at_x
        near = at_y == y and by > 0
        self._out.append(f"\x1b[{'' if by == 1 else by}C" if near else f"\x1b[{y + 1};{x + 1}H")
        self._at = (x, y)

    def _ink(self, codes: str) -> None:
        if codes == self._codes:
            return
        bare = not self._codes
        self._out.append(f"\x1b[{codes}m" if bare else f"\x1b[0;{codes}m" if codes else "\x1b[m")
        self._codes = codes

    def done(self) -> str:
        """All that was written, the colours reset."""
        self._ink("")
        return "".join(self._out)


def _pieces(cells: list[Cell]) -> Iterator[tuple[int, int, str]]:
    """(start, end, codes) of the stretches of one colour."""
    start = 0
    for x in range(1, len(cells) + 1):
        if x == len(cells) or cells[x][1] != cells[start][1]:
            yield start, x, cells[start][1]
            start = x


def blank_tail(row: list[Cell]) -> int:
    """The column from which a row is empty up to its end."""
    end = len(row)
    while end and row[end - 1] == BLANK:
        end -= 1
    return end
