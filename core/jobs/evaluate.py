"""From a stored sweep to what it says: one function, remembered by what went into it.

Screens, hits, hold check, visits, release, ticket and command line all call `evaluate` or `fit_of`,
so that they cannot disagree and each sweep is computed once.
"""

from __future__ import annotations

from functools import lru_cache

from core.analysis.sweep import SweepAnalysis, analyse
from core.base.errors import ShaftlogError
from core.base.records import Sweep
from core.book import jobs, settings
from core.book.connection import Book
from core.book.settings import ShopSettings
from core.jobs.limits import areas_for_core
from core.jobs.resume import readings_for_core
from core.runout.readings import SweepReadings
from core.runout.sweep_fit import SweepFit, fit_sweep
from core.runout.verdict import Area, Rule

REMEMBERED_SWEEPS = 256
"""Sweeps whose fits are kept: those of a dozen jobs of the shop's record and the one at hand."""


def evaluate_sweep(book: Book, sweep: Sweep) -> SweepAnalysis:
    """A stored sweep with the shop's limits and rule; stations that cannot be fitted are left out
    and named in the notes. Raises the errors of `core.analysis.sweep.analyse`."""
    shop = settings.load(book)
    areas = areas_for_core(book, jobs.job(book, sweep.job_id).shaft_id, shop)
    return evaluate(readings_for_core(book, sweep.id), areas, shop)


def evaluate(readings: SweepReadings, areas: tuple[Area, ...], shop: ShopSettings) -> SweepAnalysis:
    """The same of readings that were read from the book before; safe on any thread."""
    return _evaluate(readings, areas, shop.limit_between_in, shop.rule)


@lru_cache(maxsize=64)
def _evaluate(
    readings: SweepReadings, areas: tuple[Area, ...], limit_in: float, rule: Rule
) -> SweepAnalysis:
    return analyse(readings, areas=areas, default_limit_in=limit_in, rule=rule, strict=False)


@lru_cache(maxsize=REMEMBERED_SWEEPS)
def fit_of(readings: SweepReadings) -> SweepFit:
    """The shaft line alone: enough for hits, visits and the shop's record."""
    return fit_sweep(readings, strict=False)


def trouble_of(readings: SweepReadings) -> str:
    """Why a sweep says nothing of the shaft; '' when it does."""
    try:
        fit_of(readings)
    except ShaftlogError as error:
        return str(error)
    return ""
