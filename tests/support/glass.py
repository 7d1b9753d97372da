"""The screen of a terminal, worked out from the bytes sent to it: what somebody would see."""

from __future__ import annotations

import codecs
import re

from rich.cells import cell_len

_SEQUENCE = re.compile(
    r"\x1b\[(?P<marks>[?<>=]*)(?P<numbers>[0-9;:]*)[ -/]*(?P<final>[@-~])"
    r"|\x1b\].*?(?:\x07|\x1b\\)|\x1b[()][A-Z0-9]|\x1b[=>78A-Zc]"
)
_UNFINISHED = re.compile(r"\x1b(\[[^@-~]*|\][^\x07]*|[()]?)?\Z")


class Glass:
    """Cells of character and colour codes; `feed` it, then look at `rows` or `text`."""

    def __init__(self, columns: int = 80, rows: int = 24) -> None:
        self.columns, self.height = columns, rows
        self.x = self.y = 0
        self.codes: tuple[str, ...] = ()
        self._decode = codecs.getincrementaldecoder("utf-8")("replace").decode
        self._rest = ""
        self._wipe_all()

    def _wipe_all(self) -> None:
        blank: tuple[str, tuple[str, ...]] = (" ", ())
        self.cells = [[blank] * self.columns for _ in range(self.height)]

    @property
    def rows(self) -> list[str]:
        """The rows as text."""
        return ["".join(char for char, _ in row) for row in self.cells]

    @property
    def text(self) -> str:
        """The whole screen as text."""
        return "\n".join(self.rows)

    def feed(self, data: bytes) -> None:
        """Take bytes as they come; a sequence cut in two is put together."""
        text = self._rest + self._decode(data)
        cut = _UNFINISHED.search(text)
        self._rest = text[cut.start() :] if cut else ""
        text = text[: cut.start()] if cut else text
        at = 0
        while at < len(text):
            found = _SEQUENCE.match(text, at) if text[at] == "\x1b" else None
            if found is None:
                self._put(text[at])
                at += 1
            else:
                self._obey(found["final"], found["marks"], found["numbers"])
                at = found.end()

    def _put(self, char: str) -> None:
        if char == "\r":
            self.x = 0
        elif char == "\n":
            self.y = min(self.y + 1, self.height - 1)
        elif char == "\b":
            self.x = max(self.x - 1, 0)
        elif char >= " ":
            wide = cell_len(char)
            for step in range(wide):
                if self.x + step < self.columns:
                    self.cells[self.y][self.x + step] = ("" if step else char, self.codes)
            self.x = min(self.x + wide, self.columns)
            if not wide and self.x:
                self._join(char)

    def _join(self, accent: str) -> None:
        """A character that takes no cell belongs to the one before."""
        row, at = self.cells[self.y], self.x - 1
        while at and not row[at][0]:
            at -= 1
        row[at] = (row[at][0] + accent, row[at][1])

    def _obey(self, final: str | None, marks: str, numbers: str) -> None:
        values = [int(n) if n else 0 for n in (numbers or "").replace(":", ";").split(";")]
        if final == "H" and not marks:
            self.y = min(max(values[0], 1), self.height) - 1
            self.x = min(max(values[1] if len(values) > 1 else 1, 1), self.columns) - 1
        elif final == "C":
            self.x = min(self.x + max(values[0], 1), self.columns - 1)
        elif final == "K":
            # The colours of the moment fill the wiped cells, as most terminals do it.
            row = self.cells[self.y]
            row[self.x :] = [(" ", self.codes)] * (self.columns - self.x)
        elif final == "J" or (final == "h" and marks == "?" and 1049 in values):
            self._wipe_all()
        elif final == "m" and not marks:
            self._ink((numbers or "0").split(";"))

    def _ink(self, codes: list[str]) -> None:
        """Codes as a set; a reset empties it, and the terminal's own colours are no codes."""
        for code in codes:
            if code in ("", "0"):
                self.codes = ()
            elif code not in ("39", "49"):
                self.codes = tuple(sorted({*self.codes, code}))
