"""Plain ASCII for terminals that cannot show anything else: lines become `-|+`, the rest `?`."""

from __future__ import annotations

from functools import lru_cache

from rich.cells import cell_len
from rich.segment import Segment
from textual.color import Color
from textual.filter import LineFilter

_SAME = {
    "─": "-", "═": "=", "━": "-", "│": "|", "║": "|", "┃": "|",
    "█": "#", "▓": "#", "▒": "%", "░": ":", "▌": "|", "▐": "|", "▀": "^", "▄": "_", "■": "#",
    "°": "d", "µ": "u", "±": "~", "√": "v", "≤": "<", "≥": ">", "²": "2", "½": ".", "·": ".",
    "•": "*", "←": "<", "→": ">", "↑": "^", "↓": "v", "►": ">", "◄": "<", "▲": "^", "▼": "v",
    "–": "-", "—": "-", "‘": "'", "’": "'", "“": '"', "”": '"', "×": "x", "÷": "/",
    "○": "o", "●": "@", "◘": "o", "…": ".",
}  # fmt: skip
_CORNERS = "┌┐└┘├┤┬┴┼╔╗╚╝╠╣╦╩╬╒╓╕╖╘╙╛╜╞╟╡╢╤╥╧╨╪╫"
_TABLE = str.maketrans({**_SAME, **dict.fromkeys(_CORNERS, "+")})


@lru_cache(4096)
def to_ascii(text: str) -> str:
    """`text` in ASCII, in the same number of cells."""
    if text.isascii():
        return text
    drawn = text.translate(_TABLE)
    return "".join(ch if ch.isascii() else _plain_letter(ch) for ch in drawn)


def _plain_letter(char: str) -> str:
    import unicodedata

    base = unicodedata.normalize("NFKD", char)[:1]
    width = cell_len(char)
    return base if base.isascii() and base.isprintable() and width == 1 else "?" * width


class AsciiFilter(LineFilter):
    """Turns every painted line into ASCII."""

    def apply(self, segments: list[Segment], background: Color) -> list[Segment]:
        """The same segments with ASCII text."""
        return [Segment(to_ascii(text), style, control) for text, style, control in segments]
