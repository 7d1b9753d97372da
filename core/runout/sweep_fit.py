"""A whole sweep worked out: every station's fit, the noise they share, and the shaft line.

Pure glue over `core.runout.station_fit`, `core.runout.line` and, in this package, `noise`,
`misread`, `roundness`.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from functools import partial

import numpy as np

from core.base.errors import BadReadings, BadShaft, ShaftlogError
from core.base.units import format_length
from core.runout.harmonics import Priors
from core.runout.line import SAME_PLACE_IN, ShaftLine
from core.runout.misreadings import DialMoved, OtherWay, dial_moved, read_the_other_way
from core.runout.noise import SweepNoise, station_priors, sweep_noise
from core.runout.plunger import Lifts, lifts_by_readings
from core.runout.readings import LEAST_MARKS, StationReadings, SweepReadings
from core.runout.roundness import RollerOvality, roller_ovality
from core.runout.slip_corrections import ReadingSetup
from core.runout.station_fit import (
    AGAIN,
    DEFAULT_PRIORS,
    Roll,
    check_dial,
    checked_roll,
    fit_quick,
    fit_rolls,
)
from core.runout.station_result import StationFit
from core.runout.wheels import without_wheels

MOST_FITTED_STATIONS = 2000


@dataclass(frozen=True, eq=False)
class SweepFit:
    """Everything that single stations and their neighbours say. Stations rise along the shaft."""

    station_in: tuple[float, ...]
    fits: tuple[StationFit, ...]
    """One for each station."""
    line: ShaftLine
    repeatability_in: float
    """Given, or pooled over the sweep with an allowance for how few readings it rests on."""
    priors: tuple[Priors, ...]
    """Usual out-of-roundness of this shaft, as each station's fit took it."""
    other_way: tuple[OtherWay, ...]
    """Stations that look rolled the other way."""
    moved: tuple[tuple[float, DialMoved], ...]
    """(station, finding) where the dial crept or jumped."""
    roller_ovality: RollerOvality | None
    troubles: tuple[tuple[float, str], ...] = ()
    """(station, plain words) of stations that could not be fitted; they are not in the line."""
    noise_understated: bool = False
    """The dial repeats clearly worse than stated; the sweep's own figure was used."""


def fit_sweep(
    sweep: SweepReadings,
    *,
    typed_unit_in: float = 0.001,
    strict: bool = True,
) -> SweepFit:
    """Fit every station of a sweep.

    Parameters
    ----------
    typed_unit_in : for naming slips.
    strict : raise on the first station that cannot be fitted; otherwise leave it out and
        tell of it in `troubles` (a sweep half read).

    Raises
    ------
    BadShaft : rollers at one place or off the shaft, stations off the shaft or twice.
    BadReadings : a station that cannot be fitted; fewer than two stations that can.
    """
    check_places(sweep)
    check_dial(sweep.resolution_in, sweep.repeatability_in)
    stations = sorted(sweep.stations, key=lambda s: s.station_in)
    fit = partial(_fit_level, replace(sweep, stations=tuple(stations)), typed_unit_in, strict)
    places = {s.station_in: (s.clock_rad, s.reading_in) for s in stations if s.quick is None}
    lifts = lifts_by_readings(places)
    found = fit(lifts)
    for _ in range(AGAIN if lifts else 0):
        ecc = {x: fit.ecc_in for x, fit in zip(found.station_in, found.fits, strict=True)}
        lifts = lifts.again(places, ecc)
        found = fit(lifts)
    return found


