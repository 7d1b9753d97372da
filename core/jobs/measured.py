"""Reads out of the job book what the figures of coupling, key and shaft end are held against."""

from __future__ import annotations

from typing import cast

from core.base.units import Unit
from core.book import customers, jobs, measurements, settings, shafts
from core.book.connection import Book
from core.fitting.measured.facts import FitFacts
from core.fitting.measured.measurements import MeasurementSet


def read_fit_facts(book: Book, job_id: str) -> FitFacts:
    """The facts of the job, its vessel and the shop."""
    shop = settings.load(book)
    job = jobs.job(book, job_id)
    shaft = shafts.shaft(book, job.shaft_id)
    vessel = customers.vessel(book, shaft.vessel_id)
    return FitFacts(
        tag=job.tag,
        diameter_in=shaft.diameter_in,
        length_in=shaft.length_in,
        material=shaft.material,
        condition=shaft.condition,
        engine_hp=vessel.engine_hp,
        shaft_rpm=vessel.shaft_rpm,
        band_least_in=shop.bore_clearance_least_in,
        band_most_in=shop.bore_clearance_most_in,
        face_limit_in=shop.face_limit_in,
        pilot_limit_in=shop.pilot_limit_in,
        rule=shop.rule,
        resolution_in=shop.resolution_in,
        repeatability_in=shop.repeatability_in,
        unit=cast("Unit", shop.unit),
    )


def read_figures(
    book: Book, job_id: str, *subjects: str, set_no: int | None = None
) -> MeasurementSet:
    """The measurements of a job that stand, seen from a set (None = newest of these subjects)."""
    figures = MeasurementSet(measurements.measurements_of(book, job_id))
    return figures.of_set(figures.last_set(*subjects) if set_no is None else set_no)
