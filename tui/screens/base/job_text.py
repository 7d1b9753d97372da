"""A job in a few words for the top line."""

from __future__ import annotations

from core.base.shop_records import OPEN_STATES
from core.book import history, jobs
from core.book.connection import Book


def is_closed(book: Book, job_id: str) -> bool:
    """Whether a job has left the shop."""
    return jobs.job(book, job_id).state not in OPEN_STATES


def subject_of(book: Book, job_id: str) -> str:
    """Tag, vessel and place of the shaft; a closed job says that it is for reading only."""
    job = jobs.job(book, job_id)
    shaft = history.shaft_of(book, job)
    vessel = history.vessel_of(book, job)
    words = f"{job.tag}  {shaft_words(vessel.name, shaft.position)}"
    return words if job.state in OPEN_STATES else f"{words}  ({job.state}: read only)"


def shaft_words(vessel: str, position: str) -> str:
    """`Gannet, port`."""
    return f"{vessel}, {position}" if position else vessel
