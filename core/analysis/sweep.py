"""One call from a sweep's readings to all that can be said of them.

The command line, the screens and the ticket use this and nothing beside it, so that they cannot
disagree. Pure glue; each part is explained in its own module.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from core.analysis.area_verdicts import (
    between_areas,
    judge_areas,
    judged_ends_in,
    limits_to_hit,
)
from core.analysis.between import TurnedPlace
from core.analysis.half_turn import WheelOffset, wheels_tested
from core.analysis.repeat_station import RepeatedStation, repeated_station
from core.base.limits import DEFAULT_LIMIT_IN
from core.base.units import format_clock, format_dial, format_length
from core.bends.find import BendReport, find_bends
from core.runout.line import ShaftLine
from core.runout.misreadings import DialMoved
from core.runout.readings import StationReadings, SweepReadings
from core.runout.slips import Slip
from core.runout.station_fit import StationFit
from core.runout.sweep_fit import SweepFit, fit_sweep
from core.runout.verdict import Area, Rule, Verdict, judge_bend
from core.straightening.history import RecordedHit
from core.straightening.plan import PlannedHit, plan_round
from core.straightening.response import Response


@dataclass(frozen=True, eq=False)
class SweepAnalysis:
    """What one sweep says. Lengths inches, angles radians; stations rise along the shaft."""

    fit: SweepFit
    """Every station's fit and what the stations say together."""
    bends: BendReport
    hits: tuple[PlannedHit, ...]
    """Hits of the next round; none when the shaft lies within its limits."""
    verdicts: tuple[Verdict, ...]
    """One for each riding area given, then one for each length of shaft between them."""
    notes: tuple[str, ...]
    """Plain sentences for the person, most urgent first."""
    turned: tuple[TurnedPlace, ...]
    """The hits that the verdicts reckon with."""
    ends_in: tuple[float, float]
    """From where to where the shaft was judged, inches."""
    look_beside_in: tuple[float, ...] = ()
    """Stations over their limit or off their neighbours that no hit is planned for: a reading
    close by on each side tells why. Inches."""
    known: ShaftLine | None = None
    """The line that the verdicts reckon with, where it is more than this sweep's own."""
    repeated: RepeatedStation | None = None
    """The station read once more at the end against its first reading; None = not read again."""

    @property
    def line(self) -> ShaftLine:
        """The shaft line, referred to the rollers."""
        return self.fit.line

    @property
    def station_in(self) -> tuple[float, ...]:
        """Stations that could be worked out, inches."""
        return self.fit.station_in

    @property
    def fits(self) -> tuple[StationFit, ...]:
        """One for each station."""
        return self.fit.fits

    @property
    def slips(self) -> tuple[tuple[float, Slip], ...]:
        """(station, slip) for every slip of hand or eye found."""
        return tuple(
            (x, slip)
            for x, fit in zip(self.station_in, self.fits, strict=True)
            for slip in fit.slips
        )


def analyse(
    sweep: SweepReadings,
    *,
    areas: Sequence[Area] = (),
    default_limit_in: float = DEFAULT_LIMIT_IN,
    rule: Rule = "guarded",
    response: Response | float | None = None,
    hits_so_far: Sequence[PlannedHit | RecordedHit] = (),
    known: ShaftLine | None = None,
    strict: bool = True,
) -> SweepAnalysis:
    """Fit every station, find the bends, plan the next hits, judge the areas.

    Parameters
    ----------
    areas : riding areas; the shaft between them is judged by `default_limit_in` (inches).
    response : as in `core.straightening.plan.plan_round`.
    hits_so_far : every hit made on this shaft before the sweep; the verdicts allow for what a hit
        may have left between the stations. Planned hits with a check teach the response.
    known : the line of this sweep with the hits and checks before it worked in, at the same
        stations (`core.straightening.history`); None = the sweep by itself.
    strict : as in `core.runout.sweep_fit.fit_sweep`; False for a sweep half read.

    Raises BadShaft and BadReadings as `fit_sweep` does.
    """
    fit = fit_sweep(sweep, strict=strict)
    bends = find_bends(fit.line)
    ends_in = judged_ends_in(sweep.length_in, fit.station_in)
    judged = (*areas, *between_areas(areas, *ends_in))
    hits = plan_round(
        fit.line,
        limit_in=limits_to_hit(fit.line, judged, default_limit_in, rule),
        response=response,
        hits_so_far=[hit for hit in hits_so_far if isinstance(hit, PlannedHit)],
        bends=bends,
    )
    if known is not None and known.station_in.tolist() != fit.line.station_in.tolist():
        known = None
    left_out = [f.left_out for f in fit.fits]
    verdicts = judge_areas(
        judged,
        fit.line,
        known=known,
        default_limit_in=default_limit_in,
        rule=rule,
        odd=[(x, clock) for x, clock, _ in _apart(sweep.stations, fit, left_out)],
        fits=fit.fits,
        turned=hits_so_far,
    )
    spots = _apart(sweep.stations, fit, [f.spots for f in fit.fits])
    repeated = repeated_station(sweep, fit)
    odd_in = (*bends.outlier_stations_in, *bends.lone_stations_in)
    over_in = () if hits else _unexplained(verdicts, fit.line, odd_in, rule)
    notes = _notes(fit, spots, bends, verdicts, repeated, wheels_tested(sweep))
    notes += tuple(map(_beside_words, over_in))
    beside, made = tuple(sorted((*odd_in, *over_in))), tuple(hits_so_far)
    return SweepAnalysis(fit, bends, hits, verdicts, notes, made, ends_in, beside, known, repeated)


