"""Painting over a slow serial line: a little at a time, and first what was asked for last.

What has been handed to the line cannot be called back: whoever types a digit behind a big paint
waits until all of it is through. On a line that says it is slow (9600 baud takes 960 bytes a
second) no more is handed over than goes through in a moment; the rest waits here, and what has
changed since goes before it. So the digit shows first, and the pictures follow.
"""

from __future__ import annotations

import time
from collections.abc import Callable

from rich.color import ColorSystem
from textual._compositor import ChopsUpdate, LayoutUpdate

from tui.terminal.picture import (
    BLANK,
    Cell,
    Pen,
    Picture,
    cells_of,
    changed_runs,
    is_plain,
    new_cells,
)

SLOW_BAUD = 19200
"""Lines up to this speed are painted in turns."""
LEAD_S = 0.05
"""The line is given more when what it has goes through in less than this."""
TURN_S = 0.02
"""A turn comes this long before the line is idle."""
CELLS_AT_ONCE = 40
"""Cells sent in one piece."""
CURSOR = 8
"""Bytes of the cursor's move that follows every piece."""
NOT_SENT: Cell = (" ", "?")


class PacedPicture(Picture):
    """What the terminal shows, what it should show, and which rows still wait."""

    def __init__(self, byte_s: float, clock: Callable[[], float] = time.monotonic) -> None:
        super().__init__()
        self.byte_s, self._clock = byte_s, clock
        self.wanted: list[list[Cell]] = []
        self.waiting: dict[int, None] = {}
        """Rows that are not as wanted, the most urgent one last."""
        self._free_at = 0.0
        """When the line will have sent all it was given."""

    @property
    def wait_s(self) -> float:
        """Seconds until the line should be given more."""
        return max(self._free_at - self._clock() - TURN_S, 0.01)

    def whole(self, update: LayoutUpdate, colours: ColorSystem) -> str:
        """Everything, from the top, without regard to what stood there; the first of it."""
        self.wanted = [[c for s in row for c in cells_of(s, colours)] for row in update.strips]
        self.rows = [[NOT_SENT] * len(row) for row in self.wanted]
        self.waiting = dict.fromkeys(reversed(range(len(self.wanted))))
        return self.more()

    def changes(self, update: ChopsUpdate, colours: ColorSystem) -> str:
        """What an update changed, from the bottom, where the field is; the first of it."""
        for y, first, end in sorted(update.spans):
            self.wanted += [[] for _ in range(len(self.wanted), y + 1)]
            row = self.wanted[y]
            for x, cells, unchanged in new_cells(update, y, first, end, colours):
                row += [NOT_SENT] * (x + len(cells) - len(row))
                skip = unchanged if is_plain(cells) else 0
                row[x + skip : x + len(cells)] = cells[skip:]
            self.waiting.pop(y, None)
            self.waiting[y] = None
        return self.more()

    def more(self) -> str:
        """What the line has room for now of what waits."""
        now = self._clock()
        free_at, pen = max(self._free_at, now), Pen()
        while self.waiting and free_at + pen.length * self.byte_s < now + LEAD_S:
            row = next(reversed(self.waiting))
            if not self._write_run(pen, row):
                del self.waiting[row]
        sent = pen.done()
        if sent:
            self._free_at = free_at + (len(sent.encode()) + CURSOR) * self.byte_s
        return sent

    def _write_run(self, pen: Pen, y: int) -> bool:
        """Write the first run of a row that is not as wanted; False when all of it is."""
        self.rows += [[] for _ in range(len(self.rows), y + 1)]
        now, wanted = self.rows[y], self.wanted[y]
        now += [NOT_SENT] * (len(wanted) - len(now))
        if now == wanted:
            return False
        if not (is_plain(now) and is_plain(wanted)):
            # Terminals do not agree on the width of such text: all of it, from its start.
            pen.write(0, y, wanted)
            self.rows[y] = list(wanted)
            return True
        start, end = changed_runs(now, wanted)[0]
        end = min(end, start + CELLS_AT_ONCE)
        wiped = pen.write(start, y, wanted[start:end], wanted)
        now[start:end] = wanted[start:end]
        if wiped:
            now[end:] = [BLANK] * (len(now) - end)
        return True
