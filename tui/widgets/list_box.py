"""A list with a cursor that can be steered while a text field keeps the focus.

Rows are drawn on demand, so ten thousand rows cost no more than twenty. Up, Down, PgUp, PgDn
and Enter work when the list has the focus; a screen whose text field has it calls `move`.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import ClassVar

from rich.cells import cell_len
from rich.segment import Segment
from rich.style import Style
from textual.binding import Binding, BindingType
from textual.geometry import Region
from textual.message import Message
from textual.reactive import reactive
from textual.strip import Strip
from textual.widget import Widget

from core.base.light_dataclass import dataclass
from tui.widgets.plain import cut

WIDE_LIST = 110
"""Cells a list needs before it shows its wide columns."""
MEASURED_ROWS = 200
"""Rows whose cells say how wide a column of a wide list has to be."""
_PLAIN, _BOLD = Style(), Style(bold=True)
_CURSOR, _BOLD_CURSOR = Style(reverse=True), Style(reverse=True, bold=True)


@dataclass(frozen=True)
class ListRow:
    """One line of a list."""

    name: str
    """What the screen gets when it is chosen (an id)."""
    cells: tuple[str, ...]
    """One text for each column; user text is allowed."""
    strong: bool = False
    """Whether the line is highlighted."""


@dataclass(frozen=True)
class Column:
    """A column; `width` 0 shares what is left with the other columns of width 0."""

    title: str
    width: int = 0
    right: bool = False
    """Numbers are set to the right."""
    wide: bool = False
    """Shown only where there is room (`WIDE_LIST` cells or more)."""
    narrow: bool = False
    """Shown only where there is not: a wide column says it in full."""
    stretch: bool = False
    """Where there is room it is as wide as its longest cell, like a column of width 0."""


class ListBox(Widget, can_focus=True):
    """Column titles, then rows; posts `ListBox.Chosen`."""

    DEFAULT_CSS = """
    ListBox { height: 1fr; width: 1fr; }
    """
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("up", "move(-1)", show=False),
        Binding("down", "move(1)", show=False),
        Binding("pageup", "page(-1)", show=False),
        Binding("pagedown", "page(1)", show=False),
        Binding("enter,ctrl+j", "choose", show=False),
    ]

    cursor = reactive(0, repaint=False)
    """Index of the row under the cursor."""

    class Chosen(Message):
        """Enter on a row."""

        def __init__(self, box: ListBox, row: ListRow) -> None:
            super().__init__()
            self.box = box
            self.row = row

        @property
        def control(self) -> ListBox:
            """The list that posted it."""
            return self.box

    class Moved(Message):
        """The cursor went to another row."""

    def __init__(
        self, columns: Sequence[Column], *, empty: str = "Nothing here.", id: str | None = None
    ) -> None:
        super().__init__(id=id)
        self.columns = tuple(columns)
        self.empty = empty
        """Words for an empty list."""
        self.rows: tuple[ListRow, ...] = ()
        self.top = 0
        """Index of the first row shown."""
        self._needs: tuple[int, ...] = ()
        """Cells that each column needs to be read in full."""

    def show(self, rows: Sequence[ListRow], *, keep: bool = True) -> None:
        """Replace the rows; `keep` leaves the cursor on the row of the same name if it is there."""
        chosen = self.chosen if keep else None
        old = chosen.name if chosen else None
        self.rows = tuple(rows)
        self._needs = self._longest()
        at = next((i for i, row in enumerate(self.rows) if row.name == old), 0)
        self.top = 0
        self.cursor = at
        self._scroll_to_cursor()
        self.refresh()

    @property
    def chosen(self) -> ListRow | None:
        """The row under the cursor; None in an empty list."""
        return self.rows[min(self.cursor, len(self.rows) - 1)] if self.rows else None

    def move(self, step: int) -> None:
        """Move the cursor; it stops at the ends."""
        self.cursor = max(0, min(self.cursor + step, len(self.rows) - 1))

    def watch_cursor(self, old: int, new: int) -> None:
        """Keep the cursor in sight; paint two lines where two lines are enough."""
        top = self.top
        self._scroll_to_cursor()
        if top == self.top and self.size.width:
            width = self.size.width
            self.refresh(*(Region(0, 1 + at - top, width, 1) for at in (old, new)))
        else:
            self.refresh()
        self.post_message(self.Moved())

    def on_resize(self) -> None:
        """Keep the cursor in sight in the new height."""
        self._scroll_to_cursor()

    def _scroll_to_cursor(self) -> None:
        room = max(self.size.height - 1, 1)
        self.top = max(min(self.top, self.cursor), self.cursor - room + 1, 0)

    def action_move(self, step: int) -> None:
        """Up or Down."""
        self.move(step)

    def action_page(self, step: int) -> None:
        """PgUp or PgDn."""
        self.move(step * max(self.size.height - 2, 1))

    def action_choose(self) -> None:
        """Enter."""
        if self.chosen is not None:
            self.post_message(self.Chosen(self, self.chosen))

    # -- drawing -----------------------------------------------------------------------------------

    def shown(self) -> list[int]:
        """Places of the columns shown at this width."""
        roomy = self.size.width >= WIDE_LIST
        return [
            i
            for i, column in enumerate(self.columns)
            if not (column.narrow if roomy else column.wide)
        ]

    def widths(self) -> list[int]:
        """Width of each column shown; one cell stays free between columns.

        In a wide list a column of width 0 that needs less than its share leaves it to the others.
        """
        places, roomy = self.shown(), self.size.width >= WIDE_LIST
        set_to = {
            i: 0 if roomy and self.columns[i].stretch else self.columns[i].width for i in places
        }
        free = [i for i in places if not set_to[i]]
        room = max(self.size.width - sum(set_to.values()) - len(places) + 1, 0)
        shares = _shares(room, [self._needs[i] if roomy and self._needs else room for i in free])
        return list((set_to | dict(zip(free, shares, strict=True))).values())

    def _longest(self) -> tuple[int, ...]:
        rows = [row.cells for row in self.rows[:MEASURED_ROWS]]
        return tuple(
            max([len(column.title), *(cell_len(cells[i]) for cells in rows if i < len(cells))])
            for i, column in enumerate(self.columns)
        )

    def _line(self, cells: Sequence[str]) -> str:
        parts = []
        for i, width in zip(self.shown(), self.widths(), strict=True):
            text = cells[i] if i < len(cells) else ""
            parts.append(cut(text.rjust(width) if self.columns[i].right else text, width))
        return " ".join(parts)

    def render_line(self, y: int) -> Strip:
        """The titles, or one row; an arrow at the edge says that there are more."""
        width = self.size.width
        if y == 0:
            titles = self._line([c.title for c in self.columns])
            return Strip([Segment(cut(titles, width), Style(underline=True))], width)
        index = self.top + y - 1
        if not self.rows and y == 1:
            return Strip([Segment(cut(self.empty, width), _PLAIN)], width)
        if index >= len(self.rows):
            return Strip.blank(width)
        row = self.rows[index]
        if index == self.cursor:
            style = _BOLD_CURSOR if row.strong else _CURSOR
        else:
            style = _BOLD if row.strong else _PLAIN
        line = cut(self._line(row.cells), width)
        above = index == self.top and self.top > 0
        below = y == self.size.height - 1 and index < len(self.rows) - 1
        strip = Strip([Segment(line, style)], width)
        if above or below:
            mark = Strip([Segment("^" if above else "v", _CURSOR)], 1)
            strip = Strip.join([strip.crop(0, width - 1), mark])
        return strip


def _shares(room: int, needs: Sequence[int]) -> list[int]:
    """The room dealt out in equal shares; what one does not need goes to those that need more.

    What nobody needs goes to the last.
    """
    given = [0] * len(needs)
    open_ones = list(range(len(needs)))
    while open_ones:
        share, rest = divmod(room, len(open_ones))
        short = [i for i in open_ones if needs[i] <= share]
        if not short:
            for number, i in enumerate(open_ones):
                given[i] = share + (number < rest)
            return given
        for i in short:
            given[i] = needs[i]
            room -= needs[i]
        open_ones = [i for i in open_ones if i not in short]
    if given:
        given[-1] += room
    return given
