"""From the book to the core and back: what can be said of a sweep so far."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from core.base.errors import ShaftlogError
from core.base.records import Sweep
from core.base.units import format_dial, format_station
from core.book import jobs
from core.book.connection import Book
from core.book.readings import readings_of
from core.book.settings import ShopSettings
from core.jobs.limits import areas_for_core
from core.jobs.sweep.sweep_readings import readings_for_core
from core.jobs.sweep.sweep_session import true_clock_rad
from core.runout.readings import StationReadings, SweepReadings
from core.runout.verdict import Area, Verdict
from tui.screens.sweep.sweep_views import (
    AreaDisplay,
    SlipDisplay,
    StationDisplay,
    SweepDisplay,
    TurnDisplay,
)

if TYPE_CHECKING:
    from core.analysis.next_station import NextStation
    from core.analysis.sweep import SweepAnalysis
    from core.jobs.rounds import WorkBefore
    from core.runout.line import ShaftLine
    from core.runout.misreadings import DialMoved
    from core.runout.slips import Slip
    from core.runout.station_fit import StationFit

BADNESS = ("not true", "too close to call", "not measured", "true")


@dataclass(frozen=True)
class SweepRequest:
    """Everything the core needs about a sweep, read from the book on the main thread."""

    sweep: Sweep
    readings: SweepReadings
    areas: tuple[Area, ...]
    shop: ShopSettings
    ids: dict[tuple[float, float], str] = field(default_factory=dict)
    """Reading ids by (station in, clock rad)."""
    work: WorkBefore | None = None
    """What was done to the shaft before the sweep."""
    goes_by_itself: bool = False
    """Whether the station that tells most is read next."""


def question(book: Book, sweep: Sweep, shop: ShopSettings) -> SweepRequest:
    """Read a sweep for the core."""
    ids = {
        (r.station_in, round(true_clock_rad(r.clock_deg, sweep.direction), 6)): r.id
        for r in readings_of(book, sweep.id)
        if r.kind == "mark" and r.clock_deg is not None
    }
    from core.jobs.rounds import work_before
    from core.jobs.sweep.sweep_entry import goes_by_itself

    readings = readings_for_core(book, sweep.id)
    areas = areas_for_core(book, jobs.job(book, sweep.job_id), shop)
    by_itself = goes_by_itself(book, sweep) and sweep.finished_at is None
    return SweepRequest(sweep, readings, areas, shop, ids, work_before(book, sweep), by_itself)


def analysis(asked: SweepRequest) -> SweepAnalysis:
    """The whole analysis of a sweep, half read or not; raises the core's errors."""
    from core.jobs.evaluate import evaluate

    return evaluate(asked.readings, asked.areas, asked.shop, asked.work)


def _reading_id(asked: SweepRequest, station_in: float, clock_rad: float) -> str:
    return asked.ids.get((station_in, round(clock_rad, 6)), "")


def known(asked: SweepRequest) -> SweepDisplay:
    """All that can be said; trouble in words instead of an error."""
    if not asked.readings.stations:
        return SweepDisplay()
    try:
        worked = analysis(asked)
    except ShaftlogError as error:
        return _station_by_station(asked, str(error))
    fits = zip(worked.station_in, worked.fits, strict=True)
    return SweepDisplay(
        stations={x: _station(asked, x, fit, worked.verdicts) for x, fit in fits},
        slips=tuple(_slip(asked, x, slip) for x, slip in worked.slips),
        areas=_areas(worked.verdicts),
        turned=tuple(TurnDisplay(w.station_in, w.first_mark_rad) for w in worked.fit.other_way),
        notes=tuple(_moved_words(x, moved) for x, moved in worked.fit.moved),
        next_station=_next_station(asked, worked.line),
    )


def _next_station(asked: SweepRequest, line: ShaftLine | None) -> NextStation | None:
    if not asked.goes_by_itself:
        return None
    from core.jobs.sweep.sweep_entry import station_to_read

    return station_to_read(
        line,
        asked.sweep.stations_in,
        read_in=[station.station_in for station in asked.readings.stations],
        length_in=asked.readings.length_in,
        areas=asked.areas,
        limit_in=asked.shop.limit_between_in,
    )


def _station_by_station(asked: SweepRequest, trouble: str) -> SweepDisplay:
    """When the sweep as a whole cannot be worked out yet, each station still can."""
    from core.runout.station_fit import fit_quick

    sweep = asked.readings
    found: dict[float, StationDisplay] = {}
    slips: list[SlipDisplay] = []
    for station in sweep.stations:
        try:
            if station.quick is not None:
                fit = fit_quick(station.quick, resolution_in=sweep.resolution_in)
            else:
                fit = _fit_marks(station, sweep)
        except ShaftlogError as error:
            trouble = str(error)
            continue
        found[station.station_in] = _station(asked, station.station_in, fit, ())
        slips += [_slip(asked, station.station_in, s) for s in fit.slips]
    following = _next_station(asked, None)
    return SweepDisplay(found, tuple(slips), next_station=following, trouble=trouble)


def _fit_marks(station: StationReadings, sweep: SweepReadings) -> StationFit:
    from core.runout.station_fit import fit_station

    return fit_station(
        station.clock_rad,
        station.reading_in,
        resolution_in=sweep.resolution_in,
        repeatability_in=sweep.repeatability_in,
        closing_in=station.closing_in,
        dial_turn_in=sweep.dial_turn_in,
        right=station.right,
    )


def _station(
    asked: SweepRequest, station_in: float, fit: StationFit, verdicts: tuple[Verdict, ...]
) -> StationDisplay:
    from core.runout.curve import station_curve
    from core.runout.verdict import judge_runout

    here = [v for v in verdicts if v.area.from_in <= station_in <= v.area.to_in]
    limit_in = min((v.limit_in for v in here), default=asked.shop.limit_between_in)
    rule = here[0].rule if here else "guarded"
    return StationDisplay(
        station_in,
        fit.tir_in,
        fit.tir_low_in,
        fit.tir_high_in,
        fit.bend_tir_in,
        fit.shown_tir_in,
        fit.high_spot_rad if fit.high_spot_known else None,
        judge_runout(fit.runout, limit_in, rule),
        station_curve(fit),
        fit.drift_in,
    )


def _slip(asked: SweepRequest, station_in: float, slip: Slip) -> SlipDisplay:
    return SlipDisplay(
        station_in,
        slip.clock_rad,
        slip.typed_in,
        slip.kind,
        slip.suggested_in,
        _reading_id(asked, station_in, slip.clock_rad),
    )


def _moved_words(station_in: float, moved: DialMoved) -> str:
    where = format_station(station_in)
    drift = format_dial(moved.drift_in)
    return f"{where}: the dial {moved.kind} ({drift} at the closing mark). Read it again."


def _areas(verdicts: tuple[Verdict, ...]) -> tuple[AreaDisplay, ...]:
    """Riding areas one by one, the shaft between them as its worst length."""
    riding = [v for v in verdicts if v.area.kind != "between"]
    between = [v for v in verdicts if v.area.kind == "between"]
    lines = [
        AreaDisplay(v.area.name, v.word, v.tir_in, v.limit_in, v.settle or v.note) for v in riding
    ]
    if between:
        worst = min(between, key=lambda v: (BADNESS.index(v.word), -(v.tir_in or 0.0)))
        settle = worst.settle or worst.note
        lines.append(AreaDisplay("between", worst.word, worst.tir_in, worst.limit_in, settle))
    return tuple(lines)
