"""The facts of jobs that `steps` needs, and the lines of the job board: a few grouped queries."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import timedelta
from typing import Any

from core.base.job_record import Job
from core.base.times import moment, moment_text
from core.book import rows, settings
from core.book.connection import Book
from core.book.current_check import takes_over
from core.jobs.steps import JobFacts, say_next

_KEY_SUBJECTS = ("key", "shaft keyway", "hub keyway")
_NOT_EMPTY = (
    "(finished_at IS NULL OR EXISTS (SELECT 1 FROM reading WHERE reading.sweep_id = sweep.id "
    "AND reading.replaced_by IS NULL AND reading.value_in IS NOT NULL))"
)
"""A sweep that was finished without one reading shows nothing: it counts as not made."""


@dataclass(frozen=True)
class BoardLine:
    """One open job on the board."""

    job: Job
    customer_name: str
    vessel_name: str
    position: str
    diameter_in: float
    facts: JobFacts
    next: str
    """The next step in words."""


def facts_of(book: Book, job_id: str) -> JobFacts:
    """The facts of one job."""
    return _gather(book, (rows.get(book, Job, job_id),))[job_id]


def board(book: Book) -> tuple[BoardLine, ...]:
    """All open jobs with their next step, oldest first."""
    heads = book.rows(
        f"SELECT {', '.join('job.' + c for c in rows.columns(Job))}, customer.name, vessel.name, "
        "shaft.position, shaft.diameter_in FROM job JOIN shaft ON shaft.id = job.shaft_id "
        "JOIN vessel ON vessel.id = shaft.vessel_id "
        "JOIN customer ON customer.id = vessel.customer_id "
        "WHERE job.closed_at IS NULL ORDER BY job.opened_at, job.id"
    )
    count = len(rows.columns(Job))
    jobs = [rows.from_row(Job, head[:count]) for head in heads]
    facts = _gather(book, jobs)
    return tuple(
        BoardLine(job, *_heading(head[count:]), facts[job.id], say_next(facts[job.id]))
        for job, head in zip(jobs, heads, strict=True)
    )


def _heading(cells: tuple[Any, ...]) -> tuple[str, str, str, float]:
    customer_name, vessel_name, position, diameter_in = cells
    return customer_name, vessel_name, position, diameter_in


def _gather(book: Book, jobs: Sequence[Job]) -> dict[str, JobFacts]:
    """One JobFacts for each job, by one query for each table, however many jobs there are."""
    job_ids = [job.id for job in jobs]
    inside = f"job_id IN ({', '.join('?' * len(job_ids))})"
    found: dict[str, dict[str, Any]] = {
        job.id: {
            "job_id": job.id,
            "state": job.state,
            "waiting_for": job.waiting_for,
            "work": job.work,
            "released": job.state == "released",
        }
        for job in jobs
    }
    last_hit = _hits(book, inside, job_ids, found)
    _sweeps(book, inside, job_ids, found, last_hit)
    _penetrant(book, inside, job_ids, found)
    _quotes(book, inside, job_ids, found)
    _measured(book, inside, job_ids, found)
    return {job_id: JobFacts(**values) for job_id, values in found.items()}


def _hits(
    book: Book, inside: str, job_ids: Sequence[str], found: dict[str, dict[str, Any]]
) -> dict[str, str]:
    """Counts of hits into `found`; the moment of the last hit of each job."""
    last: dict[str, str] = {}
    for job_id, hits, rounds, at in book.rows(
        "SELECT job_id, count(*), count(DISTINCT round_no), max(at) FROM hit "
        f"WHERE {inside} AND undone_at IS NULL GROUP BY job_id",
        job_ids,
    ):
        found[job_id] |= {"hits": hits, "rounds": rounds}
        last[job_id] = at
    return last


def _sweeps(
    book: Book,
    inside: str,
    job_ids: Sequence[str],
    found: dict[str, dict[str, Any]],
    last_hit: dict[str, str],
) -> None:
    in_hand: dict[str, str] = {}
    rest = timedelta(hours=settings.load(book).hold_hours)
    rested = moment_text(moment(book.now()) - rest)
    for sweep_id, job_id, purpose, started_at, finished_at in book.rows(
        "SELECT id, job_id, purpose, started_at, finished_at FROM sweep "
        f"WHERE {inside} AND {_NOT_EMPTY} ORDER BY started_at, id",
        job_ids,
    ):
        values = found[job_id]
        if finished_at is None:
            values |= {"sweep_in_hand": sweep_id, "sweep_in_hand_purpose": purpose}
            in_hand[job_id] = sweep_id
            continue
        # It shows the line after the last hit only if it was begun after it.
        after = started_at >= last_hit.get(job_id, "")
        if purpose == "quick check":
            values["checked_since_hit"] = after
            continue
        values["swept_as_received"] = values.get("swept_as_received") or purpose == "as received"
        values["swept_since_hit"] = values.get("swept_since_hit", False) or after
        values["rest_over"] = after and finished_at <= rested
        values["hold_checked"] = values.get("hold_checked", False) or (
            after and purpose == "hold check"
        )
        values["final_swept"] = values.get("final_swept", False) or (after and purpose == "final")
    for job_id, sweep_id in in_hand.items():
        count = book.one(
            "SELECT count(*) FROM reading WHERE sweep_id = ? AND replaced_by IS NULL", (sweep_id,)
        )
        found[job_id]["readings_in_hand"] = count[0] if count else 0


def _penetrant(
    book: Book, inside: str, job_ids: Sequence[str], found: dict[str, dict[str, Any]]
) -> None:
    newest: dict[tuple[str, str], tuple[Any, ...]] = {}
    for job_id, area, result, penetrant_at, overrule_by in book.rows(
        "SELECT job_id, area, result, penetrant_at, overrule_by FROM penetrant_check "
        f"WHERE {inside} ORDER BY id",
        job_ids,
    ):
        old = newest.get((job_id, area))
        if old is None or takes_over((old[0], old[2]), (result, penetrant_at)):
            newest[job_id, area] = (result, penetrant_at, overrule_by)
    for (job_id, _), (result, penetrant_at, overrule_by) in newest.items():
        values = found[job_id]
        clear = result == "clear" or (result == "crack" and overrule_by)
        for name, holds in (
            ("penetrant_areas", True),
            ("penetrant_clear", clear),
            ("cracks", result == "crack" and not overrule_by),
            ("penetrant_running", not result and penetrant_at),
        ):
            values[name] = values.get(name, 0) + (1 if holds else 0)


def _quotes(
    book: Book, inside: str, job_ids: Sequence[str], found: dict[str, dict[str, Any]]
) -> None:
    for job_id, kind in book.rows(
        f"SELECT job_id, kind FROM quote WHERE {inside} ORDER BY at, id", job_ids
    ):
        found[job_id]["decision"] = kind


def _measured(
    book: Book, inside: str, job_ids: Sequence[str], found: dict[str, dict[str, Any]]
) -> None:
    homes = {"bore": "bore_figures", "seat": "seat_figures", "face": "face_figures"}
    homes |= dict.fromkeys(_KEY_SUBJECTS, "key_figures")
    for job_id, subject, count in book.rows(
        f"SELECT job_id, subject, count(*) FROM measurement WHERE {inside} "
        "AND replaced_by IS NULL AND value_in IS NOT NULL GROUP BY job_id, subject",
        job_ids,
    ):
        if subject in homes:
            name = homes[subject]
            found[job_id][name] = found[job_id].get(name, 0) + count
