"""The pictures and words of the plot, made from what was worked out."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING

from core.base.units import (
    PER_INCH,
    Unit,
    format_angle,
    format_clock,
    format_from_to,
    format_in_unit,
    format_station,
    length_unit,
)
from tui.screens.shape.plot_data import PlotData, sweep_title
from tui.screens.sweep.sweep_views import VERDICT_STYLE, figure
from tui.widgets.chart import Chart, ChartLabel, Series
from tui.widgets.end_view import EndPoint, EndView

if TYPE_CHECKING:
    from core.analysis.supports import StationView, SupportView
    from core.bends.find import Bend
    from core.runout.verdict import Area, Verdict

VIEWS = (
    ("tir", "TIR"),
    ("planes", "Planes"),
    ("end", "End view"),
    ("words", "In words"),
    ("table", "Table"),
)


def title_words(shown: PlotData) -> str:
    """Which sweep, from where, and what the marks mean."""
    asked, seen = shown.asked, shown.seen
    a, b = (format_station(s, unit=False) for s in seen.supports_in)
    seat = "rollers" if seen.on_rollers else "supports"
    words = f"o {sweep_title(asked.question.sweep)}, {seat} {a}, {b}"
    if asked.other is not None:
        words += f"   x {sweep_title(asked.other.sweep, asked.other_tag)}"
    return words


PLANES_LEGEND = "o towards clock 0   * towards clock 90   dots: the bends as fitted"


def planes_title(shown: PlotData) -> str:
    """What the marks of the bend planes mean."""
    if shown.other is None or shown.asked.other is None:
        return f"{PLANES_LEGEND}   {title_words(shown).partition(' ')[2]}"
    other = sweep_title(shown.asked.other.sweep, shown.asked.other_tag)
    return f"o towards 0, * towards 90; x and + the same of {other}"


def name_room(unit: Unit) -> int:
    """Columns for the name of an area: figures in mm and in inches are longer."""
    return 10 if unit == "thou" else 8


def verdict_words(verdict: Verdict, unit: Unit) -> str:
    """One area: name, verdict, TIR against limit."""
    limit = figure(verdict.limit_in, unit)
    tir = "-" if verdict.tir_in is None else figure(verdict.tir_in, unit)
    room = name_room(unit)
    return f"{verdict.area.name[:room]:<{room}} {verdict.word:<17} {tir:>4}/{limit}"


def verdict_cells(shown: PlotData) -> tuple[tuple[str, str], ...]:
    """(words, style) of every riding area, then the worst length between them."""
    riding = [v for v in shown.seen.verdicts if v.area.kind != "between"]
    between = [v for v in shown.seen.verdicts if v.area.kind == "between"]
    order = ("not true", "too close to call", "not measured", "true")
    between.sort(key=lambda v: (order.index(v.word), -(v.tir_in or 0.0)))
    cells = [(verdict_words(v, shown.unit), VERDICT_STYLE.get(v.word, "dim")) for v in riding]
    for verdict in between[:1]:
        words = verdict_words(verdict, shown.unit)
        room = name_room(shown.unit)
        cells.append((f"{'between':<{room}}{words[room:]}", VERDICT_STYLE.get(verdict.word, "dim")))
    return tuple(cells)


# -- charts ----------------------------------------------------------------------------------------


def tir_chart(shown: PlotData, cursor_in: float | None) -> Chart:
    """TIR along the shaft with limits, areas, rollers, bends, hits and the cursor."""
    scale = PER_INCH[shown.unit]
    series = [_series(shown.seen, lambda s: s.tir_in * scale, "o", "first")]
    if shown.other is not None:
        series.insert(0, _series(shown.other, lambda s: s.tir_in * scale, "x", "second"))
    limit = shown.asked.shop.limit_between_in * scale
    top = max([limit, *(y for s in series for y in s.y if y is not None)]) * 1.12
    limits = [
        (v.area.from_in, v.area.to_in, v.limit_in * scale, "=", VERDICT_STYLE.get(v.word, ""))
        for v in shown.seen.verdicts
        if v.area.kind != "between"
    ]
    length_in = shown.asked.shaft.length_in
    names = [
        ChartLabel((v.area.from_in + v.area.to_in) / 2, 0.0, _short_name(v.area, length_in), "dim")
        for v in shown.seen.verdicts
        if v.area.kind != "between"
    ]
    return Chart(
        series=tuple(series),
        x_limits=(0.0, length_in),
        x_per=PER_INCH[length_unit()],
        y_limits=(0.0, top),
        across=((limit, "dim"),),
        down=_down(shown, cursor_in),
        stretches=(*limits, *_intervals(shown, top)),
        notes=(
            *names,
            *_other_bends(shown, top * 0.8),
            *_bend_notes(shown, top),
            *_cursor_note(shown, cursor_in, scale),
        ),
    )


def _short_name(area: Area, length_in: float) -> str:
    """The name of an area as far as there is room under it on a chart of 70 columns."""
    room = max(round((area.to_in - area.from_in) / length_in * 70) - 1, 3)
    return area.name if len(area.name) <= room else area.name.split()[0][:room]


def plane_chart(shown: PlotData, cursor_in: float | None) -> Chart:
    """Both bend planes: how far the centre is off towards 0 (o) and towards 90 (*)."""
    scale = PER_INCH[shown.unit]
    seen = shown.seen
    series = [
        _line(seen, 1, scale),
        _line(seen, 2, scale),
        _series(seen, lambda s: s.toward_0_in * scale, "o", "first", joined=False),
        _series(seen, lambda s: s.toward_90_in * scale, "*", "second", joined=False),
    ]
    if shown.other is not None:
        there = shown.other
        series += [
            _series(there, lambda s: s.toward_0_in * scale, "x", "dim", joined=False),
            _series(there, lambda s: s.toward_90_in * scale, "+", "dim", joined=False),
        ]
    values = [y for s in series for y in s.y if y is not None]
    reach = max([abs(y) for y in values] or [1.0]) * 1.15 or 1.0
    return Chart(
        series=tuple(series),
        x_limits=(0.0, shown.asked.shaft.length_in),
        x_per=PER_INCH[length_unit()],
        y_limits=(-reach, reach),
        across=((0.0, "dim"),),
        down=_down(shown, cursor_in),
        stretches=_intervals(shown, reach),
        notes=(*_other_bends(shown, reach * 0.8), *_bend_notes(shown, reach)),
    )


def _series(
    seen: SupportView,
    value: Callable[[StationView], float],
    marker: str,
    style: str,
    *,
    joined: bool = True,
) -> Series:
    return Series(
        tuple(s.station_in for s in seen.stations),
        tuple(value(s) for s in seen.stations),
        marker,
        joined,
        style,
    )


def _line(seen: SupportView, column: int, scale: float) -> Series:
    """The fitted broken line in one plane."""
    return Series(
        tuple(p[0] for p in seen.broken_line),
        tuple(p[column] * scale for p in seen.broken_line),
        "",
    )


def _down(shown: PlotData, cursor_in: float | None) -> tuple[tuple[float, str, str], ...]:
    """Supports as colons, bends as bars, the cursor as exclamation marks."""
    lines = [(x, ":", "dim") for x in shown.seen.supports_in]
    lines += [(b.station_in, "│", "strong") for b in shown.seen.bends]
    if cursor_in is not None:
        lines.append((cursor_in, "!", "picked"))
    return tuple(lines)


def _bend_notes(shown: PlotData, top: float) -> tuple[ChartLabel, ...]:
    """Number and clock of each bend at the top, its interval, and every hit as H."""
    notes = [
        ChartLabel(b.station_in, top, f"{n}: {format_clock(b.high_side_rad, unit='')}")
        for n, b in enumerate(shown.seen.bends, 1)
    ]
    low = shown.asked.hits
    notes += [ChartLabel(h.station_in, top * 0.9, "H", "doubt") for h in low if h.undone_at is None]
    return tuple(notes)


def _other_bends(shown: PlotData, y: float) -> tuple[ChartLabel, ...]:
    """Where the sweep laid over was bent, with the clock of the high side."""
    bends = () if shown.other is None else shown.other.bends
    return tuple(
        ChartLabel(b.station_in, y, f"x {format_clock(b.high_side_rad, unit='')}", "dim")
        for b in bends
    )


def _intervals(shown: PlotData, top: float) -> tuple[tuple[float, float, float, str, str], ...]:
    """Where each bend may lie (95 %), along the top edge."""
    return tuple((b.from_in, b.to_in, top, "~", "doubt") for b in shown.seen.bends)


def _cursor_note(shown: PlotData, cursor_in: float | None, scale: float) -> tuple[ChartLabel, ...]:
    """The point of the cursor's station."""
    here = None if cursor_in is None else station_at(shown.seen, cursor_in)
    return (
        () if here is None else (ChartLabel(here.station_in, here.tir_in * scale, "@", "picked"),)
    )


