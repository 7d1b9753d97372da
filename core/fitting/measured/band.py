"""A measured clearance against a band: right, too tight, too loose, or too close to call.

Clearance is positive, interference negative. *Guarded* (ISO 14253-1): a verdict only when the
figures clear the limit by the measuring uncertainty. *Simple*: the measured figures alone.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from core.base.errors import ShaftlogError
from core.base.units import format_dial

BandWord = Literal[
    "right",
    "not right",
    "too tight",
    "too loose",
    "tight and loose",
    "too close to call",
    "not measured",
    "in doubt",
]
Rule = Literal["guarded", "simple"]
_EPS_IN = 1e-9


@dataclass(frozen=True)
class Band:
    """What a clearance may be, inches; interference negative."""

    least_in: float
    most_in: float
    name: str
    status: str = "shop setting"
    source: str = "shop setting"

    def __post_init__(self) -> None:
        if not (math.isfinite(self.least_in) and math.isfinite(self.most_in)):
            raise ShaftlogError("A band needs two numbers: least and most clearance.")
        if self.least_in > self.most_in:
            raise ShaftlogError(
                f"The band {self.name} is upside down: least {format_dial(self.least_in)} is above "
                f"most {format_dial(self.most_in)}. Swap them; interference is negative."
            )

    @property
    def middle_in(self) -> float:
        """Middle of the band: what a repair aims at."""
        return (self.least_in + self.most_in) / 2


@dataclass(frozen=True)
class BandVerdict:
    """The word, and a sentence a machinist can act on."""

    word: BandWord
    words: str


NOT_MEASURED = BandVerdict("not measured", "not measured: cannot say")
IN_DOUBT = BandVerdict("in doubt", "a figure may be in the wrong unit: answer that first")


def clearance_words(value_in: float) -> str:
    """'0.8 thou clearance', '1.2 thou interference' or 'line to line'."""
    if abs(value_in) < 0.00005:
        return "line to line"
    kind = "clearance" if value_in > 0 else "interference"
    return f"{format_dial(abs(value_in))} {kind}"


def judge_band(
    *, least_in: float, most_in: float, band: Band, u95_in: float, rule: Rule = "guarded"
) -> BandVerdict:
    """Least and most clearance, inches, against a band, with 95 % uncertainty `u95_in`.

    Source: decision rule of ISO 14253-1 (from memory), guard band w = U.
    """
    guard = u95_in if rule == "guarded" else 0.0
    tight_by, loose_by = band.least_in - least_in, most_in - band.most_in
    tight, loose = tight_by > guard + _EPS_IN, loose_by > guard + _EPS_IN
    if tight and loose:
        return BandVerdict(
            "tight and loose",
            f"{format_dial(tight_by)} too tight at one place, {format_dial(loose_by)} too loose at "
            "another: out of round or tapered, no single cut cures it",
        )
    if tight:
        return BandVerdict("too tight", f"too tight by {format_dial(tight_by)} for {band.name}")
    if loose:
        return BandVerdict("too loose", f"too loose by {format_dial(loose_by)} for {band.name}")
    if max(tight_by, loose_by) > _EPS_IN - guard:
        side = "tight" if tight_by > loose_by else "loose"
        inside = "inside" if max(tight_by, loose_by) <= _EPS_IN else "outside"
        return BandVerdict(
            "too close to call",
            f"measures {inside} {band.name} on the {side} side, by less than the measuring "
            f"uncertainty of {format_dial(u95_in)}: measure again with a finer gauge or a plug",
        )
    return BandVerdict("right", f"right for {band.name}")
