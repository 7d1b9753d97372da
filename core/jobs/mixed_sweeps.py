"""Sweeps that do not show one cold shape: begun before a hit and read on after it, or warm.

A reading counts from the moment its mark was first entered: a value mended later was still read
then. Readings taken back do not count.
"""

from __future__ import annotations

from core.base.records import Hit, Sweep
from core.base.times import local_text
from core.book import hits, sweeps
from core.book.connection import Book
from core.book.readings import last_reading_times
from core.jobs.heat.cooling import say_warm, warm_sweeps


def two_shapes(book: Book, job_id: str) -> dict[str, Hit]:
    """Id of each such sweep of a job, with the first hit that fell into it."""
    made = hits.hits_of(book, job_id)
    if not made:
        return {}
    last_read = last_reading_times(book, job_id)
    found: dict[str, Hit] = {}
    for sweep in sweeps.sweeps_of(book, job_id):
        between = [h for h in made if sweep.started_at < h.at < last_read.get(sweep.id, "")]
        if between:
            found[sweep.id] = between[0]
    return found


def of_one_shape(book: Book, job_id: str, *purposes: str) -> list[Sweep]:
    """The finished sweeps of a job that show one shape, oldest first, of these purposes."""
    mixed = two_shapes(book, job_id).keys() | warm_sweeps(book, job_id).keys()
    return [
        sweep
        for sweep in sweeps.sweeps_of(book, job_id)
        if sweep.finished_at and sweep.purpose in purposes and sweep.id not in mixed
    ]


def not_used(book: Book, sweep: Sweep) -> str:
    """Why a sweep is not used, in a sentence: read over a hit, or warm; '' = it may be."""
    mixed = two_shapes(book, sweep.job_id).get(sweep.id)
    if mixed is not None:
        return say(sweep, mixed)
    warm = warm_sweeps(book, sweep.job_id).get(sweep.id)
    return say_warm(sweep, warm) if warm is not None else ""


def say(sweep: Sweep, hit: Hit) -> str:
    """One sentence on such a sweep."""
    when = local_text(sweep.started_at, "%d %b %H:%M")
    return (
        f"the sweep '{sweep.purpose}' of {when} was begun before the hit at {hit.station_in:g} in "
        "and read on after it: it shows two shapes in one. Sweep again."
    )
