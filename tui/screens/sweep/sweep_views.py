"""What the sweep screen shows, made from the state of the sweep and what the core knows of it."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING

from core.base.records import Reading, RidingArea, Shaft
from core.base.units import Unit, format_clock, format_in_unit, format_station, format_typed
from core.jobs.sweep.sweep_session import SweepSession, true_clock_rad
from core.jobs.sweep.sweep_slots import ReadingSlot
from tui.widgets.canvas import Canvas, GridView
from tui.widgets.profile import Profile, ProfileBar
from tui.widgets.rose import Rose, RoseMark
from tui.widgets.shaft_picture import PictureArea, ShaftSketch

if TYPE_CHECKING:
    from core.analysis.next_station import NextStation

VERDICT_STYLE = {"true": "good", "not true": "bad", "too close to call": "doubt"}
SLIP_TEXT = {
    "lost turn": "a lost turn of the dial",
    "half range": "half a turn of the dial",
    "sign": "a wrong sign",
    "swapped neighbours": "two neighbours swapped",
    "transposed digits": "digits swapped",
    "decimal slip": "the decimal point",
}


@dataclass(frozen=True)
class SlipDisplay:
    """A reading that looks odd, in the words of the bench."""

    station_in: float
    clock_rad: float
    typed_in: float
    kind: str
    suggested_in: float | None
    reading_id: str = ""


@dataclass(frozen=True)
class TurnDisplay:
    """A station that fits its neighbours only when it was rolled the other way."""

    station_in: float
    first_mark_rad: float


@dataclass(frozen=True)
class StationDisplay:
    """What the core says about one station."""

    station_in: float
    tir_in: float
    """Full-turn TIR."""
    low_in: float
    high_in: float
    bend_in: float
    """The part of it that bending causes."""
    shown_in: float
    high_spot_rad: float | None
    """None = the noise hides it."""
    word: str = ""
    """Verdict at this station; empty when nothing was judged."""
    curve: tuple[tuple[float, float], ...] = ()
    """(clock rad, reading in) of the fitted curve."""
    drift_in: float | None = None


@dataclass(frozen=True)
class AreaDisplay:
    """The verdict on one riding area in words."""

    name: str
    word: str
    tir_in: float | None
    limit_in: float
    settle: str = ""


@dataclass(frozen=True)
class SweepDisplay:
    """All that the core could say about a sweep so far."""

    stations: dict[float, StationDisplay] = field(default_factory=dict)
    slips: tuple[SlipDisplay, ...] = ()
    areas: tuple[AreaDisplay, ...] = ()
    turned: tuple[TurnDisplay, ...] = ()
    notes: tuple[str, ...] = ()
    """What else spoils the readings, in short words."""
    next_station: NextStation | None = None
    """Where the next reading tells most; None = this sweep is read along its list."""
    trouble: str = ""
    """Why nothing can be said yet, in words."""


def figure(value_in: float, unit: Unit) -> str:
    """A computed length with the unit's usual places, without the unit."""
    return format_in_unit(value_in, unit).split(" ")[0]


def clock_text(session: SweepSession, clock_deg: float) -> str:
    """The clock on the shaft of a mark as called out, in degrees."""
    return format_clock(true_clock_rad(clock_deg, session.sweep.direction), unit="")


def slot_text(session: SweepSession, slot: ReadingSlot) -> str:
    """A slot as the prompt names it."""
    if slot.kind == "tir":
        return "TIR"
    if slot.kind == "high spot":
        return "clock of the high spot"
    clock = clock_text(session, slot.clock_deg or 0.0)
    return f"mark {clock} deg again" if slot.kind == "closing" else f"mark {clock} deg"


def reading_text(session: SweepSession, reading: Reading) -> str:
    """A reading in force, as the list shows it."""
    if reading.kind == "blocked":
        return "blocked"
    if reading.kind == "high spot":
        return f"{clock_text(session, reading.clock_deg or 0.0)} deg"
    return "" if reading.value_in is None else format_typed(reading.value_in, session.unit)


def prompt_text(session: SweepSession) -> str:
    """What the entry field asks for."""
    station_in, slot, now = session.station_in, session.slot, session.current
    if station_in is None or slot is None:
        return "No stations yet: F8 makes the list"
    where = f"Station {format_station(station_in)}, {slot_text(session, slot)}"
    if now is None:
        return where
    done = "finished" if session.finished else "all read" if session.complete else "read"
    shown = "now" if session.chosen and not session.finished else f"{done}:"
    return f"{where} ({shown} {reading_text(session, now)})"


