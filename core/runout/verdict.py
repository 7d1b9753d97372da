"""True, not true, or too close to call: a place's two figures and their intervals against a limit.

The figures are the full-turn TIR, which the dial shows, and its bend part, which straightening can
mend (`core.runout.station_result`). A place is true when both are inside the limit.

Decision rules after ISO 14253-1:2017 (uncertainty works against the party that proves) and
JCGM 106:2012 clause 8 (guard bands; both from memory): *guarded* acceptance calls a place true only
when the whole 95 % interval lies strictly under the limit, and not true only when it lies wholly
at or over it; the guard band is the half width of the interval, w = U. For the full-turn TIR the
guard band is smaller: it must be under the limit with a probability of `core.runout.swing.LIKELY`,
which keeps the share of wrong ones among the places called true under one in forty (global
consumer's risk, JCGM 106 clause 9.5; measured by tests/bench/verdicts). *Simple* acceptance
(JCGM 106 clause 8.2) compares the best estimate alone. Limits are strict: a TIR equal to
the limit is over it (common practice, no source).

Standard library only. `core.analysis.area_verdicts` applies this to the areas of a shaft.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

Rule = Literal["guarded", "simple"]
Word = Literal["true", "not true", "too close to call", "not measured"]

MOST_REPEATS = 4
"""More readings than this of one station are not worth asking for."""


@dataclass(frozen=True)
class Area:
    """A length of shaft with a TIR limit of its own."""

    name: str
    kind: str
    """'taper', 'bearing', 'shaft log', 'coupling' or 'between'."""
    from_in: float
    to_in: float
    limit_in: float | None = None
    """TIR limit, inches; None = the shop's default."""


@dataclass(frozen=True)
class Runout:
    """How far one place runs out, inches."""

    tir_in: float
    """Full-turn TIR: what the dial swings over a turn, ovality and lobes included."""
    low_in: float
    high_in: float
    """95 % interval of it."""
    likely_in: float
    """It is under this with a probability of `core.runout.swing.LIKELY`."""
    bend_tir_in: float
    """The part of it that bending causes."""
    bend_low_in: float
    bend_high_in: float
    """95 % interval of the bend part."""


@dataclass(frozen=True)
class Verdict:
    """What can be said of one area."""

    area: Area
    word: Word
    limit_in: float
    rule: Rule
    runout: Runout | None = None
    """Of the worst place; None when nothing was measured there."""
    station_in: float | None = None
    """Where the worst place is, inches."""
    settle: str = ""
    """Plain words: what would settle it. Empty when it is settled."""
    note: str = ""
    """Plain words: what else the person should know of this area."""
    read_in: float | None = None
    """Station not read so far whose reading would tell most, inches; None = none asked for."""

    @property
    def tir_in(self) -> float | None:
        """Full-turn TIR of the worst place, inches."""
        return None if self.runout is None else self.runout.tir_in

    @property
    def low_in(self) -> float | None:
        """Lower end of its 95 % interval, inches."""
        return None if self.runout is None else self.runout.low_in

    @property
    def high_in(self) -> float | None:
        """Upper end of its 95 % interval, inches."""
        return None if self.runout is None else self.runout.high_in

    @property
    def bend_tir_in(self) -> float | None:
        """Bend part of that TIR, inches."""
        return None if self.runout is None else self.runout.bend_tir_in


def judge(
    tir_in: float, low_in: float, high_in: float, limit_in: float, rule: Rule = "guarded"
) -> Word:
    """The word for one TIR (inches) with its 95 % interval against a limit (inches)."""
    if rule == "simple":
        return "true" if tir_in < limit_in else "not true"
    if high_in < limit_in:
        return "true"
    return "not true" if low_in >= limit_in else "too close to call"


def judge_bend(runout: Runout, limit_in: float, rule: Rule = "guarded") -> Word:
    """The word for the bend part alone: whether straightening has anything to mend."""
    figures = (runout.bend_tir_in, runout.bend_low_in, runout.bend_high_in)
    return judge(*figures, limit_in, rule)


def judge_swing(runout: Runout, limit_in: float, rule: Rule = "guarded") -> Word:
    """The word for the full-turn TIR alone: what the dial will show."""
    return judge(runout.tir_in, runout.low_in, runout.likely_in, limit_in, rule)


def judge_runout(runout: Runout, limit_in: float, rule: Rule = "guarded") -> Word:
    """The word for one place, by both figures: the worse of the two."""
    words = {judge_bend(runout, limit_in, rule), judge_swing(runout, limit_in, rule)}
    worst_first: tuple[Word, ...] = ("not true", "too close to call", "true")
    return next(word for word in worst_first if word in words)


def accept_under_in(limit_in: float, half_width_in: float) -> float:
    """Acceptance limit with guard band w = U (JCGM 106:2012 clause 8.3.2), inches, not below 0."""
    return max(0.0, limit_in - half_width_in)


def readings_to_settle(tir_in: float, low_in: float, high_in: float, limit_in: float) -> int | None:
    """How many readings of the place in all would settle it if the TIR stays; None = too many.

    The half width of the interval falls with the square root of the number of readings.
    """
    room = abs(limit_in - tir_in)
    half = (high_in - low_in) / 2
    if room <= 0 or half <= 0:
        return None
    times = math.ceil((half / room) ** 2 * 1.1)
    return max(2, times) if times <= MOST_REPEATS else None
