"""A typed figure understood, shown again, or asked about. Pure; inches inside."""

from __future__ import annotations

from dataclasses import dataclass

from core.base.errors import BadNumber
from core.base.records import Measurement
from core.base.units import (
    Unit,
    format_in_unit,
    format_length,
    format_mm,
    format_thou,
    parse_length_in,
    parse_number,
)
from core.fitting.measured.facts import FitFacts
from core.fitting.measured.measurements import SKIPPED, MeasurementRequest, number_of
from core.fitting.measured.unit_check import UnitDoubt

MOST_DIAL_IN = 1.0
"""No dial on this bench travels further."""
MOST_COUNT = 100.0


def unit_of(wanted: MeasurementRequest, facts: FitFacts) -> Unit:
    """The unit of a figure typed without one."""
    return facts.unit if wanted.kind == "dial" else facts.size_unit


def parse_figure(wanted: MeasurementRequest, text: str, facts: FitFacts) -> float | None:
    """Inches of what was typed; None for a per cent or a count, which is checked all the same.

    A size far too large is let through to be asked about, not refused. Raises BadNumber.
    """
    if wanted.kind == "share":
        parse_number(text, least=0, most=100, what=wanted.label)
        return None
    if wanted.kind == "count":
        parse_number(text, least=1, most=MOST_COUNT, what=wanted.label)
        return None
    if wanted.kind == "dial":
        return parse_length_in(
            text, unit_of(wanted, facts), least_in=-MOST_DIAL_IN, most_in=MOST_DIAL_IN,
            what=wanted.label,
        )  # fmt: skip
    return parse_length_in(
        text,
        unit_of(wanted, facts),
        least_in=wanted.least_in,
        most_in=wanted.most_in,
        what=wanted.label,
    )


def understood(wanted: MeasurementRequest, text: str, facts: FitFacts) -> str:
    """How a text would be understood while it is typed; empty when it is not a figure yet."""
    if not text.strip(" +-"):
        return ""
    try:
        value_in = parse_figure(wanted, text, facts)
    except BadNumber:
        return ""
    if value_in is None:
        return "= " + text.strip().rstrip("% ") + (" %" if wanted.kind == "share" else "")
    return "= " + size_text(wanted, value_in, facts, unit=True)


def size_text(
    wanted: MeasurementRequest, value_in: float, facts: FitFacts, *, unit: bool = False
) -> str:
    """A length in the unit it is read in: sizes to a tenth of a thou, dials as the shop reads."""
    shown_in = unit_of(wanted, facts)
    if shown_in == "mm":
        return format_mm(value_in, unit=unit)
    if shown_in == "thou":
        return format_thou(value_in, unit=unit)
    return format_length(value_in, unit=unit)


def cell_text(wanted: MeasurementRequest, one: Measurement | None, facts: FitFacts) -> str:
    """What the table shows for a figure."""
    if one is None:
        return "-"
    if one.raw == SKIPPED:
        return "left out"
    if wanted.kind in ("share", "count"):
        number = number_of(one.raw)
        shown = one.raw if number is None else f"{number:g}"
        return f"{shown} %" if wanted.kind == "share" else shown
    return one.raw if one.value_in is None else size_text(wanted, one.value_in, facts)


@dataclass(frozen=True)
class UnitQuestion:
    """A figure that is asked about before it is taken."""

    wanted: MeasurementRequest
    typed: str
    doubt: UnitDoubt

    @property
    def answers(self) -> tuple[str, ...]:
        """The numbered answers, from 1."""
        as_typed = f"{self.typed} is right: it measures {format_length(self.doubt.value_in)} here"
        again = "Neither: I measure it again"
        if self.doubt.likely_in is None:
            return (as_typed, again.replace("Neither", "No"))
        likely = format_length(self.doubt.likely_in)
        return (f"It is {likely}: typed in {self.doubt.unit}", as_typed, again)

    def answer(self, text: str) -> str:
        """'likely', 'as typed', 'again', or '' for a text that is no answer."""
        meanings: tuple[str, ...] = ("as typed", "again")
        if self.doubt.likely_in is not None:
            meanings = ("likely", *meanings)
        number = text.strip()
        if number.isdecimal() and len(number) == 1 and 1 <= int(number) <= len(meanings):
            return meanings[int(number) - 1]
        return ""


def ask_about(
    wanted: MeasurementRequest, typed: str, value_in: float | None
) -> UnitQuestion | None:
    """The question about a figure that may be in the wrong unit; None when it looks right."""
    doubt = None if value_in is None else wanted.doubt(value_in)
    return None if doubt is None else UnitQuestion(wanted, typed, doubt)


def length_text(value_in: float, facts: FitFacts) -> str:
    """A size in the unit in which the shop reads a mike."""
    return format_in_unit(value_in, facts.size_unit)
