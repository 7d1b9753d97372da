"""Press fits against worked answers and a printed force table.

Sources: Shigley's Mechanical Engineering Design, solutions manual of chapter 3, problems 3-64 to
3-68 (8th ed. numbers), eq. 7-39 and 7-40 (9th ed. p.399). Hub outside and modulus of 3-64 to 3-67
are inferred from the printed pressures. Tolerance: half of the last printed digit.
Pressure factors: table for tons = area x interference x factor / 2, two reference pages.
"""

from __future__ import annotations

import math

import pytest

from core.fitting.coupling.press_fit import contact_pressure_psi, press_fit
from core.fitting.coupling.warm_fit import slip_on_heat
from tests.published.printed_tables import printed_table

E_PSI, NU = 30e6, 0.292
PSI_PER_MPA = 145.0377
MM = 1 / 25.4


def steel(diameter_in: float, hub_in: float, interference_in: float, e_psi: float = E_PSI):
    return press_fit(
        diameter_in=diameter_in,
        hub_outside_in=hub_in,
        interference_in=interference_in,
        hub_e_psi=e_psi,
        shaft_e_psi=e_psi,
        hub_poisson=NU,
        shaft_poisson=NU,
    )


def test_3_68_pressure_and_hoop_stress() -> None:
    fit = steel(1.0, 2.0, 0.002)
    assert fit.pressure_psi == pytest.approx(22500, abs=0.5)
    assert fit.hub.hoop_psi == pytest.approx(37500, abs=0.5)
    # Not printed; a solid shaft under pressure has -p everywhere (derived).
    assert fit.shaft.hoop_psi == pytest.approx(-22500, abs=0.5)


@pytest.mark.parametrize(
    ("problem", "radial_mm", "printed_mpa"),
    [
        ("3-64 max", 0.0295, 114.5),
        ("3-64 min", 0.009, 34.9),
        ("3-66 max", 0.038, 147.5),
        ("3-66 min", 0.0175, 67.9),
    ],
)
def test_metric_answers(problem: str, radial_mm: float, printed_mpa: float) -> None:
    fit = steel(40 * MM, 80 * MM, 2 * radial_mm * MM, 207000 * PSI_PER_MPA)
    assert fit.pressure_psi / PSI_PER_MPA == pytest.approx(printed_mpa, abs=0.06), problem


@pytest.mark.parametrize(
    ("problem", "radial_in", "printed_psi"),
    [
        ("3-65 max", 0.00115, 17250),
        ("3-65 min", 0.00035, 5250),
        ("3-67 max", 0.0015, 22500),
        ("3-67 min", 0.0007, 10500),
    ],
)
def test_inch_answers(problem: str, radial_in: float, printed_psi: float) -> None:
    assert steel(1.5, 3.0, 2 * radial_in).pressure_psi == pytest.approx(printed_psi, abs=5), problem


def test_two_materials_reduce_to_one() -> None:
    """Eq. 7-39 with equal materials is eq. 7-40: E delta / (2 d^3) x (o2-d2)(d2-i2) / (o2-i2)."""
    d, o, i, delta = 1.5, 3.1, 0.4, 0.0021
    closed = E_PSI * delta / (2 * d**3) * (o**2 - d**2) * (d**2 - i**2) / (o**2 - i**2)
    pressure = contact_pressure_psi(
        diameter_in=d,
        hub_outside_in=o,
        interference_in=delta,
        hub_e_psi=E_PSI,
        hub_poisson=NU,
        shaft_e_psi=E_PSI,
        shaft_poisson=NU,
        shaft_bore_in=i,
    )
    assert pressure == pytest.approx(closed, rel=1e-12)


FRICTION = (0.0444, 0.0439, 0.0433, 0.0428, 0.0427, 0.0424, 0.0420)
FRICTION += (0.0416, 0.0413, 0.0419, 0.0408, 0.0407, 0.0409, 0.0408)
FRICTION += (0.0400, 0.0405, 0.0404, 0.0401, 0.0401, 0.0399, 0.0400)
"""Worked here once from F = mu E 0.75 / (D x 2000), E 30e6; not printed (cross-check)."""


@pytest.mark.parametrize(
    ("row", "friction"), list(zip(printed_table("press_force_factor"), FRICTION, strict=True))
)
def test_pressure_factor_is_friction_of_about_0_042(row, friction: float) -> None:
    """The table's force equals Lame with a friction of 0.040 to 0.044, at every printed size."""
    d = float(row["diameter_in"])
    area = math.pi * d * 2.0
    tons = area * 0.001 * d * float(row["factor"]) / 2
    lame_psi = E_PSI * 0.001 * d * 0.375 / d  # equal materials, hub of twice the shaft diameter
    implied = tons * 2000 / (lame_psi * area)
    assert implied == pytest.approx(friction, abs=0.00006)
    assert 0.0395 <= implied <= 0.0445
    fit = press_fit(
        diameter_in=d,
        hub_outside_in=2 * d,
        interference_in=0.001 * d,
        hub_e_psi=E_PSI,
        shaft_e_psi=E_PSI,
        length_in=2.0,
        friction_low=implied,
        friction_high=implied,
    )
    assert fit.push_lbf is not None
    assert fit.push_lbf[0] == pytest.approx(2000 * tons, rel=1e-9)


def test_bore_growth_in_boiling_water() -> None:
    """2.000 in steel, 68 to 212 F, 6.5e-6 per F: 0.00187 in (derived; expansion from memory)."""
    growth = 2.0 * 6.5e-6 * (212 - 68)
    assert growth == pytest.approx(0.00187, abs=5e-6)
    heat = slip_on_heat(
        diameter_in=2.0,
        interference_in=growth,
        hub_expansion_per_f=6.5e-6,
        ambient_f=68,
        slip_clearance_in=0.0,
    )
    assert heat.heat_to_f == pytest.approx(212, abs=0.01)
