"""Owner, vessel, shaft and riding areas as they were at each visit.

    shaft = history.shaft_of(book, job)        # as it was when this job was in the shop
    owner = history.owner_of(book, job)

The rows of vessel, shaft and areas say what holds now. Before a change, what held until then is
kept in `past` for the visits that are over: those that were closed before the visit in which the
change is entered began. A correction (`corrected=True` of the functions that change) keeps nothing:
it holds for the earlier visits too.
"""

from __future__ import annotations

import json
from dataclasses import asdict
from typing import Any

from core.base.shop_records import Customer, Job, Past, RidingArea, Shaft, Vessel
from core.book import rows
from core.book.connection import Book

SOLD = "sold"
SHAFT_WORK = ("turned down", "sleeved", "shortened", "other")
"""Why a shaft is of another size than at its last visit."""
_OVER = (
    "SELECT max(job.opened_at) FROM job JOIN shaft ON shaft.id = job.shaft_id "
    "WHERE {which} = ? AND job.closed_at IS NOT NULL AND job.opened_at < ?"
)
_OPEN = (
    "SELECT min(job.opened_at) FROM job JOIN shaft ON shaft.id = job.shaft_id "
    "WHERE {which} = ? AND job.closed_at IS NULL"
)
_WHICH = {"vessel": "shaft.vessel_id", "shaft": "shaft.id"}


def shaft_of(book: Book, job: Job) -> Shaft:
    """The shaft as it was at this visit."""
    then = _facts(book, job.shaft_id, job.opened_at)
    return rows.get(book, Shaft, job.shaft_id) if then is None else Shaft(**then["shaft"])


def areas_of(book: Book, job: Job) -> tuple[RidingArea, ...]:
    """The riding areas of the shaft, with their limits, as they were at this visit."""
    then = _facts(book, job.shaft_id, job.opened_at)
    if then is None:
        return _areas_now(book, job.shaft_id)
    return tuple(RidingArea(**area) for area in then["areas"])


def vessel_of(book: Book, job: Job) -> Vessel:
    """The vessel as it was at this visit; its `customer_id` is who owned it then."""
    vessel_id = rows.get(book, Shaft, job.shaft_id).vessel_id
    then = _facts(book, vessel_id, job.opened_at)
    return rows.get(book, Vessel, vessel_id) if then is None else Vessel(**then["vessel"])


def owner_of(book: Book, job: Job) -> Customer:
    """Who owned the vessel at this visit, under the name the book has for them now."""
    return rows.get(book, Customer, vessel_of(book, job).customer_id)


def past_of(book: Book, subject_id: str) -> tuple[Past, ...]:
    """What a vessel or a shaft was before, oldest first."""
    return rows.select(book, Past, "subject_id = ? ORDER BY until_at, id", (subject_id,))


def work_done(name: str, old: object, new: object) -> str:
    """What a new size of a shaft means: one of `SHAFT_WORK`."""
    if not isinstance(old, float) or not isinstance(new, float):
        return ""
    if name == "diameter_in":
        return "turned down" if new < old else "sleeved"
    return "shortened" if name == "length_in" and new < old else "other"


def keep_vessel(book: Book, vessel_id: str, why: str = "") -> None:
    """Keep what a vessel is now for its visits that are over (joins the transaction)."""
    facts = {"vessel": asdict(rows.get(book, Vessel, vessel_id))}
    _keep(book, "vessel", vessel_id, facts, why)


def keep_shaft(book: Book, shaft_id: str, why: str = "") -> None:
    """Keep what a shaft and its areas are now for its visits that are over."""
    facts = {
        "shaft": asdict(rows.get(book, Shaft, shaft_id)),
        "areas": [asdict(area) for area in _areas_now(book, shaft_id)],
    }
    _keep(book, "shaft", shaft_id, facts, why)


def visits_over(book: Book, subject: str, subject_id: str) -> bool:
    """Whether a vessel or a shaft ('vessel', 'shaft') has visits that are closed."""
    until_at = _visit_began(book, subject, subject_id)
    row = book.one(_OVER.format(which=_WHICH[subject]), (subject_id, until_at))
    return row is not None and row[0] is not None


def _visit_began(book: Book, subject: str, subject_id: str) -> str:
    """When the visit in which something is entered began; now, when no job is open."""
    row = book.one(_OPEN.format(which=_WHICH[subject]), (subject_id,))
    return str(row[0]) if row and row[0] else book.now()


def _keep(book: Book, subject: str, subject_id: str, facts: dict[str, Any], why: str) -> None:
    until_at = _visit_began(book, subject, subject_id)
    over = book.one(_OVER.format(which=_WHICH[subject]), (subject_id, until_at))
    if over is None or over[0] is None:
        return
    kept = book.one(
        "SELECT 1 FROM past WHERE subject_id = ? AND until_at > ?", (subject_id, over[0])
    )
    if kept is None:
        rows.insert(
            book,
            Past(book.new_id(), subject, subject_id, until_at, json.dumps(facts), why, book.by,
                 book.now()),
        )  # fmt: skip


def _facts(book: Book, subject_id: str, at: str) -> dict[str, Any] | None:
    """What held at a moment; None = what the rows say now."""
    row = book.one(
        "SELECT facts FROM past WHERE subject_id = ? AND until_at > ? ORDER BY until_at, id "
        "LIMIT 1",
        (subject_id, at),
    )
    return None if row is None else dict(json.loads(row[0]))


def _areas_now(book: Book, shaft_id: str) -> tuple[RidingArea, ...]:
    return rows.select(book, RidingArea, "shaft_id = ? ORDER BY from_in, to_in, id", (shaft_id,))
