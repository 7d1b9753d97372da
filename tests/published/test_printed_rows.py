"""The tables carried with the program, or kept here, equal a second copy of print, cell by cell.

Sources: ANSI B17.1-1967 Tables 1 to 3, ANSI B4.1-1967, SAE J755 (one-page scan), a propeller
maker's order sheet, the pressure factor table, the material tables (cells printed in the units
carried); each row's own source stands in the table. Rows and threads known from memory alone are
left out. `printed_rows.csv` was taken from the collected figures by another program than the tables
were.
"""

from __future__ import annotations

import csv
import math
from itertools import groupby
from pathlib import Path

import pytest

from core.fitting.coupling.bore_repair import remedies
from core.fitting.coupling.bore_shape import DiameterReading, measure_part
from core.fitting.coupling.press_fit import press_fit
from core.fitting.coupling.warm_fit import slip_on_heat
from core.fitting.measured.band import Band
from core.tables.reader import number
from tests.published.printed_tables import printed_table

PRINTED = list(csv.DictReader(Path(__file__).with_name("printed_rows.csv").open(encoding="utf-8")))
TABLES = {name: list(cells) for name, cells in groupby(PRINTED, key=lambda cell: cell["table"])}


@pytest.mark.parametrize("name", TABLES)
def test_every_printed_cell_is_carried(name: str) -> None:
    rows = printed_table(name)
    for cell in TABLES[name]:
        carried = number(rows[int(cell["row"])], cell["column"])
        assert carried == pytest.approx(float(cell["printed"]), abs=1e-9), cell


def test_bronze_hub_on_a_steel_shaft_by_hand() -> None:
    """Lame (Shigley 9th ed. eq. 7-39) by other steps: each part's radial growth under 1 psi, added.

    2 in solid steel shaft, 4 in bronze hub, 1.5 thou interference, 3 in long; torque of 40 hp at
    600 rpm = 63025 x 40 / 600.
    """
    hub_growth = 1.0 / 16e6 * ((2.0**2 + 1.0**2) / (2.0**2 - 1.0**2) + 0.34)
    shaft_growth = 1.0 / 28e6 * (1 - 0.29)
    pressure = (0.0015 / 2) / (hub_growth + shaft_growth)
    torque = 0.12 * pressure * (2 * math.pi * 1.0 * 3.0) * 1.0
    fit = press_fit(
        diameter_in=2.0, hub_outside_in=4.0, interference_in=0.0015, hub_e_psi=16e6,
        shaft_e_psi=28e6, hub_poisson=0.34, shaft_poisson=0.29, length_in=3.0,
        engine_torque_lbf_in=63025 * 40 / 600, friction_low=0.12, friction_high=0.12,
    )  # fmt: skip
    assert fit.pressure_psi == pytest.approx(pressure, rel=1e-9)
    assert fit.torque_lbf_in == pytest.approx((torque, torque), rel=1e-9)
    assert torque > 63025 * 40 / 600
    assert "holds the engine's torque" in fit.torque_words


def test_heat_for_a_slip_on_by_hand() -> None:
    """1.5 thou and 2 thou of room on 2 in at 10e-6 per F: 0.0035 / (2 x 10e-6) = 175 F rise."""
    heat = slip_on_heat(
        diameter_in=2.0, interference_in=0.0015, hub_expansion_per_f=10e-6, ambient_f=70,
        slip_clearance_in=0.002,
    )  # fmt: skip
    assert heat.heat_to_f == pytest.approx(245, abs=0.01)


def test_sleeve_and_plating_of_a_loose_coupling_by_hand() -> None:
    """Bore 2.004, seat 1.998, band 0 to 1 thou (common practice, no source): to the middle of it.

    Bore to 1.9985; sleeve outside 2.004 + 2 x 0.125; plate (2.004 - 0.0005 - 1.998) / 2 a side.
    """

    def part(what: str, size_in: float) -> object:
        return measure_part(
            what, [DiameterReading(d, c, size_in) for d in (0.5, 3) for c in (0, 1.57)], 0.0002
        )

    ways = {
        way.name: way
        for way in remedies(
            bore=part("bore", 2.004), seat=part("seat", 1.998), band=Band(0, 0.001, "shop"),
            hub_outside_in=4.0,
        )
    }  # fmt: skip
    assert ways["new bore"].bore_in == pytest.approx(1.9985)
    assert ways["sleeve the bore"].figure_in == pytest.approx(2.254)
    assert ways["sleeve the bore"].possible
    assert ways["plate the seat"].figure_in == pytest.approx(0.00275)
