"""Limits of the fit classes a shop may choose for a coupling: ANSI B4.1 and ISO 286.

Clearance is positive, interference negative. Limits of a class are deviations from the basic
size, inches. Every class carries the status of its figures: some rows are from memory, and the
screens and the ticket say so. A diameter or class that is not in the tables is refused, never
extrapolated.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cache

from core.base.errors import ShaftlogError
from core.base.units import MM_PER_IN, format_length, length_unit
from core.fitting.measured.band import Band
from core.tables.reader import Row, number, read_table

ROUNDING_IN = 1e-9
"""A typed 50 mm and the table's 50 mm may differ in the last digit of a float."""
ISO_SHAFTS = ("h6", "k6", "m6", "n6", "p6")


@dataclass(frozen=True)
class FitLimits:
    """One class of fit at one diameter. Deviations from the basic size, inches."""

    fit: str
    """'LT3', 'FN1', 'H7/k6', ..."""
    standard: str
    over_in: float
    to_incl_in: float
    """Diameters this row holds for: over .. up to and including."""
    hole_grade: str
    shaft_grade: str
    hole_low_in: float
    hole_high_in: float
    shaft_low_in: float
    shaft_high_in: float
    status: str
    """'published', 'derived ...' or 'from memory ...'."""
    source: str

    @property
    def clearance_min_in(self) -> float:
        """Least clearance (smallest hole, largest shaft); negative = interference."""
        return self.hole_low_in - self.shaft_high_in

    @property
    def clearance_max_in(self) -> float:
        """Most clearance (largest hole, smallest shaft); negative = interference."""
        return self.hole_high_in - self.shaft_low_in

    @property
    def printed(self) -> bool:
        """True when the row was read in print; False = show its status beside the figures."""
        return self.status == "published"


def _b4_1(row: Row) -> FitLimits:
    def thou(column: str) -> float:
        return float(row[column]) / 1000

    return FitLimits(
        fit=row["class"],
        standard="ANSI B4.1",
        over_in=float(row["over_in"]),
        to_incl_in=float(row["to_incl_in"]),
        hole_grade=row["hole_grade"],
        shaft_grade=row["shaft_grade"],
        hole_low_in=thou("hole_lower_thou"),
        hole_high_in=thou("hole_upper_thou"),
        shaft_low_in=thou("shaft_lower_thou"),
        shaft_high_in=thou("shaft_upper_thou"),
        status=row["status"],
        source=row["source"],
    )


def _iso_286(row: Row, shaft: str) -> FitLimits:
    def micron(column: str) -> float:
        return float(row[column]) / 1000 / MM_PER_IN

    return FitLimits(
        fit=f"H7/{shaft}",
        standard="ISO 286-2",
        over_in=float(row["over_mm"]) / MM_PER_IN,
        to_incl_in=float(row["to_incl_mm"]) / MM_PER_IN,
        hole_grade="H7",
        shaft_grade=shaft,
        hole_low_in=0.0,
        hole_high_in=micron("it7_um"),
        shaft_low_in=micron(f"{shaft}_lower_um"),
        shaft_high_in=micron(f"{shaft}_upper_um"),
        status=row["status"],
        source=row["source"],
    )


@cache
def all_limits() -> tuple[FitLimits, ...]:
    """Every row of both tables."""
    inch = [_b4_1(row) for row in read_table("fits_b4_1")]
    metric = [_iso_286(row, shaft) for shaft in ISO_SHAFTS for row in read_table("iso_286")]
    return (*inch, *metric)


def fit_names() -> tuple[str, ...]:
    """Names of all classes, in table order: 'LT1' .. 'LC4', 'H7/h6' .. 'H7/p6'."""
    return tuple(dict.fromkeys(limits.fit for limits in all_limits()))


def class_limits(*, fit: str, diameter_in: float) -> FitLimits:
    """Limits of one class at one diameter.

    Parameters
    ----------
    fit : class name, such as ``"LC2"`` or ``"H7/k6"``; small and capital letters alike.
    diameter_in : basic size, inches.

    Raises
    ------
    ShaftlogError : no such class, or the table has no row for this diameter.

    References
    ----------
    ANSI B4.1-1967 tables 8a to 12 as reprinted in Machinery's Handbook, 27th and 31st ed.;
    ISO 286-2 (from memory, equal to a second table).
    """
    known = {name.lower(): name for name in fit_names()}
    name = known.get(fit.strip().lower())
    if name is None:
        raise ShaftlogError(
            f"There is no fit class '{fit}' in the tables. Choose one of: {', '.join(fit_names())}."
        )
    if not math.isfinite(diameter_in) or diameter_in <= 0:
        raise ShaftlogError("A fit class needs a diameter above zero. Type the basic size.")
    rows = [limits for limits in all_limits() if limits.fit == name]
    for limits in rows:
        if limits.over_in < diameter_in - ROUNDING_IN <= limits.to_incl_in:
            return limits
    low = min(limits.over_in for limits in rows)
    high = max(limits.to_incl_in for limits in rows)
    raise ShaftlogError(
        f"No figures for {name} at {format_length(diameter_in)}: the table runs from "
        f"{format_length(low, 2, unit=False)} to {format_length(high, 2)}. Use the shop's own band "
        "instead."
    )


def class_band(*, fit: str, diameter_in: float) -> Band:
    """One class as a band of clearance; its name says so when the figures are not from print."""
    limits = class_limits(fit=fit, diameter_in=diameter_in)
    memory = "" if limits.printed else f" ({limits.status})"
    return Band(
        limits.clearance_min_in,
        limits.clearance_max_in,
        f"{limits.standard} {limits.fit}{memory}",
        limits.status,
        limits.source,
    )


@dataclass(frozen=True)
class FitPractice:
    """One trade opinion on how a coupling should fit; the opinions contradict each other."""

    name: str
    band: Band | None
    """None where the source gives no figures."""
    text: str
    status: str
    source: str


def coupling_practices() -> tuple[FitPractice, ...]:
    """What the trade says of straight-bore couplings; the shop chooses."""
    found = []
    for row in read_table("coupling_fit_practice"):
        least, most = number(row, "clearance_min_in"), number(row, "clearance_max_in")
        band = None
        if least is not None and most is not None:
            band = Band(least, most, f"{row['name']} fit", row["status"], row["source"])
        found.append(FitPractice(row["name"], band, row["text"], row["status"], row["source"]))
    return tuple(found)


def practice_words() -> str:
    """That the trade does not agree on the clearance of a straight bore."""
    usual = "0.013 to 0.025 mm" if length_unit() == "mm" else "0.0005 to 0.001 in"
    return (
        f"Trade sources contradict each other on a straight bore: {usual} of clearance, or a "
        "light drive fit. The band is the shop's own setting; the maker's figure comes first."
    )
