"""Fonts of the PDF papers: those every reader has, others only where letters need them."""

from __future__ import annotations

from dataclasses import dataclass

from core.base.text import plain_ascii

_ENCODING = "cp1252"
"""Letters that the fonts every PDF reader has can show."""
_WIDE = ("DejaVuSans", "DejaVuSans-Bold", "DejaVuSansMono")
"""Free fonts with most alphabets, used where the computer has them."""


@dataclass(frozen=True)
class Fonts:
    """Names of the fonts of one document."""

    regular: str = "Helvetica"
    bold: str = "Helvetica-Bold"
    mono: str = "Courier"
    letters: frozenset[int] | None = None
    """Code points the fonts have; None = those of `_ENCODING`."""

    def shown(self, text: str) -> str:
        """The text with letters that the fonts lack spelt in ASCII, or '?'."""
        return "".join(char if self._has(char) else plain_ascii(char) for char in text)

    def _has(self, char: str) -> bool:
        return _is_common(char) if self.letters is None else ord(char) in self.letters


def fonts_for(text: str) -> Fonts:
    """The fonts that can show a text; the common ones where they can."""
    if all(map(_is_common, text)):
        return Fonts()
    from reportlab.pdfbase import pdfmetrics
    from reportlab.pdfbase.ttfonts import TTFError, TTFont

    try:
        fonts = [TTFont(name, f"{name}.ttf") for name in _WIDE]
    except TTFError:
        return Fonts()
    for font in fonts:
        pdfmetrics.registerFont(font)
    letters = frozenset.intersection(*(frozenset(font.face.charToGlyph) for font in fonts))
    return Fonts(*_WIDE, letters)


def _is_common(char: str) -> bool:
    try:
        char.encode(_ENCODING)
    except UnicodeEncodeError:
        return False
    return True
