"""The running penetrant clock in a few words for the top line of every screen, and its bells."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

from core.base.penetrant_records import PenetrantCheck
from core.base.units import in_shop_unit
from core.jobs.penetrant import bells_of, clock_of
from core.penetrant.clock import Clock

SECONDS_BELOW_S = 120.0
"""Time left is shown in seconds below this, in minutes above: then the line changes rarely."""
_STAGES = {
    "dwell": "dwell",
    "wipe": "WIPE OFF",
    "dry": "dry",
    "developing": "developer",
    "look": "LOOK NOW",
    "too late": "TOO LATE, again",
}


@dataclass(frozen=True)
class Running:
    """The check that needs attention first."""

    words: str
    """Such as `Penetrant 26-003: dwell 12 min`."""
    bells: tuple[tuple[str, datetime, str], ...]
    """(check, moment, what to say) of every bell to come of each running check."""


def running(checks: Iterable[tuple[str, PenetrantCheck]], now: datetime) -> Running | None:
    """The words for (tag, check) pairs that run; None when nothing runs."""
    clocks = [(tag, check, clock_of(check, now)) for tag, check in checks]
    if not clocks:
        return None
    tag, _, first = min(clocks, key=lambda item: _urgency(item[2]))
    words = f"Penetrant {tag}: {_STAGES.get(first.stage, first.stage)} {_left(first)}".strip()
    bells = tuple(
        (check.id, bell.at, f"{tag}, {in_shop_unit(check.area)}: {bell.say}")
        for tag, check, _ in clocks
        for bell in bells_of(check, now)
    )
    return Running(words, bells)


def _urgency(state: Clock) -> tuple[int, float]:
    """What must be done now comes first, then what is due soonest."""
    waiting = state.stage in ("dwell", "developing")
    left = state.seconds_left
    return (1 if waiting else 0, left if left is not None else float("inf"))


def _left(state: Clock) -> str:
    left = state.seconds_left
    if left is None or left <= 0:
        return ""
    if left < SECONDS_BELOW_S:
        return f"{left:.0f} s"
    return f"{left / 60:.0f} min"
