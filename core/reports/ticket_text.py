"""The ticket as plain text for any printer: 80 columns, no control characters.

One page for the owner, then the full record.
"""

from __future__ import annotations

from core.base.units import format_dial
from core.reports.sections import owner_sections, record_sections
from core.reports.text_layout import WIDTH, section_lines, wrapped
from core.reports.ticket_data import SweepPart, TicketData, foot, standing, warnings
from core.reports.ticket_format import all_clean, columns_of, cut, dial, pad, station_text

BAR = 40
MOST_DRAWN = 10
"""Stations drawn on the first page; the record has all."""


def ticket_text(data: TicketData) -> str:
    """The whole ticket; every line at most 80 columns."""
    data = all_clean(data)
    first, *rest = [section_lines(section) for section in owner_sections(data)]
    record = [section_lines(section) for section in record_sections(data)]
    blocks = [_head(data), _warnings(data), first, _drawn(data), *rest, _foot(data)]
    if record:
        blocks += [["=" * WIDTH, f"FULL RECORD, TAG {cut(data.tag, 24)}"], *record]
    lines = "\n\n".join("\n".join(block) for block in blocks if block).split("\n")
    return "\n".join(cut(line, WIDTH).rstrip() for line in lines) + "\n"


def _head(data: TicketData) -> list[str]:
    state = standing(data)
    rule = "=" * WIDTH
    shop = [cut(line, WIDTH) for line in data.shop] or ["(name of the shop not set)"]
    tag = f"SHAFT TICKET   tag {cut(data.tag, 24)}"
    lines = [rule, *shop, rule, pad(tag, WIDTH - columns_of(state)) + state, "-" * WIDTH]
    for label, value in data.heading:
        lines += _hanging(f"{label:<11}", value or "-")
    return lines


def _hanging(label: str, text: str) -> list[str]:
    """A label with its text wrapped beside it."""
    return wrapped(text, label, " " * len(label))


def _warnings(data: TicketData) -> list[str]:
    lines: list[str] = []
    for label, words in warnings(data):
        lines += _hanging(f"{label}: ", words)
    return lines


def _drawn(data: TicketData) -> list[str]:
    """TIR along the shaft as bars: as received '.', as it leaves '#'."""
    parts = [part for part in (data.before, data.after) if part is not None]
    top_in = max((s.tir_in for part in parts for s in part.stations), default=0.0)
    if not top_in:
        return []
    places = _places(parts)
    came = {s.station_in: s.tir_in for s in parts[0].stations}
    left = {s.station_in: s.tir_in for s in parts[-1].stations}
    two = len(parts) == 2
    key = f"'.' {parts[0].title}, '#' {parts[-1].title}; " if two else ""
    lines = wrapped(f"RUNOUT ALONG THE SHAFT ({key}full bar {format_dial(top_in)} TIR)")
    lines.append(f"{'Station':>8}{'Came':>8}{'Now':>8}" if two else f"{'Station':>8}{'TIR':>8}")
    for x in places:
        first, last = came.get(x), left.get(x)
        bar = "#" * _length(last, top_in)
        if two:
            bar += "." * (_length(first, top_in) - len(bar))
        figures = f"{dial(first):>8}{dial(last):>8}" if two else f"{dial(last):>8}"
        lines.append(f"{station_text(x):>8}{figures}  {bar}".rstrip())
    return lines


def _length(tir_in: float | None, top_in: float) -> int:
    return 0 if tir_in is None else round(BAR * tir_in / top_in)


def _places(parts: list[SweepPart]) -> list[float]:
    """Stations to draw: all of them, or so many spread along the shaft, the worst with them."""
    every = sorted({s.station_in for part in parts for s in part.stations})
    if len(every) <= MOST_DRAWN:
        return every
    worst = {max(part.stations, key=lambda s: s.tir_in).station_in for part in parts}
    step = (len(every) - 1) / (MOST_DRAWN - 1)
    return sorted(worst | {every[round(n * step)] for n in range(MOST_DRAWN)})


def _foot(data: TicketData) -> list[str]:
    words, signed = foot(data)
    return [*wrapped(words), *(["", "Signed " + "_" * 34] if signed else [])]