def end_view(shown: PlotData, cursor_in: float | None) -> EndView:
    """The path of the section centres seen from the zero end; the cursor's section is marked."""
    points = []
    for n, s in enumerate(shown.seen.stations):
        here = s.station_in == cursor_in
        label = format_station(s.station_in, unit=False) if here or n % 3 == 0 else ""
        style = "picked" if here else VERDICT_STYLE.get(s.word, "")
        points.append(EndPoint(s.toward_0_in, s.toward_90_in, label, "@" if here else "o", style))
    return EndView(tuple(points), shown.asked.shop.limit_between_in / 2)


# -- words -----------------------------------------------------------------------------------------


def station_at(seen: SupportView, place_in: float) -> StationView | None:
    """The station at a place, if that was read."""
    return next((s for s in seen.stations if abs(s.station_in - place_in) < 0.01), None)


def station_words(shown: PlotData, cursor_in: float | None) -> tuple[str, str]:
    """The cursor's station in figures, then those of the other sweep there."""
    here = None if cursor_in is None else station_at(shown.seen, cursor_in)
    if here is None:
        return "Left and Right walk along the stations.", ""
    unit = shown.unit
    of = here.runout
    first = (
        f"At {format_station(here.station_in)}: TIR {format_in_unit(of.tir_in, unit)}"
        f" ({figure(of.low_in, unit)} to {figure(of.high_in, unit)}), bend part"
        f" {figure(of.bend_tir_in, unit)}: {here.word}"
    )
    second = (
        f"{_high_spot(here)}limit {figure(here.limit_in, unit)}, the dial showed"
        f" {figure(here.shown_tir_in, unit)}"
    )
    if shown.other is not None:
        second = _other_words(station_at(shown.other, here.station_in), unit)
    return first, second


