"""The areas of one job that penetrant must look at: from the shaft's geometry and its hits."""

from __future__ import annotations

from core.book import hits, jobs, penetrant_checks, shafts
from core.book.file import Book
from core.penetrant_areas import CheckArea, areas_to_check


def planned_areas(book: Book, job_id: str) -> tuple[CheckArea, ...]:
    """Both ends, keyways, taper, thread, and each straightened spot; stations in inches."""
    shaft = shafts.shaft(book, jobs.job(book, job_id).shaft_id)
    return areas_to_check(
        shaft.length_in,
        shaft.diameter_in,
        shafts.areas_of(book, shaft.id),
        [hit.station_in for hit in hits.hits_of(book, job_id)],
        zero_at_coupling=shaft.zero_end == "coupling",
    )


def not_looked_at(book: Book, job_id: str) -> tuple[CheckArea, ...]:
    """Planned areas that no check was ever opened for."""
    seen = {check.area for check in penetrant_checks.newest_checks(book, job_id)}
    return tuple(area for area in planned_areas(book, job_id) if area.name not in seen)