def _unexplained(
    verdicts: Sequence[Verdict], line: ShaftLine, named_in: Sequence[float], rule: Rule
) -> tuple[float, ...]:
    """Stations surely over their limit by their bend part, in areas that are not true."""
    worst = {
        float(verdict.station_in)
        for verdict in verdicts
        if verdict.word == "not true"
        and verdict.station_in is not None
        and verdict.runout is not None
        and judge_bend(verdict.runout, verdict.limit_in, rule) == "not true"
    }
    return tuple(sorted(worst.intersection(line.station_in.tolist()) - set(named_in)))


def _beside_words(station_in: float) -> str:
    return (
        f"Station {format_length(station_in, 1)} is over its limit and its neighbours show no bend "
        "there. Read a station close by on each side: then it is known where to hit, or that no "
        "hit will mend it."
    )


def _apart(
    stations: Sequence[StationReadings], fit: SweepFit, indices: Sequence[Sequence[int]]
) -> list[tuple[float, float, float]]:
    """(station, clock, inches off the fitted curve) of some readings of each station."""
    clocks = {station.station_in: station.clock_rad for station in stations}
    return [
        (x, clocks[x][index], float(one.residual_in[index]))
        for x, one, here in zip(fit.station_in, fit.fits, indices, strict=True)
        for index in here
    ]


def _notes(
    fit: SweepFit,
    spots: Sequence[tuple[float, float, float]],
    bends: BendReport,
    verdicts: Sequence[Verdict],
    repeated: RepeatedStation | None,
    wheels: WheelOffset | None,
) -> tuple[str, ...]:
    """Findings in words, what spoils the readings first."""
    notes = [words for _, words in fit.troubles]
    if repeated is not None and repeated.moved:
        notes.append(repeated.words)
    if wheels is not None and any(wheels.found):
        notes.append(wheels.words)
    if fit.noise_understated:
        notes.append(
            f"The readings repeat only to {format_dial(fit.repeatability_in)}, worse than the"
            " repeatability set for the dial: that was used. Look at the stand and the dial, or"
            " correct the setting."
        )
    notes += [
        f"Station {format_length(way.station_in, 1)} fits its neighbours only when rolled the other"
        " way: look at the order of its marks."
        for way in fit.other_way
    ]
    notes += [_moved_words(x, moved) for x, moved in fit.moved]
    notes += [_spot_words(*spot) for spot in spots]
    if fit.roller_ovality is not None:
        notes += fit.roller_ovality.words
    notes += bends.notes
    notes += [verdict.note for verdict in verdicts if verdict.note]
    return tuple(dict.fromkeys(notes))


def _moved_words(station_in: float, moved: DialMoved) -> str:
    return (
        f"At station {format_length(station_in, 1)} the first mark read again is off by"
        f" {format_dial(moved.drift_in)}: the dial {moved.kind}. Tighten the stand and read the"
        " station again."
    )


def _spot_words(station_in: float, clock_rad: float, off_in: float) -> str:
    way = "high" if off_in > 0 else "low"
    return (
        f"At {format_length(station_in, 1)}, {format_clock(clock_rad)}, the surface is"
        f" {format_dial(abs(off_in))} {way} and the reading was found right: a dent, burr or"
        " scratch there. It counts neither as a bend nor as runout: look at it, and dress it."
    )
