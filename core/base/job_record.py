"""The row of a job, apart from the other records: the board needs no more, so the start is fast."""

from __future__ import annotations

from dataclasses import dataclass

JOB_STATES = ("open", "waiting", "released", "replaced", "returned")
"""`waiting`: for somebody; `replaced`: a new shaft instead; `returned`: handed back unrepaired."""
OPEN_STATES = ("open", "waiting")
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
