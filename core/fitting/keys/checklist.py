"""The check list after the trial fit of a key: answer, who looked, note, kept with the job.

Each answer is a `JobChoice` of the subject 'key check'. A changed answer is a new row; the old one
stays in the book.
"""

from __future__ import annotations

from dataclasses import dataclass

from core.base.records import JobChoice
from core.fitting.keys.trial_checks import TRIAL_CHECKS, TrialCheck
from core.fitting.measured.measurements import MeasurementSet

KEY_CHECK = "key check"
ANSWERS = ("yes", "no")


@dataclass(frozen=True)
class Tick:
    """One line of the list as it is now."""

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
        answer = {"yes": self.check.good, "no": self.check.bad}.get(self.answer, "NOT LOOKED AT")
        by = f", {self.by}" if self.by else ""
        note = f": {self.note}" if self.note else ""
        return f"{self.check.name.capitalize()}: {answer}{by}{note}"


def ticks_of(figures: MeasurementSet) -> tuple[Tick, ...]:
    """The list of exactly the set that `figures` shows: after each fit it is answered again."""
    made = {
        one.name: one
        for one in figures.choices
        if one.subject == KEY_CHECK and one.set_no == figures.set_no
    }
    return tuple(_tick(check, made.get(check.name)) for check in TRIAL_CHECKS)


def _tick(check: TrialCheck, made: JobChoice | None) -> Tick:
    if made is None:
        return Tick(check)
    return Tick(check, made.value if made.value in ANSWERS else "", made.by, made.note, made.at)


def tick_lines(figures: MeasurementSet) -> list[str]:
    """The list in words, the answers that stop first."""
    ticks = ticks_of(figures)
    left = sum(not tick.answer for tick in ticks)
    if left == len(ticks):
        return ["Not looked at yet."]
    ordered = sorted(ticks, key=lambda tick: ("no", "", "yes").index(tick.answer))
    return [tick.words for tick in ordered]
