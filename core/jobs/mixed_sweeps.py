"""Sweeps that do not show one cold shape: begun before a hit and read on after it, or warm.

A reading counts from the moment its mark was first entered: a value mended later was still read
then. Readings taken back do not count.
"""

from __future__ import annotations

from core.base.records import Hit, Sweep
from core.base.times import local_text
from core.base.units import format_station
from core.book import hits, sweeps
from core.book.connection import Book
from core.book.readings import reading_times
from core.jobs.heat.cooling import warm_sweeps


def two_shapes(book: Book, job_id: str) -> dict[str, str]:
    """Id of each sweep that a hit fell into, with a sentence on it."""
    made = hits.hits_of(book, job_id)
    if not made:
        return {}
    read = reading_times(book, job_id)
    found: dict[str, str] = {}
    for sweep in sweeps.sweeps_of(book, job_id):
        between = [h for h in made if sweep.started_at < h.at < read.get(sweep.id, ("", ""))[1]]
        if between:
            found[sweep.id] = _words(sweep, between[0])
    return found


def unused_sweeps(book: Book, job_id: str) -> dict[str, str]:
    """Id of each sweep that does not show one cold shape, with a sentence that says why."""
    return warm_sweeps(book, job_id) | two_shapes(book, job_id)


def of_one_shape(book: Book, job_id: str, *purposes: str) -> list[Sweep]:
    """The finished sweeps of a job that show one shape, oldest first, of these purposes."""
    unused = unused_sweeps(book, job_id)
    return [
        sweep
        for sweep in sweeps.sweeps_of(book, job_id)
        if sweep.finished_at and sweep.purpose in purposes and sweep.id not in unused
    ]


def _words(sweep: Sweep, hit: Hit) -> str:
    when = local_text(sweep.started_at, "%d %b %H:%M")
    return (
        f"the sweep '{sweep.purpose}' of {when} was begun before the hit at "
        f"{format_station(hit.station_in)} and read on after it: it shows two shapes in one. Sweep "
        "again."
    )