def _other_words(there: StationView | None, unit: Unit) -> str:
    if there is None:
        return "x was not read here"
    return f"x TIR {format_in_unit(there.tir_in, unit)}, {_high_spot(there)}{there.word}"


def _high_spot(here: StationView) -> str:
    """'high spot 045 deg, ', or nothing where the noise hides it."""
    if here.high_spot_rad is None:
        return ""
    return f"high spot {format_clock(here.high_spot_rad)}, "


def bend_words(bend: Bend, number: int) -> str:
    """A bend in one line."""
    what = {"bow": "Bow", "region": "Bent region"}.get(bend.kind, "Bend")
    where = format_from_to(round(bend.from_in, 1), round(bend.to_in, 1))
    if bend.kind == "sharp":
        where = f"at {format_station(round(bend.station_in, 1))} ({where})"
    return (
        f"{what} {number} {where}, high side {format_clock(bend.high_side_rad)},"
        f" {format_angle(bend.angle_rad, 2)}"
    )


def nearest_bend(shown: PlotData, cursor_in: float | None) -> str:
    """The bend nearest to the cursor."""
    bends = shown.seen.bends
    if not bends:
        return "No bend stands out from the readings."
    place = bends[0].station_in if cursor_in is None else cursor_in
    number, bend = min(enumerate(bends, 1), key=lambda b: abs(b[1].station_in - place))
    more = f" (of {len(bends)})" if len(bends) > 1 else ""
    return bend_words(bend, number) + more


def all_words(shown: PlotData) -> list[str]:
    """Verdicts, bends and findings in sentences, worst first."""
    unit = shown.unit
    lines = ["VERDICTS"]
    lines += [_verdict_sentence(v, unit) for v in shown.seen.verdicts]
    lines += ["", "BENDS"]
    lines += [bend_words(b, n) for n, b in enumerate(shown.seen.bends, 1)] or ["None found."]
    lines += [
        f"  a station at {format_station(round(b.sharpen_at_in, 1))} would pin bend {n} down"
        for n, b in enumerate(shown.seen.bends, 1)
        if b.sharpen_at_in is not None
    ]
    if shown.notes:
        lines += ["", "FINDINGS", *shown.notes]
    return lines


def _verdict_sentence(verdict: Verdict, unit: Unit) -> str:
    name = f"{verdict.area.name}: {verdict.word}"
    if verdict.tir_in is None or verdict.low_in is None or verdict.high_in is None:
        return f"{name}. {verdict.settle}"
    where = "" if verdict.station_in is None else f" at {format_station(verdict.station_in)}"
    span = f"{figure(verdict.low_in, unit)} to {figure(verdict.high_in, unit)}"
    tir = format_in_unit(verdict.tir_in, unit)
    limit = figure(verdict.limit_in, unit)
    bend = figure(verdict.bend_tir_in or 0.0, unit)
    return (
        f"{name}, TIR {tir} ({span}), bend part {bend}{where}, limit {limit}. {verdict.settle}"
    ).rstrip()


def table_rows(seen: SupportView, unit: Unit) -> Sequence[tuple[str, ...]]:
    """One row for each station."""
    return [
        (
            format_station(s.station_in, unit=False),
            figure(s.tir_in, unit),
            f"{figure(s.runout.low_in, unit)} to {figure(s.runout.high_in, unit)}",
            figure(s.runout.bend_tir_in, unit),
            "-" if s.high_spot_rad is None else format_clock(s.high_spot_rad, unit=""),
            figure(s.shown_tir_in, unit),
            figure(s.ovality_in, unit),
            s.word,
        )
        for s in seen.stations
    ]
