"""Open jobs: what each waits for, since when, and who has most of them waiting."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from core.jobs.intake.due import is_late
from core.jobs.job_facts import JobFacts
from core.jobs.steps import next_step

DAY_S = 86_400.0
_FOR = {
    "sweep": "dial and rollers",
    "penetrant": "penetrant check",
    "repair": "our offer",
    "straighten": "press",
    "hold": "dial and rollers",
    "final": "dial and rollers",
    "bore": "coupling bench",
    "face": "coupling bench",
    "key": "coupling bench",
    "release": "release",
}
"""Next step -> what of the shop it waits for."""


@dataclass(frozen=True)
class OpenJob:
    """An open job as the book has it; moments in seconds, one zero for all."""

    job_id: str
    tag: str
    where: str
    """Vessel and place of the shaft."""
    facts: JobFacts
    opened_s: float
    last_entry_s: float
    """When anything was last entered on it."""
    due: str = ""
    """ISO day, or a word such as Friday; '' = not said."""


@dataclass(frozen=True)
class WaitingJob:
    """One open job and what it waits for."""

    job_id: str
    tag: str
    where: str
    waits_for: str
    outside: bool
    """It waits for somebody or something outside the bench."""
    step: str
    """The step that waits."""
    idle_days: float
    """Since the last entry on it."""
    in_shop_days: float
    due: str
    overdue: bool


@dataclass(frozen=True)
class WaitingGroup:
    """All open jobs that wait for the same."""

    waits_for: str
    outside: bool
    jobs: int
    longest_days: float


def waiting_jobs(jobs: Sequence[OpenJob], now_s: float, today: date) -> tuple[WaitingJob, ...]:
    """Those that wait for somebody outside first, then the longest idle.

    Parameters
    ----------
    today : day in the shop's time zone.
    """
    found = [_waiting(job, now_s, today) for job in jobs]
    return tuple(sorted(found, key=lambda job: (not job.outside, -job.idle_days, job.tag)))


def waiting_groups(jobs: Sequence[WaitingJob]) -> tuple[WaitingGroup, ...]:
    """Who has how many jobs waiting, most first."""
    groups: dict[tuple[str, bool], list[WaitingJob]] = defaultdict(list)
    for job in jobs:
        groups[job.waits_for, job.outside].append(job)
    found = [
        WaitingGroup(name, outside, len(own), max(job.idle_days for job in own))
        for (name, outside), own in groups.items()
    ]
    return tuple(sorted(found, key=lambda g: (-g.jobs, -g.longest_days, g.waits_for)))


def waits_for(facts: JobFacts) -> tuple[str, bool, str]:
    """What an open job waits for, whether that is outside the bench, and the step that waits."""
    step = next_step(facts)
    title = step.title if step is not None else "Release"
    if facts.state == "waiting":
        return facts.waiting_for or "somebody (not said)", True, title
    if facts.cracks:
        return "a word on the crack", True, "Penetrant check"
    if step is None:
        return "release", False, title
    if step.name == "repair" and facts.decision == "both":
        return "the owner's answer", True, title
    if step.name == "penetrant" and facts.penetrant_running:
        return "penetrant clock", False, title
    if step.name == "hold" and not facts.rest_over and not facts.sweep_in_hand:
        return "rest before the hold check", False, title
    return _FOR[step.name], False, title


def _waiting(job: OpenJob, now_s: float, today: date) -> WaitingJob:
    what, outside, step = waits_for(job.facts)
    return WaitingJob(
        job.job_id,
        job.tag,
        job.where,
        what,
        outside,
        step,
        max(0.0, now_s - job.last_entry_s) / DAY_S,
        max(0.0, now_s - job.opened_s) / DAY_S,
        job.due,
        is_late(job.due, today),
    )