def _fit_level(sweep: SweepReadings, typed_unit_in: float, strict: bool, lifts: Lifts) -> SweepFit:
    """The fit of a sweep, stations rising, once it is known what the plunger's point left out."""
    priors = _usual_priors(sweep)
    noise = _noise(sweep, priors, lifts)
    repeat = noise.allowed_in
    fitted, rolls, troubles = _checked_stations(sweep, lifts, noise, strict)
    shape = _shape_of(rolls, noise, sweep.resolution_in, priors)
    rolls = [
        replace(r, priors=p) if isinstance(r, Roll) else r
        for r, p in zip(rolls, shape, strict=True)
    ]
    bench = ReadingSetup(sweep.resolution_in, repeat, priors, sweep.dial_turn_in, typed_unit_in)
    by_marks = iter(fit_rolls([roll for roll in rolls if isinstance(roll, Roll)], bench))
    fits = [next(by_marks) if isinstance(roll, Roll) else roll for roll in rolls]
    if len(fits) < 2:
        raise BadReadings(
            "A sweep needs at least two stations that can be worked out, one of them away from "
            "the rollers. Read more stations."
        )
    places = tuple(s.station_in for s in fitted)
    if sweep.wheels is not None:
        fits = without_wheels(fits, places, sweep.rollers_in, sweep.wheels)
    line = line_of(places, tuple(fits), sweep.rollers_in, noise_freedom=noise.freedom)
    return SweepFit(
        station_in=places,
        fits=tuple(fits),
        line=line,
        repeatability_in=repeat,
        priors=tuple(shape),
        other_way=_other_way(line, fitted),
        # A dial that creeps scatters the readings too: against the stated figure it shows.
        moved=_moved(fitted, lifts, sweep.resolution_in, sweep.repeatability_in or repeat, shape),
        roller_ovality=_roller_ovality(line, fits),
        troubles=tuple(troubles),
        noise_understated=noise.found_worse,
    )


def line_of(
    station_in: tuple[float, ...],
    fits: tuple[StationFit, ...],
    rollers_in: tuple[float, float],
    *,
    noise_freedom: float = math.inf,
) -> ShaftLine:
    """Shaft line of fitted stations, rising."""
    return ShaftLine(
        station_in=np.array(station_in),
        ecc_in=np.array([fit.ecc_in for fit in fits]),
        sigma_in=np.array([fit.ecc_sigma_in for fit in fits]),
        rollers_in=np.array(rollers_in),
        cov_in2=np.array([fit.ecc_cov_in2 for fit in fits]),
        noise_freedom=noise_freedom,
    )


def check_places(sweep: SweepReadings) -> None:
    """Stations and rollers must be possible; raises BadShaft or BadReadings otherwise."""
    if not sweep.stations:
        raise BadReadings("The sweep has no readings yet. Read at least two stations.")
    if len(sweep.stations) > MOST_FITTED_STATIONS:
        raise BadShaft(
            f"More than {MOST_FITTED_STATIONS} stations are not one shaft. Check the stations."
        )
    places = np.array([s.station_in for s in sweep.stations])
    rollers = np.array(sweep.rollers_in)
    if not (np.isfinite(places).all() and np.isfinite(rollers).all()):
        raise BadShaft("A station or roller is not a number. Give it in inches.")
    if abs(rollers[1] - rollers[0]) < SAME_PLACE_IN:
        raise BadShaft(
            f"Both rollers are given at {format_length(float(rollers[0]), 3)}; a shaft needs two "
            "supports. Give two different stations."
        )
    if sweep.length_in is not None:
        for what, values in (("Roller", rollers), ("Station", places)):
            off = values[(values < -SAME_PLACE_IN) | (values > sweep.length_in + SAME_PLACE_IN)]
            if off.size:
                raise BadShaft(
                    f"{what} {format_length(float(off[0]), 3)} is not on the shaft (0 to "
                    f"{format_length(sweep.length_in, 3)}). Correct the {what.lower()} or the "
                    "length."
                )
    order = np.sort(places)
    close = np.flatnonzero(np.diff(order) < SAME_PLACE_IN)
    if close.size:
        raise BadShaft(
            f"Station {format_length(float(order[close[0]]), 3)} is there twice. Put its readings "
            "together or correct one of them."
        )


def _noise(sweep: SweepReadings, priors: Priors, lifts: Lifts) -> SweepNoise:
    """Noise and roundness; a stated repeatability that the readings contradict is dropped."""
    stations = [
        (s.clock_rad, _level(s, lifts).reading_in)
        for s in sweep.stations
        if s.quick is None and _sound(s)
    ]
    return sweep_noise(
        stations,
        resolution_in=sweep.resolution_in,
        repeatability_in=sweep.repeatability_in,
        priors=priors,
    )


def _sound(station: StationReadings) -> bool:
    """Whether a station can help to find the noise; what is wrong with it is said elsewhere."""
    values = np.array([*station.clock_rad, *station.reading_in])
    return len(station.clock_rad) == len(station.reading_in) >= LEAST_MARKS and bool(
        np.isfinite(values).all()
    )


