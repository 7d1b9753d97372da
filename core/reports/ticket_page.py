"""The ticket as one HTML file: no script, nothing fetched, prints on A4 or letter paper."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from html import escape
from itertools import groupby

from core.reports.ticket_data import (
    RULES,
    UNCERTAINTY,
    StationLine,
    SweepPart,
    TicketData,
    TicketSection,
    foot,
    standing,
    warnings,
)
from core.reports.ticket_drawing import runout_drawings
from core.reports.ticket_format import INDENT, all_clean, clock, inches, interval, thou

# 'none' for everything but our own style: whatever slipped through, nothing runs or is fetched
POLICY = "default-src 'none'; style-src 'unsafe-inline'"
STYLE = """
body{font:13px/1.35 sans-serif;max-width:62em;margin:1.5em auto;padding:0 1em;color:#000;
background:#fff}
header{display:flex;flex-wrap:wrap;justify-content:space-between;gap:0 2em}
header table{flex-basis:100%}header th{width:7em;border:0}header p{margin:.2em 0}
h1{font-size:1.3em;margin:.2em 0}
h2{font-size:1em;margin:1em 0 .3em;border-bottom:1px solid #000;break-after:avoid}
table{border-collapse:collapse;width:100%}
th,td{text-align:left;padding:.1em .5em;vertical-align:top}td{overflow-wrap:anywhere}
td:last-child{white-space:nowrap;overflow-wrap:normal}.two td:nth-last-child(2){min-width:6.5em}
tr.h th{border-bottom:1px solid #777}tr.g th{text-align:center}td.n,th.n{text-align:right}
p,li{overflow-wrap:anywhere;margin:.3em 0}ul{margin:.1em 0 .4em;padding-left:1.4em}
.line,.list li{margin:.1em 0}.two{columns:2;column-gap:2em}
.state{border:2px solid #000;padding:.2em .6em;font-weight:bold;align-self:start}
.missing{border-left:4px solid #000;padding-left:.6em}svg{width:100%;height:auto;display:block}
footer{margin-top:1.5em}
@media (max-width:44em){.two{columns:1}}
@page{margin:11mm}
@media print{body{margin:0;padding:0;max-width:none;font-size:7.5pt;line-height:1.17}
h2{margin:.6em 0 .2em}h2,tr,svg,li{break-inside:avoid}th,td{padding:0 .3em}
.two{columns:2;column-gap:5mm}p{margin:.2em 0}}
"""


def ticket_html(data: TicketData) -> str:
    """The whole ticket as one page; every piece of text in it is escaped."""
    data = all_clean(data)
    body = [
        _head(data),
        *(
            f'<p class="missing"><b>{_t(name)}</b>: {_t(words)}</p>'
            for name, words in warnings(data)
        ),
        _verdicts(data.after or data.before),
        _drawings(data),
        _runouts(data.before, data.after),
        _columns(
            [
                _bends(data.before),
                _hits(data),
                _penetrant(data),
                _list("Hold check", [data.hold] if data.hold else []),
                *(_section(section) for section in data.sections),
                _measured(data),
                _list("Cautions", data.cautions),
            ]
        ),
        _foot(data),
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


def _table(
    headings: Sequence[str],
    rows: Iterable[Sequence[str]],
    numbers: set[int],
    groups: Sequence[tuple[str, int]] = (),
) -> str:
    """A table of already escaped cells; columns in `numbers` are set to the right.

    `groups`: words over the headings, each with the number of columns it spans.
    """
    kinds = [' class="n"' if n in numbers else "" for n in range(len(headings))]
    over = "".join(f'<th colspan="{span}">{words}</th>' for words, span in groups)
    over = f'<tr class="g">{over}</tr>\n' if over else ""
    head = "".join(f"<th{k}>{h}</th>" for h, k in zip(headings, kinds, strict=True))
    body = "".join(
        "<tr>" + "".join(f"<td{k}>{c}</td>" for c, k in zip(row, kinds, strict=True)) + "</tr>\n"
        for row in rows
    )
    return f'<table>{over}<tr class="h">{head}</tr>\n{body}</table>'


def _columns(parts: Sequence[str]) -> str:
    """Parts set in two columns, side by side."""
    inside = "".join(part for part in parts if part)
    return f'<div class="two">{inside}</div>' if inside else ""


def _list(title: str, lines: Sequence[str]) -> str:
    if not lines:
        return ""
    items = "".join(f"<li>{_t(line)}</li>" for line in lines)
    return f'<h2>{_t(title)}</h2><ul class="list">{items}</ul>'


def _section(section: TicketSection) -> str:
    """Lines as paragraphs; those that stand under a heading of their own as a list."""
    parts = [f"<h2>{_t(section.title)}</h2>"]
    for within, lines in groupby(section.lines, key=lambda line: line.startswith(INDENT)):
        if within:
            items = "".join(f"<li>{_t(line.strip())}</li>" for line in lines)
            parts.append(f'<ul class="list">{items}</ul>')
        else:
            parts += [f'<p class="line">{_t(line)}</p>' for line in lines]
    return "".join(parts)


def _head(data: TicketData) -> str:
    shop = ", ".join(_t(line) for line in data.shop) or "(name of the shop not set)"
    vessel = f"{data.vessel}, {data.position}" if data.position else data.vessel
    rows = [
        ("Customer", _t(data.customer)),
        ("Vessel", _t(vessel)),
        (
            "Shaft",
            f"{inches(data.diameter_in)} in diameter, {inches(data.length_in)} in long; "
            f"{_t(data.material)} {_t(data.condition)}",
        ),
        (
            "Stations",
            f"inches from the {_t(data.zero_end)} end; clock in degrees fixed to the shaft",
        ),
        ("Came in", _t(data.opened)),
        ("Complaint", _t(data.complaint) or "-"),
        ("Written", _t(data.written)),
    ]
    table = "".join(f"<tr><th>{label}</th><td>{value}</td></tr>" for label, value in rows)
    return (
        f"<header><div><h1>Shaft ticket, tag {_t(data.tag)}</h1><p>{shop}</p></div>"
        f'<p class="state">{_t(standing(data))}</p><table>{table}</table></header>'
    )


READ = ("Dial, thou", "TIR, thou", "95 %, thou", "Bend part", "High spot, deg")
RIGHT = {0, 1, 3, 4}
"""Columns of `READ` that are set to the right."""


def _verdicts(part: SweepPart | None) -> str:
    if part is None:
        return ""
    rows = [
        (
            f"<b>{_t(area.verdict)}</b>",
            _t(area.name) + (f"<br>{_t(area.settle)}" if area.settle else ""),
            f"{inches(area.from_in)} to {inches(area.to_in)}",
            thou(area.limit_in),
            thou(area.tir_in),
            interval(area.tir_low_in, area.tir_high_in),
            thou(area.bend_tir_in),
        )
        for area in part.areas
    ]
    headings = ("Verdict", "Area", "Stations, in", "Limit, thou", *READ[1:4])
    return (
        f"<h2>Riding areas, {_t(part.title)}</h2>{_table(headings, rows, {3, 4, 6})}"
        f"<p>{_t(RULES.get(part.rule, ''))}</p>"
    )


def _drawings(data: TicketData) -> str:
    drawings = runout_drawings(data.before, data.after, data.length_in)
    if not drawings:
        return ""
    key = "A dot is the full-turn TIR at that station, the thin bar through it its 95 % interval."
    return f"<h2>Runout drawn</h2>{''.join(drawings)}<p>{key}</p>"


def _runouts(before: SweepPart | None, after: SweepPart | None) -> str:
    """Station by station; before and after in one table when they were read at the same places."""
    parts = [part for part in (before, after) if part is not None]
    places = [tuple(station.station_in for station in part.stations) for part in parts]
    if len(parts) == 2 and places[0] != places[1]:
        return _runouts(before, None) + _runouts(None, after)
    if not parts:
        return ""
    rows = [
        (inches(at[0].station_in), *(cell for station in at for cell in _read(station)))
        for at in zip(*(part.stations for part in parts), strict=True)
    ]
    right = {0} | {1 + n * len(READ) + r for n in range(len(parts)) for r in RIGHT}
    groups = [("", 1), *((_t(part.title), len(READ)) for part in parts)] if len(parts) > 1 else []
    title = f", {parts[0].title}" if len(parts) == 1 else ""
    table = _table(("Station, in", *(READ * len(parts))), rows, right, groups)
    notes = "".join(
        f"<p>Note, {_t(part.title)}: {_t(note)}</p>" for part in parts for note in part.notes
    )
    return f"<h2>Runout{_t(title)}; {_t(_rollers(parts))}</h2>{table}{notes}"


def _read(station: StationLine) -> tuple[str, ...]:
    return (
        thou(station.shown_tir_in),
        thou(station.tir_in),
        interval(station.tir_low_in, station.tir_high_in),
        thou(station.bend_tir_in),
        clock(station.high_spot_deg),
    )


def _rollers(parts: Sequence[SweepPart]) -> str:
    """Where the rollers stood, once if they did not move."""
    words = [
        f"rollers at {inches(p.rollers_in[0])} and {inches(p.rollers_in[1])} in" for p in parts
    ]
    if len(set(words)) == 1:
        return words[0]
    return "; ".join(f"{part.title}: {one}" for part, one in zip(parts, words, strict=True))


def _bends(part: SweepPart | None) -> str:
    if part is None or not part.bends:
        return ""
    rows = [
        (
            f"{bend.station_in:.2f}",
            f"{bend.station_u95_in:.2f}",
            f"{bend.angle_mrad:.2f}",
            clock(bend.high_side_deg),
            _t(bend.kind),
        )
        for bend in part.bends
    ]
    headings = ("Station, in", "+/- in", "Angle, mrad", "High side, deg", "Kind")
    return f"<h2>Bends found, {_t(part.title)}</h2>{_table(headings, rows, {0, 1, 2, 3})}"


def _hits(data: TicketData) -> str:
    if not data.hits:
        return ""
    rows = [
        (
            str(hit.round_no),
            inches(hit.station_in),
            clock(hit.clock_deg),
            f"{hit.angle_mrad:.2f}",
            _t(hit.method),
            _t(hit.by),
            _t(hit.on[:10]),
        )
        for hit in data.hits
    ]
    headings = ("Round", "Station", "Clock", "mrad", "Method", "By", "On")
    return f"<h2>Straightened at</h2>{_table(headings, rows, {0, 1, 2, 3})}"


def _penetrant(data: TicketData) -> str:
    if not data.penetrant:
        return ""
    rows = [
        (
            f"<b>{_t(check.result) or 'not done'}</b>",
            _t(check.area) + (f"<br>overruled: {_t(check.overrule)}" if check.overrule else ""),
            f"{inches(check.from_in)} to {inches(check.to_in)}",
            _t(check.by),
            _t(check.on),
        )
        for check in data.penetrant
    ]
    headings = ("Result", "Area", "Stations", "By", "On")
    standards = sorted({check.standard for check in data.penetrant if check.standard})
    after = f"<p>Standard: {_t('; '.join(standards))}</p>" if standards else ""
    return f"<h2>Penetrant check</h2>{_table(headings, rows, set())}{after}"


def _measured(data: TicketData) -> str:
    lines = [
        f"{part.title}: {part.on}, by {part.measured_by or '(not named)'}, gauge"
        f" {part.gauge or '(not named)'}, graduation {thou(part.resolution_in)} thou, repeats"
        f" within {part.repeatability_in * 1000:.2f} thou (one standard deviation)."
        for part in (data.before, data.after)
        if part is not None
    ]
    return _list("How it was measured", [*lines, UNCERTAINTY] if lines else ["No sweep on record."])


def _foot(data: TicketData) -> str:
    words, signed = foot(data)
    sign = "<p>Signed ______________________________</p>" if signed else ""
    return f"<footer><p>{_t(words)}</p>{sign}</footer>"
