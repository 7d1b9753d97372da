"""The diameters of a shaft over its visits, read from the book."""

from __future__ import annotations

from dataclasses import dataclass

from core.book import jobs, measurements, settings
from core.book.connection import Book
from core.fitting.shaft.wear_job import (
    LEAST,
    SUBJECT,
    TakenAt,
    WornPlace,
    diameters_of,
    worn_places,
)
from core.jobs.limits import areas_for_core
from core.jobs.visits import visits_of_bar
from core.runout.verdict import Area


@dataclass(frozen=True)
class RawWear:
    """All diameters of the bar a shaft is made of, up to one visit."""

    areas: tuple[Area, ...]
    taken: tuple[TakenAt, ...]
    least: tuple[tuple[float, float], ...]
    """(station, least diameter allowed), oldest first; inches."""
    earlier_in: tuple[float, ...]
    """Stations miked at earlier visits, newest visit first."""

    @property
    def places(self) -> tuple[WornPlace, ...]:
        """What they say, place by place."""
        return worn_places(self.taken, self.areas, self.least)


def read_wear(book: Book, job_id: str) -> RawWear:
    """Read the diameters of this job and of the earlier visits of the same bar."""
    taken: list[TakenAt] = []
    least: list[tuple[float, float]] = []
    earlier_in: list[float] = []
    for visit in visits_of_bar(book, job_id):
        found = measurements.measurements_of(book, visit.id)
        own = diameters_of(visit.tag, found)
        taken += own
        least += [
            (one.depth_in, one.value_in)
            for one in found
            if (one.subject, one.what) == (SUBJECT, LEAST)
            and one.depth_in is not None
            and one.value_in is not None
        ]
        if visit.id != job_id:
            earlier_in = [t.station_in for t in own if t.station_in is not None] + earlier_in
    job = jobs.job(book, job_id)
    areas = areas_for_core(book, job, settings.as_of(book, job.closed_at))
    return RawWear(areas, tuple(taken), tuple(least), tuple(earlier_in))
