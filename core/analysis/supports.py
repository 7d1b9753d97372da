"""A worked-out sweep seen from two supports, as plain figures for plots, tables and files.

From the rollers it is the sweep as measured; from two other stations ("as in the boat, on strut
bearing and coupling") the chord between them is taken off the same line, with its uncertainty.
"""

from __future__ import annotations

import csv
import io
import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from core.analysis.area_verdicts import between_areas, judge_areas, limits_at
from core.analysis.sweep import SweepAnalysis
from core.base.limits import DEFAULT_LIMIT_IN
from core.base.units import format_thou
from core.bends.find import Bend
from core.runout.line import ShaftLine
from core.runout.line_runout import line_runouts
from core.runout.verdict import Area, Rule, Runout, Verdict, Word, judge_runout

POINTS_OF_LINE = 121
CSV_COLUMNS = (
    "station_in",
    "tir_thou",
    "tir_low_thou",
    "tir_high_thou",
    "bend_tir_thou",
    "bend_tir_low_thou",
    "bend_tir_high_thou",
    "high_spot_deg",
    "toward_0_thou",
    "toward_90_thou",
    "limit_thou",
    "verdict",
    "shown_tir_thou",
    "ovality_thou",
)


@dataclass(frozen=True)
class StationView:
    """One station seen from the supports. Inches and radians."""

    station_in: float
    toward_0_in: float
    toward_90_in: float
    """Eccentricity towards clock 0 and clock 90."""
    runout: Runout
    high_spot_rad: float | None
    """None = not clear of the noise."""
    word: Word
    """Verdict of this station alone."""
    limit_in: float
    shown_tir_in: float
    """What the dial showed on the rollers, whatever the supports."""
    ovality_in: float

    @property
    def tir_in(self) -> float:
        """Full-turn TIR seen from the supports."""
        return self.runout.tir_in


@dataclass(frozen=True)
class SupportView:
    """A sweep seen from two supports."""

    supports_in: tuple[float, float]
    on_rollers: bool
    """Whether the supports are the rollers of the sweep."""
    stations: tuple[StationView, ...]
    """Rising along the shaft."""
    broken_line: tuple[tuple[float, float, float], ...]
    """(station, towards 0, towards 90) of the fitted bends, evenly along the sweep, inches."""
    verdicts: tuple[Verdict, ...]
    """Riding areas in their order, then the shaft between them."""
    bends: tuple[Bend, ...]
    """The same from any supports."""


def see(
    worked: SweepAnalysis,
    *,
    areas: Sequence[Area] = (),
    default_limit_in: float = DEFAULT_LIMIT_IN,
    rule: Rule = "guarded",
    supports_in: tuple[float, float] | None = None,
) -> SupportView:
    """Figures of a sweep from its rollers (None) or from two stations, inches.

    Raises
    ------
    BadShaft : both supports at one place, or one outside the length that was read.
    """
    measured = worked.line
    line = measured if supports_in is None else measured.referred_to(*supports_in)
    supports = (float(line.rollers_in[0]), float(line.rollers_in[1]))
    ends = (float(line.station_in[0]), float(line.station_in[-1]))
    if line is measured:
        verdicts = worked.verdicts
    else:
        known = worked.known
        verdicts = judge_areas(
            (*areas, *between_areas(areas, *worked.ends_in)),
            line,
            known=None if known is None else known.referred_to(*supports),
            fits=worked.fits,
            turned=worked.turned,
            default_limit_in=default_limit_in,
            rule=rule,
        )
    x = np.linspace(*ends, POINTS_OF_LINE)
    broken = worked.bends.ecc_at(x, None if line is measured else supports)
    return SupportView(
        supports_in=supports,
        on_rollers=line is measured,
        stations=_stations(worked, line, areas, default_limit_in, rule),
        broken_line=tuple(zip(x.tolist(), *broken.T.tolist(), strict=True)),
        verdicts=verdicts,
        bends=worked.bends.bends,
    )


def _stations(
    worked: SweepAnalysis,
    line: ShaftLine,
    areas: Sequence[Area],
    default_limit_in: float,
    rule: Rule,
) -> tuple[StationView, ...]:
    """Each station judged by itself with the strictest limit that holds there."""
    places = line.station_in.tolist()
    every = (*areas, *between_areas(areas, *worked.ends_in))
    limits = limits_at(line.station_in, every, default_limit_in).tolist()
    return tuple(
        StationView(
            station_in=x,
            toward_0_in=float(line.ecc_in[n, 0]),
            toward_90_in=float(line.ecc_in[n, 1]),
            runout=runout,
            high_spot_rad=float(line.high_spot_rad[n]) if line.high_spot_known[n] else None,
            word=judge_runout(runout, limit, rule),
            limit_in=limit,
            shown_tir_in=fit.shown_tir_in,
            ovality_in=fit.ovality_in,
        )
        for n, (x, limit, runout, fit) in enumerate(
            zip(places, limits, line_runouts(line, worked.fits), worked.fits, strict=True)
        )
    )


def figures_csv(seen: SupportView) -> str:
    """The figures of every station as CSV text; numbers only, so no formula can hide in it."""
    out = io.StringIO()
    table = csv.writer(out, lineterminator="\n")
    table.writerow(CSV_COLUMNS)
    for s in seen.stations:
        of = s.runout
        swing = (of.tir_in, of.low_in, of.high_in)
        bend = (of.bend_tir_in, of.bend_low_in, of.bend_high_in)
        planes = (s.toward_0_in, s.toward_90_in, s.limit_in)
        table.writerow(
            (
                f"{s.station_in:g}",
                *(format_thou(v, 3, unit=False) for v in swing),
                *(format_thou(v, 3, unit=False) for v in bend),
                "" if s.high_spot_rad is None else f"{math.degrees(s.high_spot_rad):.1f}",
                *(format_thou(v, 3, unit=False) for v in planes),
                s.word,
                format_thou(s.shown_tir_in, 3, unit=False),
                format_thou(s.ovality_in, 3, unit=False),
            )
        )
    return out.getvalue()
