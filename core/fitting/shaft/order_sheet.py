"""Parts to offer the owner, and the order sheet for a replacement shaft, from the figures of a job.

An offered part is a measurement of the subject 'parts': its raw text is the price, '0' = offered
with the price still open, '' = not offered.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from core.base.text import one_line
from core.base.units import format_length
from core.fitting.coupling.bore_job import diameters
from core.fitting.measured.facts import FitFacts
from core.fitting.measured.measurements import MOST_SETS, MeasurementSet, number_of
from core.fitting.shaft.ends import FIGURES
from core.fitting.shaft.ends_job import (
    END,
    EXTRAS,
    SHAFT_DIAMETER,
    SHAFT_LENGTH,
    measured_end,
    standard_of,
)
from core.fitting.shaft.parts import OPEN, OfferedPart, OrderLine, order_sheet, parts_to_offer

PARTS = "parts"
FROM_INTAKE = "from the intake: measure before ordering"
SHEET_WIDTH = 76
"""Columns of the sheet: any printer, any screen."""


@dataclass(frozen=True)
class Offer:
    """One part and whether it is offered."""

    part: OfferedPart
    price: float | None
    """None = not offered; 0 = offered, price open."""

    @property
    def words(self) -> str:
        """The line for a note or a quote."""
        price = "price to be asked" if not self.price else f"{self.price:,.2f}"
        return f"{self.part.name} ({self.part.size}): {price}"


def offers_of(figures: MeasurementSet, facts: FitFacts) -> tuple[Offer, ...]:
    """All parts that belong to this shaft, each with what was decided."""
    latest = figures.of_set(MOST_SETS)
    standard = standard_of(latest, facts)[0]
    diameter_in = latest.length_in(END, SHAFT_DIAMETER) or facts.diameter_in
    found = []
    for part in parts_to_offer(standard=standard, diameter_in=diameter_in):
        raw = latest.word(PARTS, part.name)
        found.append(Offer(part, number_of(raw) if raw.strip() else None))
    return tuple(found)


def offer_text(offers: tuple[Offer, ...]) -> str:
    """The offered parts as a note; empty when none is offered."""
    lines = [f"- {offer.words}" for offer in offers if offer.price is not None]
    return "\n".join(["Parts offered to the owner:", *lines]) if lines else ""


def order_lines(figures: MeasurementSet, facts: FitFacts) -> tuple[OrderLine, ...]:
    """The order sheet: measured figures as they are, all others marked."""
    latest = figures.of_set(MOST_SETS)
    known = {
        SHAFT_DIAMETER: _length(latest, END, SHAFT_DIAMETER),
        SHAFT_LENGTH: _length(latest, END, SHAFT_LENGTH),
        "coupling seat diameter": _seat(latest),
        "coupling keyway width": _widths(latest),
        "coupling keyway length": _length(latest, "shaft keyway", "length"),
    }
    lines = order_sheet(
        known={name: text for name, text in known.items() if text},
        measured=measured_end(latest),
        standard=standard_of(latest, facts)[0],
    )
    intake = {
        SHAFT_DIAMETER: format_length(facts.diameter_in),
        SHAFT_LENGTH: format_length(facts.length_in, 2),
        "material": one_line(" ".join((facts.material, facts.condition)).strip()),
    }
    filled = tuple(_from_intake(line, intake.get(line.what, "")) for line in lines)
    return (*filled, *(_extra(latest, what) for what in EXTRAS))


def _from_intake(line: OrderLine, text: str) -> OrderLine:
    """An open line with what was written down at the intake, marked as not measured."""
    if line.verified or not text or line.value:
        return line
    remark = "from the intake: ask the owner" if line.what == "material" else FROM_INTAKE
    return replace(line, value=text, remark=remark)


def _extra(figures: MeasurementSet, what: str) -> OrderLine:
    text = _length(figures, END, what)
    return OrderLine(what, text, bool(text), "measured" if text else OPEN)


def _length(figures: MeasurementSet, subject: str, what: str) -> str:
    value = figures.length_in(subject, what)
    return "" if value is None else format_length(value)


def _seat(figures: MeasurementSet) -> str:
    """The seat from the smallest to the largest diameter measured."""
    read = [r.value_in for r in diameters(figures, "seat")]
    return f"{format_length(min(read), unit=False)} to {format_length(max(read))}" if read else ""


def _widths(figures: MeasurementSet) -> str:
    found = [m.value_in for m in figures.all_of("shaft keyway", "width") if m.value_in is not None]
    return (
        f"{format_length(min(found), unit=False)} to {format_length(max(found))}" if found else ""
    )


FOOT = (
    "Figures marked (?) were NOT measured on this shaft: measure or ask first.",
    "The rules of the class society and of licensed people come before this sheet.",
)


def order_text(figures: MeasurementSet, facts: FitFacts, heading: str) -> str:
    """The order sheet as plain text for any printer, 80 columns wide."""
    rule = "-" * SHEET_WIDTH
    lines = [f"ORDER SHEET FOR A REPLACEMENT SHAFT   {one_line(heading)}"[:SHEET_WIDTH], rule]
    for line in order_lines(figures, facts):
        if line.what == FIGURES[0]:
            lines += ["", "Propeller end"]
        lines += _wrapped(line)
    return "\n".join([*lines, rule, *FOOT, ""])


def _wrapped(line: OrderLine) -> list[str]:
    """A line, its remark below it when both together are too wide."""
    if len(line.text) <= SHEET_WIDTH:
        return [line.text]
    short = replace(line, remark="").text.rstrip()
    return [short, f"{'':<26}{line.remark}"[:SHEET_WIDTH]]
