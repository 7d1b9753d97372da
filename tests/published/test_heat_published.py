"""Heat against figures read elsewhere. Each row of `heat_rows.csv` names its source and how far to
trust it; rows from memory are not in it."""

from __future__ import annotations

import csv
from math import log
from pathlib import Path

import pytest

from core.straightening.heat_spots import SpotSize, ceiling_rad, settling_min

ROWS = list(csv.DictReader((Path(__file__).parent / "heat_rows.csv").open()))


def rows(quantity: str) -> list[dict[str, str]]:
    return [row for row in ROWS if row["quantity"] == quantity]


def test_no_row_is_from_memory() -> None:
    assert ROWS
    assert not [row for row in ROWS if "memory" in row["trust"]]


@pytest.mark.parametrize("row", rows("rise to first yield"), ids=lambda r: r["item"])
def test_a_spot_takes_nothing_out_below_the_rise_that_starts_to_yield(row: dict[str, str]) -> None:
    """Derived beside the table: rise = Sy / (E alpha), to a whole degree."""
    bar = {key: float(row[key]) for key in ("e_psi", "yield_psi", "expansion_per_f")}
    rise = float(row["value"])
    assert ceiling_rad(2.0, SpotSize(), rise_f=rise - 1, **bar) == pytest.approx(0.0, abs=1e-9)
    assert ceiling_rad(2.0, SpotSize(), rise_f=rise + 2, **bar) > 0


def test_rotation_is_in_proportion_to_the_rise_beyond_first_yield() -> None:
    """Printed of heated plates: rotation proportional to vee angle and growing with temperature."""
    bar = {"e_psi": 29e6, "yield_psi": 48e3, "expansion_per_f": 6.5e-6}
    start = 48e3 / 29e6 / 6.5e-6
    one, two = (ceiling_rad(2.0, SpotSize(), rise_f=start + r, **bar) for r in (300.0, 600.0))
    assert two == pytest.approx(2 * one)


@pytest.mark.parametrize("row", rows("quench time constant"), ids=lambda r: r["item"])
def test_settling_of_a_one_sided_bow_against_the_quench_constant(row: dict[str, str]) -> None:
    """Held cold at the surface: R^2 / (2.405^2 a); insulated and one-sided: R^2 / (1.841^2 a)."""
    diffusivity = float(row["mm2_s"]) / 25.4**2
    ratio = 60 * settling_min(float(row["diameter_in"]), diffusivity) / float(row["value"])
    assert ratio == pytest.approx((2.4048 / 1.8412) ** 2, rel=0.02)
    assert log(ratio) > 0
