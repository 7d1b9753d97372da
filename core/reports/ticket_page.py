"""The ticket as one HTML file: no script, nothing fetched, prints on A4 or letter paper.

One page for the owner, then the full record. One column throughout, so that no table runs into
another; a table wider than a small screen scrolls within itself.
"""

from __future__ import annotations

from collections.abc import Sequence
from html import escape
from itertools import groupby

from core.reports.sections import Section, Table, owner_sections, record_sections
from core.reports.shape_drawing import shape_drawing
from core.reports.ticket_data import TicketData, foot, standing, warnings
from core.reports.ticket_drawing import runout_drawing
from core.reports.ticket_format import INDENT, all_clean

# 'none' for everything but our own style: whatever slipped through, nothing runs or is fetched
POLICY = "default-src 'none'; style-src 'unsafe-inline'"
RUNOUT_KEY = (
    "A dot is the full-turn TIR at that station, the thin bar through it its 95 % interval."
)
SHAPE_KEY = (
    "The line of the shaft's centre in two planes, and seen from the coupling end with clock 0 up; "
    "each sweep has a scale of its own, across the shaft much larger than along it."
)
STYLE = """
body{font:13px/1.35 sans-serif;max-width:60em;margin:1.5em auto;padding:0 1em;color:#000;
background:#fff}
header{display:flex;flex-wrap:wrap;justify-content:space-between;gap:0 2em}
header table{flex-basis:100%}header th{width:7em}header p{margin:.2em 0}
h1{font-size:1.3em;margin:.2em 0}
h2{font-size:1em;margin:1em 0 .3em;border-bottom:1px solid #000;break-after:avoid}
.t{overflow-x:auto}table{border-collapse:collapse}
th,td{text-align:left;padding:.1em 1em .1em 0;vertical-align:top}td{overflow-wrap:break-word}
tr.h th{border-bottom:1px solid #777}td.n,th.n{text-align:right}
p,li{overflow-wrap:anywhere;margin:.3em 0}ul{margin:.1em 0 .4em;padding-left:1.4em}
.line,.list li{margin:.1em 0}
.state{border:2px solid #000;padding:.2em .6em;font-weight:bold;align-self:start}
.missing{border-left:4px solid #000;padding-left:.6em}svg{width:100%;height:auto;display:block}
@media screen and (max-width:480px){body{padding:0 .5em}.t table{font-size:11px}
.t th,.t td{padding-right:.5em}}
footer{margin-top:1.5em}.record{border-top:3px double #000;margin-top:2em}
@page{margin:11mm}
@media print{body{margin:0;padding:0;max-width:none;font-size:8pt;line-height:1.2}
h2{margin:.6em 0 .2em}tr,svg,li{break-inside:avoid}th,td{padding:0 1em 0 0}p{margin:.2em 0}
.t{overflow:visible}.record{break-before:page;border:0;margin:0}}
"""


def ticket_html(data: TicketData) -> str:
    """The whole ticket as one page; every piece of text in it is escaped."""
    data = all_clean(data)
    first, *rest = [_section(section) for section in owner_sections(data)]
    record = "".join(_section(section) for section in record_sections(data))
    body = [
        _head(data),
        *(
            f'<p class="missing"><b>{_t(name)}</b>: {_t(words)}</p>'
            for name, words in warnings(data)
        ),
        first,
        _drawings(data),
        *rest,
        _foot(data),
        f'<div class="record"><h1>Full record, tag {_t(data.tag)}</h1>{record}</div>'
        if record
        else "",
    ]
    return (
        '<!DOCTYPE html>\n<html lang="en"><head><meta charset="utf-8">'
        f'<meta http-equiv="Content-Security-Policy" content="{POLICY}">'
        '<meta name="viewport" content="width=device-width">'
        f"<title>Shaft ticket {_t(data.tag)}</title><style>{STYLE}</style></head>\n<body>\n"
        + "\n".join(part for part in body if part)
        + "\n</body></html>\n"
    )


def _t(text: str) -> str:
    """A person's text, harmless in HTML."""
    return escape(text, quote=True)


def _section(section: Section) -> str:
    parts = [f"<h2>{_t(section.title)}</h2>", _lines(section.lines)]
    if section.table is not None and section.table.rows:
        parts.append(_table(section.table))
    return "".join([*parts, _lines(section.under)])


def _lines(lines: Sequence[str]) -> str:
    """Lines as paragraphs; those under a line of their own as a list."""
    parts = []
    for within, some in groupby(
        (line for line in lines if line), key=lambda line: line.startswith(INDENT)
    ):
        if within:
            items = "".join(f"<li>{_t(line.strip())}</li>" for line in some)
            parts.append(f'<ul class="list">{items}</ul>')
        else:
            parts += [f'<p class="line">{_t(line)}</p>' for line in some]
    return "".join(parts)


def _table(table: Table) -> str:
    kinds = [' class="n"' if column.right else "" for column in table.columns]
    head = "".join(
        f"<th{kind}>{_t(column.heading)}</th>"
        for kind, column in zip(kinds, table.columns, strict=True)
    )
    rows = ""
    for row in table.rows:
        cells = ""
        for kind, column, cell in zip(kinds, table.columns, row, strict=True):
            text = f"<b>{_t(cell)}</b>" if column.strong else _t(cell)
            cells += f"<td{kind}>{text}</td>"
        rows += f"<tr>{cells}</tr>\n"
    return f'<div class="t"><table><tr class="h">{head}</tr>\n{rows}</table></div>'


def _head(data: TicketData) -> str:
    shop = ", ".join(_t(line) for line in data.shop) or "(name of the shop not set)"
    table = "".join(
        f"<tr><th>{_t(label)}</th><td>{_t(value) or '-'}</td></tr>" for label, value in data.heading
    )
    return (
        f"<header><div><h1>Shaft ticket, tag {_t(data.tag)}</h1><p>{shop}</p></div>"
        f'<p class="state">{_t(standing(data))}</p><table>{table}</table></header>'
    )


def _drawings(data: TicketData) -> str:
    runout = runout_drawing(data.after or data.before, data.length_in)
    shape = shape_drawing(data.before, data.after, data.length_in)
    return "".join(
        f"<h2>{title}</h2>{drawn}<p>{key}</p>"
        for title, drawn, key in (
            ("Runout along the shaft", runout, RUNOUT_KEY),
            ("Shape of the shaft", shape, SHAPE_KEY),
        )
        if drawn
    )


def _foot(data: TicketData) -> str:
    words, signed = foot(data)
    sign = "<p>Signed ______________________________</p>" if signed else ""
    return f"<footer><p>{_t(words)}</p>{sign}</footer>"
