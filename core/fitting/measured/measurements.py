"""The measured figures of one job as they stand in one set, and the order in which they are read.

Set 1 is as received, set 2 after the first work, and so on. What was not measured again in a later
set counts from the set before: bore, seat, key and each keyway count as a whole (a bore that
was honed is measured again at every place), everything else figure by figure. Pure; inches.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from core.base.errors import ShaftlogError
from core.base.records import JobChoice, Measurement
from core.base.units import parse_number
from core.fitting.measured.unit_check import UnitDoubt, unit_doubt

SKIPPED = "*"
"""Raw text of a figure that cannot be measured or is left out."""
WHOLE = ("bore", "seat", "face", "pilot", "key", "shaft keyway", "hub keyway")
"""Subjects that are measured again as a whole."""
MOST_SETS = 9

Key = tuple[str, str, float | None, float | None]
"""Subject, what, depth in inches, clock in degrees: the place of one figure."""


def set_name(set_no: int) -> str:
    """'set 1, as received', 'set 2, after work'."""
    return f"set {set_no}, {'as received' if set_no == 1 else 'after work'}"


@dataclass(frozen=True)
class MeasurementRequest:
    """One figure to be measured."""

    subject: str
    what: str
    label: str
    """As asked for at the bench: 'Bore at 0.50 in, clock 90'."""
    depth_in: float | None = None
    clock_deg: float | None = None
    kind: str = "size"
    """'size' (mike or rule), 'dial' (a dial reading), 'share' (per cent) or 'count'."""
    near_in: float | None = None
    """Size it should be near, inches; a figure far from it is asked about. None = anything goes."""
    stray: float = 0.05
    """How far from `near_in`, share of it, is still likely."""
    optional: bool = False
    """Passed over when walking from figure to figure."""
    hint: str = ""
    """How to measure it."""
    part: str = ""
    """Figures of one part follow each other; empty = the subject is the part."""
    least_in: float = 0.0005
    most_in: float = 9_999.0

    @property
    def key(self) -> Key:
        """Its place."""
        return (self.subject, self.what, self.depth_in, self.clock_deg)

    def doubt(self, value_in: float) -> UnitDoubt | None:
        """A question about a figure that may be in the wrong unit, or of another job."""
        if self.kind != "size" or self.near_in is None:
            return None
        return unit_doubt(value_in, self.near_in, stray_share=self.stray)


@dataclass(frozen=True)
class MeasurementSet:
    """The measurements of a job that stand, seen from one set."""

    taken: tuple[Measurement, ...]
    """In the order taken; all sets."""
    set_no: int = 1
    choices: tuple[JobChoice, ...] = ()
    """Set-ups, parts offered and answers of the job; of all sets."""

    def of_set(self, set_no: int) -> MeasurementSet:
        """The same job seen from another set."""
        return replace(self, set_no=set_no)

    def last_set(self, *subjects: str) -> int:
        """The newest set that holds a figure of these subjects; 1 when there is none."""
        return max((m.set_no for m in self.taken if m.subject in subjects), default=1)

    def set_of(self, subject: str) -> int | None:
        """The newest set, not after this one, in which a subject was measured; None = in none."""
        sets = [
            m.set_no
            for m in self.taken
            if m.subject == subject and m.set_no <= self.set_no and m.raw != SKIPPED
        ]
        return max(sets, default=None)

    def all_of(self, subject: str, what: str = "") -> tuple[Measurement, ...]:
        """The figures of a subject that stand in this set, as measured; skipped ones left out."""
        at = self.set_of(subject)
        return tuple(
            m
            for m in self.taken
            if m.subject == subject
            and m.raw != SKIPPED
            and (m.set_no == at if subject in WHOLE else m.set_no <= self.set_no)
            and what in ("", m.what)
        )

    def find(self, subject: str, what: str) -> Measurement | None:
        """The newest figure of this name in force."""
        found = self.all_of(subject, what)
        return max(found, key=lambda m: (m.set_no, m.taken_at, m.id), default=None)

    def choice(self, subject: str, name: str) -> JobChoice | None:
        """The choice of this name that counts in this set."""
        found = [
            one
            for one in self.choices
            if (one.subject, one.name) == (subject, name) and one.set_no <= self.set_no
        ]
        return max(found, key=lambda one: one.set_no, default=None)

    def length_in(self, subject: str, what: str) -> float | None:
        """A length, inches; None = neither measured nor chosen."""
        chosen = self.choice(subject, what)
        if chosen is not None:
            return chosen.number
        found = self.find(subject, what)
        return None if found is None else found.value_in

    def number(self, subject: str, what: str) -> float | None:
        """A figure that is no length (per cent, a count): read from the text typed."""
        chosen = self.choice(subject, what)
        if chosen is not None:
            return number_of(chosen.value) if chosen.number is None else chosen.number
        found = self.find(subject, what)
        return None if found is None else number_of(found.raw)

    def word(self, subject: str, what: str, otherwise: str = "") -> str:
        """A choice that was made, such as the kind of bore."""
        chosen = self.choice(subject, what)
        if chosen is not None:
            return chosen.value
        found = self.find(subject, what)
        return otherwise if found is None else found.raw

    def at(self, key: Key) -> Measurement | None:
        """The row of exactly this set at a place (also when it was skipped)."""
        return next((m for m in self.taken if m.set_no == self.set_no and key_of(m) == key), None)

    def is_done(self, wanted: MeasurementRequest) -> bool:
        """Whether a figure is dealt with in this set: what is measured as a whole is measured again
        in each set, the rest carries over."""
        if wanted.subject in WHOLE:
            return self.at(wanted.key) is not None
        return self.stands_at(wanted.key) is not None

    def stands_at(self, key: Key) -> Measurement | None:
        """The row that counts at a place: of this set, else of the last set that has it."""
        own = self.at(key)
        if own is not None:
            return own
        found = [m for m in self.all_of(key[0], key[1]) if key_of(m) == key]
        return max(found, key=lambda m: m.set_no, default=None)


def key_of(measurement: Measurement) -> Key:
    """The place of a measurement."""
    return (
        measurement.subject,
        measurement.what,
        measurement.depth_in,
        measurement.clock_deg,
    )


def number_of(raw: str) -> float | None:
    """The number in a stored text; None when there is none."""
    try:
        return parse_number(raw.rstrip("% "))
    except ShaftlogError:
        return None


def next_open(
    wanted: Sequence[MeasurementRequest], figures: MeasurementSet, after: int = -1
) -> int | None:
    """Index of the next figure not measured in this set, looking on from `after` and round.

    None = nothing is open.
    """
    count = len(wanted)
    for step in range(1, count + 1):
        index = (after + step) % count
        if not wanted[index].optional and not figures.is_done(wanted[index]):
            return index
    return None


def counts(wanted: Sequence[MeasurementRequest], figures: MeasurementSet) -> tuple[int, int]:
    """How many of the figures asked for are dealt with in this set, and how many there are."""
    asked = [w for w in wanted if not w.optional]
    return sum(figures.is_done(w) for w in asked), len(asked)


def places_of(
    figures: MeasurementSet,
    subject: str,
    what: str,
    chosen: Sequence[float],
    usual: Sequence[float],
) -> tuple[float | None, ...]:
    """Depths to ask for: those chosen and those already measured.

    Where nothing was chosen the usual ones are asked for, unless it was measured elsewhere.
    """
    found = {m.depth_in for m in figures.all_of(subject, what)}
    if chosen or found <= set(usual):
        found |= set(chosen or usual)
    depths = sorted(d for d in found if d is not None)
    return (*depths, None) if None in found else tuple(depths)


def number_list(text: str) -> tuple[float, ...]:
    """The numbers of a list as stored: '0.5, 2, 3.5'; rising, each once."""
    parts = text.replace(";", " ").replace(",", " ").split()
    return tuple(sorted({n for n in (number_of(part) for part in parts) if n is not None}))
