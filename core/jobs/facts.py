"""The facts of jobs that `steps` needs, and the lines of the job board."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import timedelta
from typing import Any

from core.base.light_dataclass import dataclass
from core.base.shop_records import Job
from core.base.times import moment, moment_text
from core.book import job_rows, rows, settings
from core.book.connection import Book
from core.jobs.job_facts import JobFacts
from core.jobs.steps import say_next

_STEP_OF = {"bore": "bore", "seat": "bore", "face": "face", "pilot": "face"} | dict.fromkeys(
    ("key", "shaft keyway", "hub keyway"), "key"
)
"""What is measured: the step it belongs to."""
_COUNTED = {"bore": "bore_figures", "seat": "seat_figures", "face": "face_figures"} | dict.fromkeys(
    ("key", "shaft keyway", "hub keyway"), "key_figures"
)


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
    heads = job_rows.open_job_rows(book)
    facts = _gather(book, [head.job for head in heads])
    return tuple(
        BoardLine(
            head.job,
            head.customer_name,
            head.vessel_name,
            head.position,
            head.diameter_in,
            facts[head.job.id],
            say_next(facts[head.job.id]),
        )
        for head in heads
    )


def _gather(book: Book, jobs: Sequence[Job]) -> dict[str, JobFacts]:
    """One JobFacts for each job, by one query for each table, however many jobs there are."""
    job_ids = [job.id for job in jobs]
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
    for job_id, names in job_rows.not_named(book, job_ids).items():
        found[job_id]["not_named"] = names
    last_hit: dict[str, str] = {}
    for job_id, hits, rounds, at in job_rows.hit_counts(book, job_ids):
        found[job_id] |= {"hits": hits, "rounds": rounds}
        last_hit[job_id] = at
    _sweeps(book, job_ids, found, last_hit)
    _penetrant(book, job_ids, found)
    for job_id, kind in job_rows.decisions(book, job_ids).items():
        found[job_id]["decision"] = kind
    _measured(book, job_ids, found, last_hit)
    return {job_id: JobFacts(**values) for job_id, values in found.items()}


def _sweeps(
    book: Book,
    job_ids: Sequence[str],
    found: dict[str, dict[str, Any]],
    last_hit: dict[str, str],
) -> None:
    in_hand: dict[str, str] = {}
    rest = timedelta(hours=settings.load(book).hold_hours)
    rested = moment_text(moment(book.now()) - rest)
    ended: dict[str, list[str]] = {}
    for sweep in job_rows.sweep_rows(book, job_ids):
        values, purpose = found[sweep.job_id], sweep.purpose
        values["rest_asked_hours"] = rest.total_seconds() / 3600
        if sweep.finished_at is None:
            values |= {"sweep_in_hand": sweep.id, "sweep_in_hand_purpose": purpose}
            in_hand[sweep.job_id] = sweep.id
            continue
        # It shows the line after the last hit only if it was begun after it.
        after = sweep.started_at >= last_hit.get(sweep.job_id, "")
        if purpose == "quick check":
            values["checked_since_hit"] = after
            continue
        values["swept_as_received"] = values.get("swept_as_received") or purpose == "as received"
        values["final_swept"] = values.get("final_swept", False) or (after and purpose == "final")
        if not after:
            continue
        values |= {"swept_since_hit": True, "rest_over": sweep.finished_at <= rested}
        earlier = ended.setdefault(sweep.job_id, [])
        if purpose == "hold check":
            hours = [_hours(end, sweep.started_at) for end in earlier]
            enough = [one for one in hours if one >= values["rest_asked_hours"]] or hours
            values |= {"hold_checked": True, "rested_hours": enough[-1] if enough else None}
        earlier.append(sweep.finished_at)
    for job_id, sweep_id in in_hand.items():
        found[job_id]["readings_in_hand"] = job_rows.count_readings(book, sweep_id)


def _hours(start: str, end: str) -> float:
    return (moment(end) - moment(start)).total_seconds() / 3600


def _penetrant(book: Book, job_ids: Sequence[str], found: dict[str, dict[str, Any]]) -> None:
    for check in job_rows.newest_check_rows(book, job_ids):
        values, crack = found[check.job_id], check.result == "crack"
        for name, holds in (
            ("penetrant_areas", True),
            ("penetrant_clear", check.result == "clear" or (crack and check.overrule_by)),
            ("cracks", crack and not check.overrule_by),
            ("penetrant_running", not check.result and check.penetrant_at),
        ):
            values[name] = values.get(name, 0) + (1 if holds else 0)


def _measured(
    book: Book,
    job_ids: Sequence[str],
    found: dict[str, dict[str, Any]],
    last_hit: dict[str, str],
) -> None:
    """Counts of figures, and which steps rest on figures taken before the last hit."""
    every = job_rows.figure_counts(book, job_ids)
    last_set: dict[tuple[str, str], int] = {}
    for row in every:
        if step := _STEP_OF.get(row.subject):
            number = max(row.set_no, last_set.get((row.job_id, step), 0))
            last_set[row.job_id, step] = number
    for row in every:
        step = _STEP_OF.get(row.subject)
        if step is None:
            continue
        values = found[row.job_id]
        if name := _COUNTED.get(row.subject):
            values[name] = values.get(name, 0) + row.count
        newest = row.set_no == last_set[row.job_id, step]
        if newest and row.first_at < last_hit.get(row.job_id, ""):
            values["measured_bent"] = tuple(sorted({*values.get("measured_bent", ()), step}))
