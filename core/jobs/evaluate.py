"""From a stored sweep to what it says: one function, remembered by what went into it.

Screens, hits, hold check, visits, release, ticket and command line all call `evaluate` or `fit_of`,
so that they cannot disagree and each sweep is computed once.
"""

from __future__ import annotations

import math
from functools import lru_cache

from core.analysis.half_turn import wheels_tested
from core.analysis.repeat_station import repeated_station
from core.analysis.sweep import SweepAnalysis, analyse
from core.base.dial_unit import Unit, shown_dial_unit
from core.base.errors import ShaftlogError
from core.base.records import Hit, Sweep
from core.base.units import format_station
from core.book import hits, jobs, settings
from core.book.connection import Book
from core.book.settings import ShopSettings
from core.jobs.limits import areas_for_core
from core.jobs.sweep.extra_readings import HALF_TURN, ExtraKind
from core.jobs.sweep.sweep_readings import readings_for_core
from core.runout.readings import SweepReadings
from core.runout.sweep_fit import SweepFit, fit_sweep
from core.runout.verdict import Area, Rule
from core.straightening.history import RecordedHit

REMEMBERED_SWEEPS = 256
"""Sweeps whose fits are kept: those of a dozen jobs of the shop's record and the one at hand."""


def evaluate_sweep(book: Book, sweep: Sweep) -> SweepAnalysis:
    """A stored sweep with the shop's limits and rule; stations that cannot be fitted are left out
    and named in the notes. Raises the errors of `core.analysis.sweep.analyse`."""
    job = jobs.job(book, sweep.job_id)
    shop = settings.as_of(book, job.closed_at)
    areas = areas_for_core(book, job, shop)
    return evaluate(readings_for_core(book, sweep.id), areas, shop, hits_before(book, sweep))


def evaluate(
    readings: SweepReadings,
    areas: tuple[Area, ...],
    shop: ShopSettings,
    made: tuple[RecordedHit, ...] = (),
) -> SweepAnalysis:
    """The same of readings and hits that were read from the book before; safe on any thread."""
    return _evaluate(readings, areas, shop.limit_between_in, shop.rule, made, shown_dial_unit())


def hits_before(book: Book, sweep: Sweep) -> tuple[RecordedHit, ...]:
    """The hits in force that this job made before a sweep began."""
    every = hits.hits_of(book, sweep.job_id)
    return tuple(as_recorded(hit) for hit in every if hit.at <= sweep.started_at)


def as_recorded(hit: Hit, shown_rad: float | None = None) -> RecordedHit:
    """A hit of the book as the computing takes it; `shown_rad` as in `RecordedHit`."""
    clock_rad = math.radians(hit.clock_deg)
    return RecordedHit(hit.station_in, clock_rad, hit.angle_rad, hit.method, shown_rad=shown_rad)


def extra_words(book: Book, sweep: Sweep, kind: ExtraKind) -> str:
    """What the extra readings of a sweep say, in plain sentences; '' while they are not read."""
    readings = readings_for_core(book, sweep.id)
    if kind == HALF_TURN:
        tested = wheels_tested(readings)
        return "" if tested is None else tested.words
    repeated = repeated_station(readings, fit_of(readings))
    if repeated is None:
        return ""
    return (
        repeated.words
        or f"Station {format_station(repeated.station_in)} reads as it did: nothing moved."
    )


@lru_cache(maxsize=64)
def _evaluate(
    readings: SweepReadings,
    areas: tuple[Area, ...],
    limit_in: float,
    rule: Rule,
    made: tuple[RecordedHit, ...],
    _unit: Unit,
) -> SweepAnalysis:
    """Remembered for each unit: what is found says places and figures in the unit of the shop."""
    return analyse(
        readings,
        areas=areas,
        default_limit_in=limit_in,
        rule=rule,
        hits_so_far=made,
        strict=False,
    )


@lru_cache(maxsize=REMEMBERED_SWEEPS)
def fit_of(readings: SweepReadings) -> SweepFit:
    """The shaft line alone: enough for hits, visits and the shop's record."""
    return fit_sweep(readings, strict=False)


def trouble_of(readings: SweepReadings) -> str:
    """Why a sweep gives no result; '' when it does."""
    try:
        fit_of(readings)
    except ShaftlogError as error:
        return str(error)
    return ""
