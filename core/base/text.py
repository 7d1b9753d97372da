"""Text from people made harmless: before it is stored, printed, written to a page, put in a sheet.

Names and notes may hold anything: terminal codes, line breaks, marks that turn the writing
direction, spreadsheet formulas. `clean_text` takes out what no field of the book may hold. On the
way out nothing disappears silently: a character that cannot be shown becomes '?' or a space, and a
formula keeps its characters behind an apostrophe.
"""

from __future__ import annotations

import unicodedata

MAX_TEXT = 10_000
"""Longest text kept in one field, characters."""
_FORMULA_STARTS = ("=", "+", "-", "@")
_BIDI = {"LRE", "RLE", "LRO", "RLO", "PDF", "LRI", "RLI", "FSI", "PDI"}


def clean_text(text: str, *, lines: bool = False, longest: int = MAX_TEXT) -> str:
    """Typed or imported text as it may be stored.

    Control characters (ESC, NUL, BEL, C1 bytes), lone surrogates and the characters that reorder
    a line are taken out; letters of every script, brackets and quotes stay. `lines=True` keeps
    line breaks (and turns tabs into spaces). Anything past `longest` characters is cut.
    """
    if text.isprintable():  # most text, and a hundred times as quick
        return text.strip()[:longest].rstrip()
    kept = (
        (char if lines and char == "\n" else " ") if char in "\n\t" else char
        for char in _one_kind_of_break(text)
        if char in "\n\t" or not _harmful(char)
    )
    return "".join(kept).strip()[:longest].rstrip()


def _one_kind_of_break(text: str) -> str:
    return text.replace("\r\n", "\n").replace("\r", "\n")


def _harmful(char: str) -> bool:
    return (
        unicodedata.category(char) in ("Cc", "Cs", "Zl", "Zp")
        or unicodedata.bidirectional(char) in _BIDI
    )


def one_line(text: str) -> str:
    """Text on one line without control characters; runs of blanks become one."""
    return " ".join(lines_of(text, keep_breaks=False).split())


def lines_of(text: str, *, keep_breaks: bool = True) -> str:
    """Text without control and direction characters; line breaks kept or made blanks."""
    text = _one_kind_of_break(text).replace("\t", " ")
    return "".join(_shown(c, keep_breaks) for c in text)


def _shown(char: str, keep_breaks: bool) -> str:
    if char == "\n":
        return "\n" if keep_breaks else " "
    if char.isascii():
        return char if char.isprintable() else "?"
    kind = unicodedata.category(char)
    if kind in {"Zl", "Zp"}:
        return "\n" if keep_breaks else " "
    # Cc control, Cf format (direction marks, zero width), Cs lone halves, Co private use
    return "?" if kind in {"Cc", "Cf", "Cs", "Co", "Cn"} else char


def sheet_cell(text: str) -> str:
    """Text for a CSV cell that a spreadsheet will show and never calculate."""
    plain = lines_of(text)
    if plain.lstrip().startswith(_FORMULA_STARTS) and not _is_number(plain):
        return "'" + plain
    return plain


def _is_number(text: str) -> bool:
    try:
        float(text)
    except ValueError:
        return False
    return True


def plain_ascii(text: str) -> str:
    """Text for any printer: accents dropped, a few signs spelt, the rest '?'."""
    for sign, spelt in (("±", "+/-"), ("°", " deg"), ("µ", "u"), ("½", "1/2"), ("²", "2")):
        text = text.replace(sign, spelt)
    parted = unicodedata.normalize("NFKD", text)
    return "".join(c if c.isascii() else ("" if unicodedata.combining(c) else "?") for c in parted)