def status_text(session: SweepSession, what: str) -> str:
    """The line over the pictures: how far, and which sweep (`what`)."""
    sweep = session.sweep
    taken, wanted = session.counts
    number = f"station {session.cursor.station_no + 1} of {len(session.stations_in)}"
    rolled = "rolled backwards" if sweep.direction < 0 else ""
    done = "finished" if sweep.finished_at else f"{taken} of {wanted} read"
    a, b = (format_station(x, unit=False) for x in (sweep.roller_a_in, sweep.roller_b_in))
    rollers = f"rollers {a} and {b}"
    # What changes with every key comes first: a row is painted from its left edge.
    parts = [done, number, what, rollers, rolled]
    return "   ".join(part for part in parts if part)


def slip_text(session: SweepSession, known: SweepDisplay) -> str:
    """The first open slip and what can be done about it; else the first finding in words."""
    if not known.slips and known.turned:
        where = format_station(known.turned[0].station_in)
        return f"{where} fits its neighbours only if rolled the other way: F7 turns it round"
    if not known.slips:
        return known.notes[0] if known.notes else ""
    slip = known.slips[0]
    more = f" ({len(known.slips) - 1} more)" if len(known.slips) > 1 else ""
    where = f"{format_station(slip.station_in)}, {format_clock(slip.clock_rad, unit='')} deg"
    kind = SLIP_TEXT.get(slip.kind, "")
    guess = f", {kind}?" if kind else " does not fit the rest."
    typed = format_typed(slip.typed_in, session.unit)
    if slip.suggested_in is None:
        return f"Slip? {where}: {typed}{guess} Read it again: F7 goes there{more}"
    offered = format_typed(slip.suggested_in, session.unit)
    return f"Slip? {where}: {typed}{guess} F7 makes it {offered}{more}"


def rose_station(session: SweepSession) -> int | None:
    """The station the rose shows: under the dial, or the last one while that is still empty."""
    here = session.cursor.station_no
    if session.station_in is None:
        return None
    if session.is_started(here) or not session.readings:
        return here
    last = session.find_station(session.readings[-1].station_in)
    return here if last is None else last


def rose_of(session: SweepSession, known: SweepDisplay) -> Rose:
    """The rose of the station in hand."""
    number = rose_station(session)
    if number is None:
        return Rose()
    station_in = session.stations_in[number]
    result = known.stations.get(station_in)
    odd = {s.reading_id for s in known.slips}
    marks = []
    for place_no, place in enumerate(session.slots(number)):
        if place.kind != "mark" or place.clock_deg is None:
            continue
        reading = session.reading(number, place)
        here = number == session.cursor.station_no and place_no == session.cursor.slot_no
        clock = math.degrees(true_clock_rad(place.clock_deg, session.sweep.direction))
        marks.append(RoseMark(clock, *_mark_state(reading, here, odd)))
    curve = () if result is None else result.curve
    return Rose(
        marks=tuple(marks),
        curve=tuple((math.degrees(clock), value) for clock, value in curve),
        high_spot_deg=None
        if result is None or result.high_spot_rad is None
        else math.degrees(result.high_spot_rad),
        caption=f"Rose at {format_station(station_in)}",
    )


def _mark_state(reading: Reading | None, here: bool, odd: set[str]) -> tuple[float | None, str]:
    if reading is None:
        return None, "next" if here else "unread"
    if reading.kind == "blocked":
        return None, "blocked"
    return reading.value_in, "odd" if reading.id in odd else "read"


def sketch_of(shaft: Shaft, session: SweepSession, areas: tuple[RidingArea, ...]) -> ShaftSketch:
    """The shaft under the profile."""
    return ShaftSketch(
        length_in=shaft.length_in,
        zero_end=shaft.zero_end,
        areas=tuple(PictureArea(a.name, a.from_in, a.to_in) for a in areas),
        rollers_in=(session.sweep.roller_a_in, session.sweep.roller_b_in),
        cursor_in=session.station_in,
    )


def profile_of(
    sketch: ShaftSketch, session: SweepSession, known: SweepDisplay, limit_in: float
) -> Profile:
    """TIR of every station read so far."""
    odd = {s.station_in for s in known.slips}
    bars = []
    for station_in in sorted(session.stations_in):
        result = known.stations.get(station_in)
        tir_in = None if result is None else result.tir_in
        style = VERDICT_STYLE.get(result.word, "") if result else ""
        bars.append(ProfileBar(station_in, tir_in, style, station_in in odd))
    return Profile(sketch, tuple(bars), limit_in)


