"""A worked-out sweep as JSON (keys are an interface) and as a table for people."""

from __future__ import annotations

import json
import math
import textwrap
from collections.abc import Iterable
from typing import Any

from core.analysis.sweep import SweepAnalysis
from core.base.dial_unit import shown_dial_unit
from core.base.text import one_line
from core.base.units import format_from_to, format_length, format_station, length_unit
from core.bends.find import Bend
from core.reports.ticket_format import clock, dial, high_spot_deg, interval, station_text
from core.runout.slips import Slip
from core.runout.station_fit import StationFit
from core.straightening.plan import PlannedHit

REPORT_WIDTH = 80
CAUTION = (
    "Caution: pressing, heating and lifting can hurt. Guard the press, stand clear of the shaft,"
    " check for cracks before the first hit. Local codes and the class society come first."
)


def as_json(worked: SweepAnalysis) -> str:
    """The whole result as JSON text ending in a line break."""
    record = {
        "rollers_in": [_round(x, 4) for x in worked.line.rollers_in],
        "stations": [
            _station(x, fit) for x, fit in zip(worked.line.station_in, worked.fits, strict=True)
        ],
        "bends": [_bend(bend) for bend in worked.bends.bends],
        "next_hits": [_hit(hit) for hit in worked.hits],
        "notes": [one_line(note) for note in worked.notes],
    }
    return json.dumps(record, indent=1, allow_nan=False) + "\n"


def _round(value: float, places: int) -> float:
    """A plain number without digits that mean nothing; never -0."""
    return round(float(value), places) + 0.0


def _thou(value_in: float) -> float:
    return _round(value_in * 1000, 4)


def _degrees(clock_rad: float) -> float:
    return _round(math.degrees(clock_rad) % 360.0, 3) % 360.0


def _station(station_in: float, fit: StationFit) -> dict[str, Any]:
    return {
        "station_in": _round(station_in, 4),
        "shown_tir_thou": _thou(fit.shown_tir_in),
        "tir_thou": _thou(fit.tir_in),
        "tir_low_thou": _thou(fit.tir_low_in),
        "tir_high_thou": _thou(fit.tir_high_in),
        "bend_tir_thou": _thou(fit.bend_tir_in),
        "bend_tir_low_thou": _thou(fit.bend_tir_low_in),
        "bend_tir_high_thou": _thou(fit.bend_tir_high_in),
        "high_spot_deg": _degrees(fit.high_spot_rad) if fit.high_spot_known else None,
        "eccentricity_thou": [_thou(part) for part in fit.ecc_in],
        "ovality_thou": _thou(fit.ovality_in),
        "slips": [_slip(slip) for slip in fit.slips],
    }


def _slip(slip: Slip) -> dict[str, Any]:
    mend = slip.suggested_in
    return {
        "clock_deg": _degrees(slip.clock_rad),
        "typed_thou": _thou(slip.typed_in),
        "kind": slip.kind,
        "suggested_thou": None if mend is None else _thou(mend),
    }


def _bend(bend: Bend) -> dict[str, Any]:
    return {
        "station_in": _round(bend.station_in, 3),
        "station_u95_in": _round(bend.station_u95_in, 3),
        "angle_mrad": _round(bend.angle_rad * 1000, 4),
        "high_side_deg": _degrees(bend.high_side_rad),
        "resolved": bool(bend.resolved),
    }


def _hit(hit: PlannedHit) -> dict[str, Any]:
    return {
        "station_in": _round(hit.station_in, 3),
        "high_side_deg": _degrees(hit.high_side_rad),
        "angle_mrad": _round(hit.angle_rad * 1000, 4),
        "worst_tir_after_thou": _thou(hit.worst_tir_after_in),
        "check_stations_in": [_round(x, 3) for x in hit.check_stations_in],
    }


