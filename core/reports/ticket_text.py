"""The ticket as plain text for any printer: 80 columns, no control characters."""

from __future__ import annotations

import textwrap
from collections.abc import Iterable, Sequence

from core.reports.ticket_data import (
    RULES,
    UNCERTAINTY,
    SweepPart,
    TicketData,
    TicketSection,
    foot,
    standing,
    warnings,
)
from core.reports.ticket_format import (
    INDENT,
    all_clean,
    clock,
    columns_of,
    cut,
    inches,
    interval,
    pad,
    thou,
)

WIDTH = 80
BAR = 16


def ticket_text(data: TicketData) -> str:
    """The whole ticket; every line at most 80 columns."""
    data = all_clean(data)
    blocks = [
        _head(data),
        _warnings(data),
        _verdicts(data.after or data.before),
        _runout(data.before),
        _runout(data.after),
        _bends(data.before, "BENDS FOUND, AS RECEIVED"),
        _hits(data),
        _penetrant(data),
        _words_under("HOLD CHECK", [data.hold] if data.hold else []),
        *(_section(section) for section in data.sections),
        _measured(data),
        _words_under("CAUTIONS", data.cautions, bullet="- "),
        _foot(data),
    ]
    lines = "\n\n".join("\n".join(block) for block in blocks if block).split("\n")
    return "\n".join(cut(line, WIDTH).rstrip() for line in lines) + "\n"


def _head(data: TicketData) -> list[str]:
    state = standing(data)
    rule = "=" * WIDTH
    shop = [cut(line, WIDTH) for line in data.shop] or ["(name of the shop not set)"]
    tag = f"SHAFT TICKET   tag {cut(data.tag, 24)}"
    size = f"{inches(data.diameter_in)} in diameter, {inches(data.length_in)} in long"
    rows = [
        ("Customer", data.customer),
        ("Vessel", f"{data.vessel}, {data.position}" if data.position else data.vessel),
        ("Shaft", f"{size}; {data.material} {data.condition}"),
        ("Stations", f"inches from the {data.zero_end} end; clock in degrees fixed to the shaft"),
        ("Came in", data.opened),
        ("Complaint", data.complaint),
        ("Written", data.written),
    ]
    lines = [rule, *shop, rule, pad(tag, WIDTH - columns_of(state)) + state, "-" * WIDTH]
    for label, value in rows:
        lines += _hanging(f"{label:<11}", value or "-")
    return lines


def _hanging(label: str, text: str) -> list[str]:
    """A label with its text wrapped beside it."""
    return _wrapped(text, first=label, rest=" " * len(label))


def _wrapped(text: str, first: str = "", rest: str = "") -> list[str]:
    """Text in lines of at most 80 columns; wide letters counted as two."""
    narrow = WIDTH
    while True:
        lines = textwrap.wrap(
            text, narrow, initial_indent=first, subsequent_indent=rest, break_long_words=True
        )
        over = max((columns_of(line) for line in lines), default=0)
        if over <= WIDTH or narrow <= len(first) + 8:
            return [cut(line, WIDTH) for line in lines] or [first.rstrip()]
        narrow -= over - WIDTH


def _warnings(data: TicketData) -> list[str]:
    lines: list[str] = []
    for label, words in warnings(data):
        lines += _hanging(f"{label}: ", words)
    return lines


def _verdicts(part: SweepPart | None) -> list[str]:
    if part is None:
        return []
    head = f"{'VERDICT':<18}{'area':<15}{'from':>7}{'to':>7}{'limit':>6}{'TIR':>6}{'bend':>6}"
    head += f"{'95 % of TIR':>14}"
    lines = [f"RIDING AREAS, {part.title.upper()} (limits and TIR in thou)", head]
    for area in part.areas:
        lines.append(
            cut(
                f"{area.verdict.upper():<18}{pad(area.name, 14)} "
                f"{inches(area.from_in):>7}{inches(area.to_in):>7}{thou(area.limit_in):>6}"
                f"{thou(area.tir_in):>6}{thou(area.bend_tir_in):>6}"
                f"{interval(area.tir_low_in, area.tir_high_in):>15}",
                WIDTH,
            )
        )
        if area.settle:
            lines += _wrapped(area.settle, first="    ", rest="    ")
    return [*lines, *_wrapped(RULES.get(part.rule, ""))]