def _usual_priors(sweep: SweepReadings) -> Priors:
    """Out-of-roundness usual in the shop, or as the core reckons."""
    oval, lobes = sweep.ovality_prior_in, sweep.lobes_prior_in
    return Priors(
        DEFAULT_PRIORS.ovality_in if oval is None else oval,
        DEFAULT_PRIORS.lobes_in if lobes is None else lobes,
    )


def _level(station: StationReadings, lifts: Lifts) -> StationReadings:
    """A station as a flat point would have shown it."""
    lift = lifts.at.get(station.station_in)
    if lift is None:
        return station
    closing = station.closing_in
    return replace(
        station,
        reading_in=tuple((np.array(station.reading_in) + lift).tolist()),
        closing_in=None if closing is None else closing + float(lift[0]),
    )


def _checked_stations(
    sweep: SweepReadings,
    lifts: Lifts,
    noise: SweepNoise,
    strict: bool,
) -> tuple[list[StationReadings], list[Roll | StationFit], list[tuple[float, str]]]:
    """Stations that can be fitted, their readings, and what is wrong with the others."""
    fitted: list[StationReadings] = []
    rolls: list[Roll | StationFit] = []
    troubles: list[tuple[float, str]] = []
    for station in sweep.stations:
        try:
            roll = _roll(station, sweep, noise)
            if isinstance(roll, Roll):
                roll = replace(roll, lift_in=lifts.at.get(station.station_in))
            rolls.append(roll)
            fitted.append(station)
        except ShaftlogError as error:
            words = f"Station {format_length(station.station_in, 3)}: {error}"
            if strict:
                raise BadReadings(words) from error
            troubles.append((station.station_in, words))
    return fitted, rolls, troubles


def _roll(station: StationReadings, sweep: SweepReadings, noise: SweepNoise) -> Roll | StationFit:
    """Checked readings of one station; the fit itself when it was read the quick way."""
    if station.quick is not None:
        return fit_quick(
            station.quick,
            resolution_in=sweep.resolution_in,
            repeatability_in=noise.allowed_in,
            priors=noise.priors,
        )
    return checked_roll(
        station.clock_rad,
        station.reading_in,
        closing_in=station.closing_in,
        right=station.right,
    )


def _shape_of(
    rolls: list[Roll | StationFit], noise: SweepNoise, resolution_in: float, usual: Priors
) -> list[Priors]:
    """Out-of-roundness to reckon with at each station."""
    read = [i for i, roll in enumerate(rolls) if isinstance(roll, Roll)]
    pairs = [(r.clock_rad.tolist(), r.level_in.tolist()) for r in rolls if isinstance(r, Roll)]
    found = station_priors(pairs, noise, resolution_in=resolution_in, usual=usual)
    shape = [noise.priors] * len(rolls)
    for i, priors in zip(read, found, strict=True):
        shape[i] = priors
    return shape


def _other_way(line: ShaftLine, stations: list[StationReadings]) -> tuple[OtherWay, ...]:
    first = [s.clock_rad[0] if s.clock_rad else 0.0 for s in stations]
    quick = {s.station_in for s in stations if s.quick is not None}
    found = read_the_other_way(line, np.array(first))
    return tuple(f for f in found if f.station_in not in quick)


def _moved(
    stations: list[StationReadings],
    lifts: Lifts,
    resolution_in: float,
    repeat_in: float,
    shape: list[Priors],
) -> tuple[tuple[float, DialMoved], ...]:
    found = []
    for station, priors in zip(stations, shape, strict=True):
        level = _level(station, lifts)
        moved = dial_moved(
            level.clock_rad,
            level.reading_in,
            level.closing_in,
            resolution_in=resolution_in,
            repeatability_in=repeat_in,
            priors=priors,
        )
        if moved is not None:
            taken_out = np.array(moved.mended_in) - lifts.at.get(station.station_in, 0.0)
            mended = replace(moved, mended_in=tuple(taken_out.tolist()))
            found.append((station.station_in, mended))
    return tuple(found)


def _roller_ovality(line: ShaftLine, fits: list[StationFit]) -> RollerOvality | None:
    full = [i for i, fit in enumerate(fits) if not fit.quick]
    return roller_ovality(
        line.station_in[full],
        np.array([fits[i].oval_in for i in full]).reshape(-1, 2),
        np.array([fits[i].oval_cov_in2 for i in full]).reshape(-1, 2, 2),
        line.rollers_in,
    )
