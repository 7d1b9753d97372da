"""A new job on a shaft that was here before, or on the bar that took the place of a scrapped one.

A job that ended with a new shaft leaves the old bar as scrap: the next job is on a new bar, of the
same size until it is measured. Two benches that begin a visit at once get one job.
"""

from __future__ import annotations

from core.base.shop_records import OPEN_STATES, Job
from core.book import jobs, shafts, sweeps
from core.book.connection import Book


def open_job_on(book: Book, shaft_id: str) -> Job | None:
    """The open job on a shaft, or on the bar in its place."""
    visits = jobs.jobs_of_shaft(book, shafts.bar_in_place(book, shaft_id))
    return next((job for job in visits if job.state in OPEN_STATES), None)


def scrapped_in(book: Book, shaft_id: str) -> Job | None:
    """The job in which the bar now in this place was replaced; None = the bar is in use."""
    visits = jobs.jobs_of_shaft(book, shafts.bar_in_place(book, shaft_id))
    return visits[0] if visits and visits[0].state == "replaced" else None


def begin_next_visit(book: Book, old_job_id: str) -> tuple[Job, str]:
    """A new job on the shaft of an old one, rollers where they stood, and what to say of it.

    Raises Overtaken when a job on it is open.
    """
    with book.write():
        old = jobs.job(book, old_job_id)
        scrapped = scrapped_in(book, old.shaft_id)
        bar_id = shafts.bar_in_place(book, old.shaft_id)
        if scrapped is not None:
            bar_id = shafts.new_bar(book, bar_id).id
        a_in, b_in = sweeps.rollers_of(book, old) or (old.roller_a_in, old.roller_b_in)
        new = jobs.start_job(book, shaft_id=bar_id, roller_a_in=a_in, roller_b_in=b_in)
    if scrapped is not None:
        return new, (
            f"New job on a NEW BAR: the old one was replaced in {scrapped.tag} and is scrap. "
            "Measure this one: size and areas are as the old one had them (F4)."
        )
    return new, "New job on the same shaft: size, areas and rollers are as last time (F4)."
