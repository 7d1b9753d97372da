"""The check list after the trial fit of a key: answer, who looked, note, kept with the job.

Each answer is a measurement of the subject 'key check', its raw text such as
``yes, J. Marlow: burr dressed``. Append-only: a changed answer takes the place of the old one.
"""

from __future__ import annotations

from dataclasses import dataclass

from core.fitting.keys.trial_checks import TRIAL_CHECKS, TrialCheck
from core.fitting.measured.measurements import MeasurementSet

SUBJECT = "key check"
ANSWERS = ("yes", "no")


@dataclass(frozen=True)
class Tick:
    """One line of the list as it stands."""

    check: TrialCheck
    answer: str = ""
    """'yes', 'no' or '' = not looked at."""
    by: str = ""
    note: str = ""
    at: str = ""
    """When it was entered, as stored."""

    @property
    def words(self) -> str:
        """The line for screen and ticket, without the time."""
        answer = self.answer.upper() if self.answer else "NOT LOOKED AT"
        by = f", {self.by}" if self.by else ""
        note = f": {self.note}" if self.note else ""
        return f"{self.check.name.capitalize()}: {answer}{by}{note}"


def tick_text(answer: str, by: str, note: str) -> str:
    """The raw text that is stored."""
    name = " ".join(by.replace(":", " ").split())
    head = f"{answer}, {name}" if name else answer
    return f"{head}: {note.strip()}" if note.strip() else head


def tick_of(check: TrialCheck, raw: str, at: str) -> Tick:
    """A line from its stored text."""
    head, _, note = raw.partition(":")
    answer, _, by = head.partition(",")
    known = answer.strip() if answer.strip() in ANSWERS else ""
    return Tick(check, known, by.strip(), note.strip(), at)


def ticks_of(figures: MeasurementSet) -> tuple[Tick, ...]:
    """The list of exactly the set that `figures` is seen from: a new fit is looked at anew."""
    found = []
    for check in TRIAL_CHECKS:
        one = figures.at((SUBJECT, check.name, None, None))
        found.append(Tick(check) if one is None else tick_of(check, one.raw, one.taken_at))
    return tuple(found)


def tick_lines(figures: MeasurementSet) -> list[str]:
    """The list in words, the answers that stop first."""
    ticks = ticks_of(figures)
    left = sum(not tick.answer for tick in ticks)
    if left == len(ticks):
        return ["Not looked at yet."]
    ordered = sorted(ticks, key=lambda tick: ("no", "", "yes").index(tick.answer))
    return [tick.words for tick in ordered]
