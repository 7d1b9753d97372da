"""The sections of ticket and sweep report, laid out once; text and page only draw them.

Every function turns plain data into a `Section`: a title, lines, a table, and lines under it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from core.base.dial_unit import shown_dial_unit
from core.base.units import (
    format_dial,
    format_from_to,
    format_length,
    format_station,
    in_shop_unit,
    length_unit,
)
from core.reports.ticket_data import (
    RULES,
    UNCERTAINTY,
    AreaLine,
    BendLine,
    HitLine,
    PenetrantLine,
    StationLine,
    SweepPart,
    TicketData,
)
from core.reports.ticket_format import clock, dial, interval, station_text


@dataclass(frozen=True)
class TableColumn:
    """One column: its heading, and how its cells are set."""

    heading: str
    right: bool = False
    """Numbers are set to the right."""
    strong: bool = False


@dataclass(frozen=True)
class Table:
    """Cells as text; every row has one for each column."""

    columns: tuple[TableColumn, ...]
    rows: tuple[tuple[str, ...], ...]


@dataclass(frozen=True)
class Section:
    """One section; a line that starts with two blanks belongs under the line before it."""

    title: str
    lines: tuple[str, ...] = ()
    table: Table | None = None
    under: tuple[str, ...] = ()
    """Lines below the table."""

    @property
    def empty(self) -> bool:
        """Nothing to say."""
        return not (self.lines or self.under or (self.table and self.table.rows))


def _number(heading: str) -> TableColumn:
    return TableColumn(heading, right=True)


def owner_sections(data: TicketData) -> tuple[Section, ...]:
    """What the owner reads, on one page: verdicts, what was done, what to mind."""
    return _said(
        verdicts(data.after or data.before, None if data.after is None else data.before),
        Section("What was done", data.done),
        Section("Read with care", data.remarks),
        Section("Cautions", data.cautions),
    )


def record_sections(data: TicketData) -> tuple[Section, ...]:
    """The full record behind the first page."""
    parts = [part for part in (data.before, data.after) if part is not None]
    return _said(
        *(runout(part) for part in parts),
        *(bends(part.bends, part.title) for part in parts if part.bends),
        hits(data.hits),
        penetrant(data.penetrant),
        Section("Hold check", (data.hold,) if data.hold else ()),
        *(Section(one.title, one.lines) for one in data.sections),
        how_measured(parts),
    )


def _said(*sections: Section) -> tuple[Section, ...]:
    return tuple(section for section in sections if not section.empty)


def verdicts(part: SweepPart | None, before: SweepPart | None = None) -> Section:
    """One row an area, its TIR as received beside that of now."""
    if part is None:
        return Section("Riding areas", ("No sweep on record: nothing is known of the runout.",))
    came = {} if before is None else {_place(area): area.tir_in for area in before.areas}
    rows = []
    for area in part.areas:
        first = [dial(came.get(_place(area)))] if before is not None else []
        rows.append((
            area.verdict.upper(),
            area.name,
            f"{format_from_to(area.from_in, area.to_in, unit=False)}",
            dial(area.limit_in),
            *first,
            dial(area.tir_in),
            interval(area.tir_low_in, area.tir_high_in),
            dial(area.bend_tir_in),
        ))  # fmt: skip
    columns = (
        TableColumn("Verdict", strong=True),
        TableColumn("Area"),
        TableColumn(f"Stations, {length_unit()}"),
        _number("Limit"),
        *([_number("Came")] if before is not None else []),
        _number("TIR"),
        TableColumn("95 %"),
        _number("Bend part"),
    )
    settle = tuple(f"{area.name}: {area.settle}" for area in part.areas if area.settle)
    title = f"Riding areas, {part.title} (limits and TIR in {shown_dial_unit()})"
    return Section(title, (), Table(columns, tuple(rows)), settle)


def _place(area: AreaLine) -> tuple[str, float, float]:
    return area.name, area.from_in, area.to_in


def runout(part: SweepPart) -> Section:
    """Station by station."""
    columns = (
        _number(f"Station, {length_unit()}"),
        _number("Dial"),
        _number("TIR"),
        TableColumn("95 %"),
        _number("Bend part"),
        _number("High spot, deg"),
    )
    rows = tuple(_station(station) for station in part.stations)
    title = (
        f"Runout, {part.title} ({shown_dial_unit()}); rollers at "
        f"{station_text(part.rollers_in[0])} and {format_station(part.rollers_in[1])}"
    )
    notes = tuple(f"Note: {note}" for note in part.notes)
    return Section(title, (), Table(columns, rows), (*notes, *part.changed, *part.blocked))


def _station(station: StationLine) -> tuple[str, ...]:
    return (
        station_text(station.station_in),
        dial(station.shown_tir_in),
        dial(station.tir_in),
        interval(station.tir_low_in, station.tir_high_in),
        dial(station.bend_tir_in),
        clock(station.high_spot_deg),
    )


def bends(found: Sequence[BendLine], title: str) -> Section:
    """The bends of one sweep."""
    columns = (
        _number(f"Station, {length_unit()}"),
        _number(f"+/- {length_unit()}"),
        _number("Angle, mrad"),
        _number("High side, deg"),
        TableColumn("Kind"),
    )
    rows = tuple(
        (
            format_length(bend.station_in, 2, unit=False),
            format_length(bend.station_u95_in, 2, unit=False),
            f"{bend.angle_mrad:.2f}",
            clock(bend.high_side_deg),
            bend.kind,
        )
        for bend in found
    )
    return Section(f"Bends found, {title}", (), Table(columns, rows))


HEATED = (
    "Heated: each spot is to be free of cracks by penetrant once it is cold. A class shaft is"
    " heated only with leave of the class society."
)


def hits(made: Sequence[HitLine]) -> Section:
    """Every hit: what was asked, and what readings say it took out."""
    columns = (
        _number("Round"),
        _number(f"Station, {length_unit()}"),
        _number("Clock"),
        _number("Asked, mrad"),
        _number("Taken out, mrad"),
        TableColumn("Method"),
        TableColumn("By"),
        TableColumn("On"),
    )
    rows = tuple(
        (
            str(hit.round_no),
            station_text(hit.station_in),
            clock(hit.clock_deg),
            "-" if hit.asked_mrad is None else f"{hit.asked_mrad:.2f}",
            "-" if hit.taken_mrad is None else f"{hit.taken_mrad:.2f}",
            hit.method,
            hit.by,
            hit.on,
        )
        for hit in made
    )
    taken = "Taken out: from the readings after the hit; '-' = nothing was read that tells it."
    under = (taken, HEATED) if any(hit.method == "heat" for hit in made) else (taken,)
    remarks = tuple(hit.remark for hit in made if hit.remark)
    return Section("Straightened at", (), Table(columns, rows), (*under, *remarks) if rows else ())


def penetrant(looked_at: Sequence[PenetrantLine]) -> Section:
    """Every area looked at with penetrant."""
    columns = (
        TableColumn("Result", strong=True),
        TableColumn("Area"),
        TableColumn(f"Stations, {length_unit()}"),
        TableColumn("By"),
        TableColumn("On"),
    )
    rows = tuple(
        (
            check.result.upper() or "NOT DONE",
            in_shop_unit(check.area),
            f"{format_from_to(check.from_in, check.to_in, unit=False)}",
            check.by,
            check.on,
        )
        for check in looked_at
    )
    remarks = [
        f"{in_shop_unit(c.area)}: overruled by {c.overrule}" for c in looked_at if c.overrule
    ]
    standards = sorted({check.standard for check in looked_at if check.standard})
    if standards:
        remarks.append(f"Standard: {'; '.join(standards)}")
    return Section("Penetrant check", (), Table(columns, rows), tuple(remarks))


def how_measured(parts: Sequence[SweepPart]) -> Section:
    """Who read with what, and what the figures mean."""
    lines = [
        f"{part.title.capitalize()}: {part.on}, by {part.measured_by or '(not named)'}, gauge "
        f"{part.gauge or '(not named)'}, graduation {format_dial(part.resolution_in)}, repeats "
        f"within {format_dial(part.repeatability_in, 2)} (one standard deviation)."
        for part in parts
    ]
    rules = dict.fromkeys(RULES.get(part.rule, "") for part in parts)
    return Section("How it was measured", (*lines, UNCERTAINTY, *rules) if lines else ())
