"""True, not true, or too close to call: a TIR and its interval against a limit.

Decision rules after ISO 14253-1:2017 (uncertainty works against the party that proves) and
JCGM 106:2012 clause 8 (guard bands; both from memory): *guarded* acceptance calls a place true only
when the whole 95 % interval lies strictly under the limit, and not true only when it lies wholly
at or over it; the guard band is the half width of the interval, w = U. *Simple* acceptance
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

DEFAULT_LIMIT_IN = 0.002
"""TIR limit everywhere (common practice, no source)."""
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
class Verdict:
    """What can be said of one area."""

    area: Area
    word: Word
    limit_in: float
    rule: Rule
    tir_in: float | None = None
    """TIR of the worst place, inches; None when nothing was measured there."""
    low_in: float | None = None
    high_in: float | None = None
    """95 % interval of that TIR, inches."""
    station_in: float | None = None
    """Where the worst place is, inches."""
    settle: str = ""
    """Plain words: what would settle it. Empty when it is settled."""
    note: str = ""
    """Plain words: what else the person should know of this area."""


def judge(
    tir_in: float, low_in: float, high_in: float, limit_in: float, rule: Rule = "guarded"
) -> Word:
    """The word for one TIR (inches) with its 95 % interval against a limit (inches)."""
    if rule == "simple":
        return "true" if tir_in < limit_in else "not true"
    if high_in < limit_in:
        return "true"
    return "not true" if low_in >= limit_in else "too close to call"


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
