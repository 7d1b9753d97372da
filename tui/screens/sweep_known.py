"""From the book to the core and back: what can be said of a sweep so far."""

from __future__ import annotations

from dataclasses import dataclass

from core.book import sweeps
from core.book.file import Book
from core.errors import ShaftlogError
from core.readings import StationReadings, SweepReadings
from tui.screens.sweep_desk import Desk
from tui.screens.sweep_state import SweepState
from tui.screens.sweep_views import Known, KnownSlip, KnownStation


@dataclass(frozen=True)
class Question:
    """Everything the core needs, read from the book on the main thread."""

    readings: SweepReadings
    ids: dict[tuple[float, float], str]
    """Reading ids by (station in, clock rad)."""
    right: frozenset[str]
    """Readings that were looked at and are right."""


def question(book: Book, desk: Desk, state: SweepState, right: set[str]) -> Question:
    """Read a sweep for the core."""
    ids = {
        (r.station_in, round(sweeps.true_clock_rad(r.clock_deg, state.sweep.direction), 6)): r.id
        for r in state.readings
        if r.kind == "mark" and r.clock_deg is not None
    }
    return Question(sweeps.readings_for_core(book, state.sweep.id), ids, frozenset(right))


def known(asked: Question) -> Known:
    """All that can be said; trouble in words instead of an error."""
    from core.station_curve import station_curve
    from core.sweep import fit_quick, fit_station

    stations: dict[float, KnownStation] = {}
    slips: list[KnownSlip] = []
    trouble = ""
    sweep = asked.readings
    for station in sweep.stations:
        try:
            if station.quick is not None:
                fit = fit_quick(station.quick, resolution_in=sweep.resolution_in)
            else:
                fit = fit_station(
                    station.clock_rad,
                    station.reading_in,
                    resolution_in=sweep.resolution_in,
                    repeatability_in=sweep.repeatability_in,
                    closing_in=station.closing_in,
                    dial_turn_in=sweep.dial_turn_in,
                )
        except ShaftlogError as error:
            trouble = str(error)
            continue
        stations[station.station_in] = KnownStation(
            station.station_in,
            fit.tir_in,
            fit.tir_low_in,
            fit.tir_high_in,
            fit.shown_tir_in,
            fit.high_spot_rad,
            curve=station_curve(fit),
            drift_in=fit.drift_in,
        )
        slips += _slips(station, fit.slips, asked)
    return Known(stations, tuple(slips), (), (), trouble)


def _slips(station: StationReadings, found: tuple, asked: Question) -> list[KnownSlip]:  # type: ignore[type-arg]
    named = [
        KnownSlip(
            station.station_in,
            s.clock_rad,
            s.typed_in,
            s.kind,
            s.suggested_in,
            asked.ids.get((station.station_in, round(s.clock_rad, 6)), ""),
        )
        for s in found
    ]
    return [s for s in named if s.reading_id and s.reading_id not in asked.right]