class MarksView(GridView):
    """The marks of the station under the dial and what was read there."""

    DEFAULT_CSS = "MarksView { width: 21; height: 100%; }"

    def __init__(self) -> None:
        super().__init__(id="marks")
        self.session: SweepSession | None = None
        self.odd: set[str] = set()

    def show(self, session: SweepSession, known: SweepDisplay) -> None:
        """Show the station under the cursor."""
        self.session, self.odd = session, {s.reading_id for s in known.slips}
        self.redraw()

    def draw(self, width: int, height: int) -> Canvas:
        """One row for each place; the window follows the cursor."""
        canvas = Canvas(width, height, ascii_only=self.ascii_only)
        session = self.session
        if session is None or session.station_in is None:
            return canvas
        canvas.put(0, 0, f"At {format_station(session.station_in)}", "strong")
        canvas.put_right(width - 3, 0, session.unit, "dim")
        places = session.slots(session.cursor.station_no)
        rows = height - 1
        first = max(0, min(session.cursor.slot_no - rows + 2, len(places) - rows))
        for row, place in enumerate(places[first : first + rows]):
            self._row(canvas, row + 1, first + row, place)
        return canvas

    def _row(self, canvas: Canvas, y: int, number: int, place: ReadingSlot) -> None:
        session = self.session
        assert session is not None
        here = number == session.cursor.slot_no
        name = {"tir": "TIR", "high spot": "high spot"}.get(place.kind)
        if name is None:
            name = f"{clock_text(session, place.clock_deg or 0.0):>3}"
            name += " again" if place.kind == "closing" else " deg" if here else ""
        canvas.put(0, y, ">" if here else " ", "strong")
        canvas.put(2, y, name, "strong" if here else "")
        reading = session.reading(session.cursor.station_no, place)
        if reading is not None:
            canvas.put_right(canvas.width - 3, y, reading_text(session, reading))
            if reading.id in self.odd:
                canvas.put(canvas.width - 2, y, "?", "doubt")


class SoFarView(GridView):
    """The station just read in figures, then the riding areas in words."""

    DEFAULT_CSS = "SoFarView { width: 1fr; height: 100%; }"

    def __init__(self) -> None:
        super().__init__(id="so-far")
        self.shown: tuple[SweepSession, SweepDisplay] | None = None

    def show(self, session: SweepSession, known: SweepDisplay) -> None:
        """Show what can be said now."""
        self.shown = session, known
        self.redraw()

    def draw(self, width: int, height: int) -> Canvas:
        """The lines as they are, cut at the edge."""
        canvas = Canvas(width, height, ascii_only=self.ascii_only)
        lines = so_far_lines(*self.shown, width) if self.shown is not None else ()
        for y, (text, style) in enumerate(lines):
            canvas.put(0, y, text, style)
        return canvas


LEAST_NAME = 10
"""Cells of the name of an area where the verdicts need the room."""


def so_far_lines(
    session: SweepSession, known: SweepDisplay, width: int
) -> tuple[tuple[str, str], ...]:
    """(words, style) of the figures of the station and the verdicts so far."""
    number = rose_station(session)
    result = known.stations.get(session.stations_in[number]) if number is not None else None
    if result is None:
        lines = [("no figures yet", "dim")]
    else:
        lines = _station_lines(result, session.unit)
    lines.append(("", ""))
    return (*lines, *area_lines(known.areas, session.unit, width))


def area_lines(areas: Sequence[AreaDisplay], unit: Unit, width: int) -> list[tuple[str, str]]:
    """The verdict on each area; names are cut where the verdicts need the room."""
    said = [
        area.word + ("" if area.tir_in is None else f" {figure(area.tir_in, unit)}")
        for area in areas
    ]
    longest = max((len(area.name) for area in areas), default=0)
    cells = max(LEAST_NAME, min(longest, width - max(map(len, said), default=0) - 1))
    return [
        (f"{area.name[:cells]:<{cells}} {words}", VERDICT_STYLE.get(area.word, "dim"))
        for area, words in zip(areas, said, strict=True)
    ]


def _station_lines(result: StationDisplay, unit: Unit) -> list[tuple[str, str]]:
    low, high = figure(result.low_in, unit), figure(result.high_in, unit)
    lines = [
        (f"TIR {format_in_unit(result.tir_in, unit)}", "strong"),
        (f"{low} to {high} (95 %)", ""),
        (f"bend part {figure(result.bend_in, unit)}", ""),
        (f"dial showed {figure(result.shown_in, unit)}", "dim"),
    ]
    if result.high_spot_rad is not None:
        lines.append((f"H high spot {format_clock(result.high_spot_rad)}", "first"))
    if result.drift_in is not None:
        lines.append((f"closing mark off {figure(result.drift_in, unit)}", "dim"))
    return lines


def corrected_together(slips: tuple[SlipDisplay, ...]) -> list[SlipDisplay]:
    """The first slip, with its neighbour when the two were swapped."""
    first = slips[0]
    if first.kind != "swapped neighbours":
        return [first]
    same = [s for s in slips if s.kind == first.kind and s.station_in == first.station_in]
    return same[:2]


def without_turn(known: SweepDisplay) -> SweepDisplay:
    """What is known, without the first station that was rolled the other way."""
    return replace(known, turned=known.turned[1:])


def without(known: SweepDisplay, slips: list[SlipDisplay]) -> SweepDisplay:
    """What is known, without slips that have been dealt with."""
    return replace(known, slips=tuple(s for s in known.slips if s not in slips))
