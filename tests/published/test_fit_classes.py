"""Fit classes: ANSI B4.1 rows against the printed fits, ISO 286 against another table.

Sources: ANSI B4.1-1967 in Machinery's Handbook 31st ed. Tables 8a, 10, 12 and 27th ed. p.663 Table
11. Hole and shaft limits and the printed fit are separate columns: one must give the other.
ISO 286: the package isofits 1.0 (its own table), both halves of each range.
"""

from __future__ import annotations

import isofits
import pytest

from core.base.errors import ShaftlogError
from core.fitting.coupling.fits import all_limits, class_limits
from core.tables.reader import read_table

ROWS = read_table("fits_b4_1")


def test_73_rows() -> None:
    assert len(ROWS) == 73
    assert sum(row["status"] == "published" for row in ROWS) == 52


@pytest.mark.parametrize("row", ROWS, ids=lambda r: f"{r['class']}-{r['to_incl_in']}")
def test_limits_reproduce_the_printed_fit(row) -> None:
    limits = class_limits(fit=row["class"], diameter_in=float(row["to_incl_in"]))
    assert limits.status == row["status"]
    assert limits.clearance_min_in * 1000 == pytest.approx(
        float(row["clearance_min_thou"]), abs=1e-9
    )
    assert limits.clearance_max_in * 1000 == pytest.approx(
        float(row["clearance_max_thou"]), abs=1e-9
    )


SPOT = [
    # class, diameter, hole upper, shaft upper, shaft lower, least, most clearance: thou, as printed
    ("LT1", 1.0, 0.8, 0.25, -0.25, -0.25, 1.05),
    ("LT3", 1.75, 1.0, 0.7, 0.1, -0.7, 0.9),
    ("LT6", 2.5, 1.2, 2.0, 0.8, -2.0, 0.4),
    ("LN1", 4.0, 0.9, 1.6, 1.0, -1.6, -0.1),
    ("LN2", 2.0, 1.2, 2.1, 1.4, -2.1, -0.2),
    ("LN3", 1.5, 1.0, 2.0, 1.4, -2.0, -0.4),
    ("FN1", 0.8, 0.5, 1.1, 0.7, -1.1, -0.2),
    ("FN2", 2.0, 1.2, 2.7, 2.0, -2.7, -0.8),
    ("FN3", 3.0, 1.2, 3.7, 3.0, -3.7, -1.8),
]


@pytest.mark.parametrize(("fit", "size", "hole", "upper", "lower", "least", "most"), SPOT)
def test_rows_as_printed(fit, size, hole, upper, lower, least, most) -> None:
    limits = class_limits(fit=fit, diameter_in=size)
    assert limits.hole_high_in * 1000 == pytest.approx(hole)
    assert limits.shaft_high_in * 1000 == pytest.approx(upper)
    assert limits.shaft_low_in * 1000 == pytest.approx(lower)
    assert limits.clearance_min_in * 1000 == pytest.approx(least)
    assert limits.clearance_max_in * 1000 == pytest.approx(most)


@pytest.mark.parametrize("fit", ["LC1", "LC2", "LC3", "LC4"])
def test_clearance_classes_start_at_zero(fit: str) -> None:
    """Location clearance: shaft upper limit 0, derived from grade widths."""
    for limits in all_limits():
        if limits.fit == fit:
            assert limits.clearance_min_in == 0
            assert not limits.printed


SIZES_MM = {30: (24, 30), 50: (40, 50), 80: (65, 80), 120: (100, 120)}


@pytest.mark.parametrize("shaft", ["h6", "k6", "m6", "n6", "p6"])
@pytest.mark.parametrize("top", SIZES_MM)
def test_iso_limits_equal_the_other_table(shaft: str, top: int) -> None:
    for size in SIZES_MM[top]:
        limits = class_limits(fit=f"H7/{shaft}", diameter_in=size / 25.4)
        for ours, body, grade, side in (
            (limits.hole_high_in, "hole", "H7", "upper"),
            (limits.hole_low_in, "hole", "H7", "lower"),
            (limits.shaft_high_in, "shaft", shaft, "upper"),
            (limits.shaft_low_in, "shaft", shaft, "lower"),
        ):
            theirs = isofits.isotol(body, size, grade, side)
            assert ours * 25400 == pytest.approx(float(theirs), abs=1e-6), (size, grade, side)


@pytest.mark.parametrize("row", read_table("iso_286"), ids=lambda r: r["to_incl_mm"])
def test_iso_grades_follow_the_standard_tolerance_unit(row) -> None:
    """IT6, IT7, IT8 = 10 i, 16 i, 25 i with i = 0.45 D^(1/3) + 0.001 D (ISO 286-1, from memory)."""
    mean = (float(row["over_mm"]) * float(row["to_incl_mm"])) ** 0.5
    unit = 0.45 * mean ** (1 / 3) + 0.001 * mean
    for column, times in (("it6_um", 10), ("it7_um", 16), ("it8_um", 25)):
        assert float(row[column]) == pytest.approx(times * unit, abs=0.51)


@pytest.mark.parametrize(
    ("fit", "size"), [("FN3", 0.8), ("FN3", 4.0), ("LT1", 6.0), ("H7/k6", 0.5), ("ZZ9", 1.0)]
)
def test_sizes_and_classes_without_figures_are_refused(fit: str, size: float) -> None:
    with pytest.raises(ShaftlogError):
        class_limits(fit=fit, diameter_in=size)