def _runout(part: SweepPart | None) -> list[str]:
    """Runout station by station, with a bar as long as the TIR."""
    if part is None:
        return []
    top_in = max((station.tir_in for station in part.stations), default=0.0)
    lines = [
        f"RUNOUT, {part.title.upper()}: rollers at {inches(part.rollers_in[0])}"
        f" and {inches(part.rollers_in[1])} in",
        f"{'station':>9}{'dial':>7}{'TIR':>7}{'95 %':>15}{'bend':>7}{'high spot':>11}  "
        f"TIR, full bar {thou(top_in)} thou",
    ]
    for station in part.stations:
        bar = "#" * round(BAR * station.tir_in / top_in) if top_in > 0 else ""
        lines.append(
            f"{inches(station.station_in):>9}{thou(station.shown_tir_in):>7}"
            f"{thou(station.tir_in):>7}"
            f"{interval(station.tir_low_in, station.tir_high_in):>15}"
            f"{thou(station.bend_tir_in):>7}"
            f"{clock(station.high_spot_deg):>11}  {bar}".rstrip()
        )
    for note in part.notes:
        lines += _wrapped(note, first="  note: ", rest="        ")
    return lines


def _bends(part: SweepPart | None, title: str) -> list[str]:
    if part is None or not part.bends:
        return []
    lines = [title, f"{'station':>9}{'+/- in':>9}{'angle mrad':>12}{'high side':>11}  kind"]
    return lines + [
        f"{bend.station_in:>9.2f}{bend.station_u95_in:>9.2f}{bend.angle_mrad:>12.2f}"
        f"{clock(bend.high_side_deg):>11}  {bend.kind}"
        for bend in part.bends
    ]


def _hits(data: TicketData) -> list[str]:
    if not data.hits:
        return []
    lines = [
        "STRAIGHTENED AT",
        f"{'round':>7}{'station':>9}{'clock':>7}{'mrad':>7}  {'method':<8}{'by':<22}on",
    ]
    return lines + [
        cut(
            f"{hit.round_no:>7}{inches(hit.station_in):>9}{clock(hit.clock_deg):>7}"
            f"{hit.angle_mrad:>7.2f}  {pad(hit.method, 8)}{pad(hit.by, 21)} "
            f"{hit.on}",
            WIDTH,
        )
        for hit in data.hits
    ]


def _penetrant(data: TicketData) -> list[str]:
    if not data.penetrant:
        return []
    lines = [
        "PENETRANT CHECK",
        f"{'result':<11}{'area':<29}{'from':>7}{'to':>8}  {'by':<13}on",
    ]
    for check in data.penetrant:
        result = check.result.upper() or "NOT DONE"
        lines.append(
            cut(
                f"{pad(result, 10)} {pad(check.area, 28)} "
                f"{inches(check.from_in):>7}{inches(check.to_in):>8}  "
                f"{pad(check.by, 12)} {check.on}",
                WIDTH,
            )
        )
        if check.overrule:
            lines += _wrapped(check.overrule, first="    overruled: ", rest=" " * 15)
    standards = sorted({check.standard for check in data.penetrant if check.standard})
    return lines + _hanging("Standard   ", "; ".join(standards)) if standards else lines


def _section(section: TicketSection) -> list[str]:
    lines = [cut(section.title.upper(), WIDTH)]
    for line in section.lines:
        indent = INDENT if line.startswith(INDENT) else ""
        lines += _wrapped(line.strip(), first=indent, rest=indent)
    return lines


def _words_under(title: str, lines: Iterable[str], bullet: str = "") -> list[str]:
    wrapped = [part for line in lines for part in _wrapped(line, bullet, " " * len(bullet))]
    return [cut(title, WIDTH), *wrapped] if wrapped else []


def _measured(data: TicketData) -> list[str]:
    parts: Sequence[SweepPart] = [p for p in (data.before, data.after) if p is not None]
    if not parts:
        return ["NO SWEEP ON RECORD"]
    lines = ["HOW IT WAS MEASURED"]
    for part in parts:
        lines += _wrapped(
            f"{part.title}: {part.on}, by {part.measured_by or '(not named)'}, gauge"
            f" {part.gauge or '(not named)'}, graduation {thou(part.resolution_in)} thou,"
            f" repeats within {part.repeatability_in * 1000:.2f} thou (one standard deviation)."
        )
    return lines + _wrapped(UNCERTAINTY)


def _foot(data: TicketData) -> list[str]:
    words, signed = foot(data)
    return [*_wrapped(words), *(["", "Signed " + "_" * 34] if signed else [])]
