"""Records of who and what: customer, vessel, shaft, job, their notes and the log of changes.

The board needs no others, so they are in a module of their own: each record class costs the start
over a millisecond. Units as in `core.base.records`.
"""

from __future__ import annotations

from core.base.light_dataclass import dataclass

JOB_STATES = ("open", "waiting", "released", "replaced", "returned")
"""`waiting`: for somebody; `replaced`: a new shaft instead; `returned`: handed back unrepaired."""
OPEN_STATES = ("open", "waiting")
AREA_KINDS = ("taper", "bearing", "shaft log", "coupling", "other")
WORK = ("penetrant", "straighten", "bore", "face", "key")
"""What a job may ask for; intake ticks them, all by default."""


@dataclass(frozen=True)
class Job:
    id: str
    tag: str
    """What is written on the tag wired to the shaft, such as 26-014."""
    shaft_id: str
    state: str
    opened_at: str
    closed_at: str | None = None
    roller_a_in: float | None = None
    roller_b_in: float | None = None
    complaint: str = ""
    due: str = ""
    notes: str = ""
    waiting_for: str = ""
    work: tuple[str, ...] = WORK
    blocks_in: float | None = None
    """Block spacing of the press set for this job, inches; None = the shop's setting."""
    worker: str = ""
    """Who works at the press and with penetrant on this job."""


NOT_NAMED = "(not named yet)"
"""Name of a customer or vessel that nobody has typed yet; in the way of the release."""


@dataclass(frozen=True)
class Customer:
    id: str
    name: str
    phone: str = ""
    email: str = ""
    address: str = ""
    notes: str = ""
    forgotten_at: str | None = None
    """When the personal data was deleted on request; None = kept."""


@dataclass(frozen=True)
class Vessel:
    id: str
    customer_id: str
    name: str
    kind: str = ""
    engine_hp: float | None = None
    shaft_rpm: float | None = None
    notes: str = ""


@dataclass(frozen=True)
class Shaft:
    id: str
    vessel_id: str
    position: str
    """Where it sits in the boat: 'port', 'starboard', 'centre', ..."""
    material: str
    """Name of a row of the materials table, or the shop's own words."""
    condition: str
    diameter_in: float
    length_in: float
    zero_end: str = "coupling"
    """The end the stations are counted from: 'coupling' or 'propeller'."""
    notes: str = ""


@dataclass(frozen=True)
class RidingArea:
    id: str
    shaft_id: str
    kind: str
    name: str
    from_in: float
    to_in: float
    limit_in: float | None = None
    """TIR limit, inches; None = the shop's setting for the kind."""


@dataclass(frozen=True)
class Past:
    """A vessel or a shaft as it was until a moment (`core.book.history`)."""

    id: str
    subject: str
    """'vessel' or 'shaft'."""
    subject_id: str
    until_at: str
    """It held for visits that began before this moment."""
    facts: str
    """JSON: the fields of the record, for a shaft its riding areas too."""
    why: str
    """What was done: 'sold', 'turned down', ..."""
    by: str
    at: str


@dataclass(frozen=True)
class Note:
    id: str
    job_id: str
    topic: str
    text: str
    by: str
    at: str


@dataclass(frozen=True)
class Event:
    id: str
    at: str
    by: str
    subject: str
    """Table name: 'customer', 'vessel', 'shaft', 'job', 'setting', ..."""
    subject_id: str
    what: str
    """The field that changed, or a verb such as 'added', 'undone', 'forgotten'."""
    old: str
    new: str
