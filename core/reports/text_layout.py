"""Sections as plain text of 80 columns, for any printer. Nothing is cut: long cells wrap."""

from __future__ import annotations

import textwrap

from core.reports.sections import Section, Table
from core.reports.ticket_format import INDENT, columns_of, cut, pad

WIDTH = 80
GAP = 2
LEAST_COLUMN = 8


def section_lines(section: Section) -> list[str]:
    """Title in capitals, lines, table, lines under it."""
    lines = [*wrapped(section.title.upper())] if section.title else []
    for line in section.lines:
        lines += _line(line)
    if section.table is not None and section.table.rows:
        lines += table_lines(section.table)
    for line in section.under:
        lines += _line(line)
    return lines


def _line(line: str) -> list[str]:
    if not line:
        return []
    if line.startswith(INDENT):
        return wrapped(line.strip(), INDENT, INDENT * 2)
    return wrapped(line)


def wrapped(text: str, first: str = "", rest: str = "") -> list[str]:
    """Text in lines of at most 80 columns; wide letters counted as two."""
    return _wrap(text, WIDTH, first, rest)


def _wrap(text: str, width: int, first: str = "", rest: str = "") -> list[str]:
    narrow = width
    while True:
        lines = textwrap.wrap(
            text, narrow, initial_indent=first, subsequent_indent=rest, break_long_words=True
        )
        over = max((columns_of(line) for line in lines), default=0)
        if over <= width or narrow <= len(first) + 4:
            return [cut(line, width) for line in lines] or [first.rstrip()]
        narrow = max(len(first) + 4, narrow - (over - width))


def table_lines(table: Table) -> list[str]:
    """A heading and a line a row; a cell too long for its column goes on below."""
    widths = _widths(table)
    headings = tuple(column.heading for column in table.columns)
    return [line for cells in (headings, *table.rows) for line in _row(table, cells, widths)]


def _widths(table: Table) -> list[int]:
    """As wide as heading and cells ask; headings, then the widest columns, give way."""
    longest = [max(columns_of(row[n]) for row in table.rows) for n in range(len(table.columns))]
    headings = [column.heading for column in table.columns]
    words = [max(columns_of(word) for word in heading.split()) for heading in headings]
    least = [max(pair) for pair in zip(longest, words, strict=True)]
    widths = [max(pair) for pair in zip(longest, map(columns_of, headings), strict=True)]
    while sum(widths) + GAP * (len(widths) - 1) > WIDTH:
        spare = [width - small for width, small in zip(widths, least, strict=True)]
        chosen = spare.index(max(spare)) if any(spare) else widths.index(max(widths))
        if widths[chosen] <= LEAST_COLUMN and not any(spare):
            break
        widths[chosen] -= 1
        least[chosen] = min(least[chosen], widths[chosen])
    return widths


def _row(table: Table, cells: tuple[str, ...], widths: list[int]) -> list[str]:
    wrapped_cells = [_wrap(cell, width) for cell, width in zip(cells, widths, strict=True)]
    height = max(len(lines) for lines in wrapped_cells)
    found = []
    for at in range(height):
        parts = []
        for column, lines, width in zip(table.columns, wrapped_cells, widths, strict=True):
            text = lines[at] if at < len(lines) else ""
            blanks = " " * (width - columns_of(text))
            parts.append(blanks + text if column.right else pad(text, width))
        found.append((" " * GAP).join(parts).rstrip())
    return found