def as_text(worked: SweepAnalysis, name: str) -> str:
    """The result as a person reads it, at most 80 columns wide."""
    a_in, b_in = worked.line.rollers_in
    lines = [
        one_line(f"SWEEP {name}"),
        f"rollers at {station_text(a_in)} and {format_station(b_in)}; {shown_dial_unit()} unless it"
        " says otherwise; clock in degrees",
        "",
        *_station_lines(worked),
        "",
        "VERDICTS",
        *_verdict_lines(worked),
        "",
        "BENDS",
        *_bend_lines(worked),
        "",
        "NEXT HITS",
        *_hit_lines(worked),
    ]
    if worked.notes:
        lines += ["", "NOTES", *_wrapped(f"- {one_line(note)}" for note in worked.notes)]
    if worked.hits:
        lines += ["", *_wrapped([CAUTION])]
    return "\n".join(line[:REPORT_WIDTH].rstrip() for line in lines) + "\n"


def _wrapped(texts: Iterable[str]) -> list[str]:
    return [
        line for text in texts for line in textwrap.wrap(text, REPORT_WIDTH, subsequent_indent="  ")
    ]


def _station_lines(worked: SweepAnalysis) -> list[str]:
    lines = [
        f"{'station':>9}{'dial':>8}{'TIR':>8}{'95 %':>16}{'bend part':>11}{'high spot':>11}"
        f"{'oval':>7}  slips"
    ]
    for station_in, fit in zip(worked.line.station_in, worked.fits, strict=True):
        lines.append(
            f"{station_text(station_in):>9}{dial(fit.shown_tir_in):>8}{dial(fit.tir_in):>8}"
            f"{interval(fit.tir_low_in, fit.tir_high_in):>16}{dial(fit.bend_tir_in):>11}"
            f"{clock(high_spot_deg(fit)):>11}{dial(fit.ovality_in):>7}"
            + (f"  {len(fit.slips)}" if fit.slips else "")
        )
        lines += [f"{'':>11}{_slip_words(slip)}" for slip in fit.slips]
    return lines


def _slip_words(slip: Slip) -> str:
    words = f"mark {clock(math.degrees(slip.clock_rad))}: {dial(slip.typed_in)} typed, {slip.kind}"
    if slip.suggested_in is not None:
        words += f", {dial(slip.suggested_in)} would fit"
    return words


def _verdict_lines(worked: SweepAnalysis) -> list[str]:
    lines: list[str] = []
    for verdict in worked.verdicts:
        area = verdict.area
        place = area.name
        if area.kind != "between":
            place += f", {format_from_to(area.from_in, area.to_in)}"
        lines += _wrapped(
            [
                f"{verdict.word.upper()}: {one_line(place)}; TIR {dial(verdict.tir_in)}"
                f" ({interval(verdict.low_in, verdict.high_in)}), bend part"
                f" {dial(verdict.bend_tir_in)}, limit {dial(verdict.limit_in)}."
                f" {one_line(verdict.settle)}"
            ]
        )
    return lines


def _bend_lines(worked: SweepAnalysis) -> list[str]:
    bends = worked.bends.bends
    if not bends:
        return ["none that the readings can tell from a straight shaft"]
    return [
        f"at {format_station(round(bend.station_in, 2))} (+/- "
        f"{format_length(bend.station_u95_in, 2, unit=False)}), {bend.angle_rad * 1000:.2f} mrad,"
        f" high side {clock(math.degrees(bend.high_side_rad))}"
        + ("" if bend.resolved else f", {bend.kind}: not resolved to one place")
        for bend in bends
    ]


def _hit_lines(worked: SweepAnalysis) -> list[str]:
    if not worked.hits:
        return ["none"]
    lines = [
        f"{n}. at {format_station(round(hit.station_in, 2))},"
        f" high side {clock(math.degrees(hit.high_side_rad))},"
        f" take out {hit.angle_rad * 1000:.2f} mrad;"
        f" worst bend part then {dial(hit.worst_tir_after_in)}"
        for n, hit in enumerate(worked.hits, start=1)
    ]
    places = ", ".join(station_text(x) for x in worked.hits[-1].check_stations_in)
    return [*lines, f"then read {places} {length_unit()} again (quick check)"]
