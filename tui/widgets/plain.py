"""Text typed by people, made safe for the screen.

Textual parses strings as markup and lets escape codes through. Everything that a person typed or a
file brought goes through `plain` (for widgets) or `cut` (for columns of fixed width) first.
"""

from __future__ import annotations

from rich.cells import cell_len, set_cell_size
from textual.content import Content

TEXT_LENGTH = 4000
"""Characters of one text that are worth drawing."""


def clean(value: object) -> str:
    """`value` as one line without control, direction and escape characters."""
    text = str(value)[:TEXT_LENGTH]
    if text.isprintable():
        return text
    return "".join(ch if ch.isprintable() else " " for ch in text)


def clean_lines(value: object) -> str:
    """Like `clean`, but line ends stay."""
    return "\n".join(clean(line) for line in str(value)[:TEXT_LENGTH].splitlines())


def plain(value: object, style: str = "") -> Content:
    """`value` as content that is never read as markup; line ends stay."""
    text = clean_lines(value)
    return Content.styled(text, style) if style else Content(text)


def paper(value: object) -> Content:
    """A long text of our own making, such as a ticket: every line of it, each made safe."""
    return Content("\n").join([Content(clean(line)) for line in str(value).splitlines()])


def cut(value: object, width: int) -> str:
    """`value` in exactly `width` cells: padded, or cut with `..` at the end."""
    text = clean(value)
    if width <= 0:
        return ""
    if cell_len(text) > width:
        return set_cell_size(text, max(width - 2, 0)) + ".."[:width]
    return set_cell_size(text, width)
