"""What a list of jobs found says of each: when the shaft was last here, what was done, why it came.

Reads rows only; the runout in and out is computed by `core.jobs.tir_in_out`.
"""

from __future__ import annotations

from dataclasses import dataclass

from core.base.counting import many
from core.base.shop_records import OPEN_STATES
from core.base.times import local_text
from core.base.units import Unit, format_in_unit
from core.book import hits, jobs, measurements, penetrant_checks
from core.book.connection import Book

DAY = "%d %b %Y"
TirInOut = tuple[float | None, float | None]
"""Worst TIR along the shaft as it came and as it left, inches; None = not swept, not hit."""


@dataclass(frozen=True)
class AboutJob:
    """One job in sentences."""

    visit: str
    """'visit 2 of 3'."""
    last_seen: str
    """The newest visit of the shaft: when it left, or that it is here."""
    done: str
    """What was done on this visit."""
    complaint: str

    def lines(self, tir: str) -> tuple[str, str, str]:
        """When, what and why, with the words of `tir_words`."""
        return (
            f"{self.visit}, {self.last_seen}",
            f"Done: {self.done}; {tir}" if tir else f"Done: {self.done}",
            f"Complaint: {self.complaint}" if self.complaint else "",
        )


def about_job(book: Book, job_id: str) -> AboutJob:
    """Read it."""
    job = jobs.job(book, job_id)
    visits = jobs.jobs_of_shaft(book, job.shaft_id)
    number = len(visits) - [visit.id for visit in visits].index(job.id)
    last = visits[0]
    if last.state in OPEN_STATES:
        seen = f"in the shop now ({last.tag})"
    else:
        seen = f"last here {local_text(last.closed_at or last.opened_at, DAY)} ({last.tag})"
    return AboutJob(f"Visit {number} of {len(visits)}", seen, _done(book, job_id), job.complaint)


def _done(book: Book, job_id: str) -> str:
    made = hits.hits_of(book, job_id)
    spots = sum(hit.method == "heat" for hit in made)
    found = [many(count, noun) for count, noun in
             ((len(made) - spots, "hit"), (spots, "heat spot")) if count]  # fmt: skip
    checks = penetrant_checks.newest_checks(book, job_id)
    if any(check.result == "crack" for check in checks):
        found.append("crack found")
    elif any(check.result for check in checks):
        found.append("penetrant check")
    subjects = {one.subject for one in measurements.measurements_of(book, job_id)}
    for subject, words in (("bore", "bore"), ("face", "face"), ("key", "key")):
        if any(subject in one for one in subjects):
            found.append(f"{words} measured")
    return ", ".join(found) or "nothing noted"


def tir_words(tir: TirInOut, unit: Unit) -> str:
    """TIR in and out in the shop's unit; '' when it was not swept."""
    came, left = (None if one is None else format_in_unit(one, unit) for one in tir)
    if left is None:
        return f"TIR in {came}" if came else ""
    return f"TIR in {came or 'not swept'}, out {left}"
