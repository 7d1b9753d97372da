"""Text from people made harmless before it is printed, written to a page, or put in a sheet.

Names and notes may hold anything: terminal codes, line breaks, marks that turn the writing
direction, spreadsheet formulas. Nothing is thrown away silently: what cannot be shown becomes '?'
or a space, and a formula keeps its characters behind an apostrophe.
"""

from __future__ import annotations

import unicodedata

_FORMULA_STARTS = ("=", "+", "-", "@")


def one_line(text: str) -> str:
    """Text on one line without control characters; runs of blanks become one."""
    return " ".join(lines_of(text, keep_breaks=False).split())


def lines_of(text: str, *, keep_breaks: bool = True) -> str:
    """Text without control and direction characters; line breaks kept or made blanks."""
    text = text.replace("\r\n", "\n").replace("\r", "\n").replace("\t", " ")
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
