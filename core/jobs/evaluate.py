"""From a stored sweep to what it says: one function, remembered by what went into it.

Screens, hits, hold check, visits, release, ticket and command line all call `evaluate` or `fit_of`,
so that they cannot disagree and each sweep is computed once.
"""

from __future__ import annotations

from functools import lru_cache

from core.analysis.half_turn import wheels_tested
from core.analysis.repeat_station import repeated_station
from core.analysis.sweep import SweepAnalysis, analyse
from core.base.dial_unit import Unit, shown_dial_unit
from core.base.records import Sweep
from core.base.units import format_station
from core.book import jobs, settings
from core.book.connection import Book
from core.book.settings import ShopSettings
from core.jobs.limits import areas_for_core
from core.jobs.rounds import WorkBefore, work_before
from core.jobs.sweep.extra_readings import HALF_TURN, ExtraKind
from core.jobs.sweep.sweep_fits import fit_of
from core.jobs.sweep.sweep_readings import readings_for_core
from core.runout.readings import SweepReadings
from core.runout.verdict import Area, Rule


def evaluate_sweep(book: Book, sweep: Sweep) -> SweepAnalysis:
    """A stored sweep with the shop's limits and rule; stations that cannot be fitted are left out
    and named in the notes. Raises the errors of `core.analysis.sweep.analyse`."""
    job = jobs.job(book, sweep.job_id)
    shop = settings.as_of(book, job.closed_at)
    areas = areas_for_core(book, job, shop)
    return evaluate(readings_for_core(book, sweep.id), areas, shop, work_before(book, sweep))


def evaluate(
    readings: SweepReadings,
    areas: tuple[Area, ...],
    shop: ShopSettings,
    work: WorkBefore | None = None,
) -> SweepAnalysis:
    """The same of readings and work that were read from the book before; safe on any thread."""
    return _evaluate(readings, areas, shop.limit_between_in, shop.rule, work, shown_dial_unit())


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
    work: WorkBefore | None,
    _unit: Unit,
) -> SweepAnalysis:
    """Remembered for each unit: what is found says places and figures in the unit of the shop."""
    return analyse(
        readings,
        areas=areas,
        default_limit_in=limit_in,
        rule=rule,
        hits_so_far=() if work is None else work.made,
        known=None if work is None else work.line_with(readings),
        strict=False,
    )
