"""Grip at least and stress at most by what the gauges may err (Lame: all go with interference)."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from core.base.records import Measurement
from core.fitting.coupling import bore_job
from core.fitting.coupling.press_fit import PressFit, press_fit
from core.fitting.measured.facts import metal
from core.fitting.measured.measurements import MeasurementSet
from core.fitting.measured.report import Report
from tests.fitting.test_fitting_jobs import FACTS, bore_and_seat, one

U95_IN = math.hypot(0.0002, 0.0002)
"""Bore and seat, each 0.2 thou."""
HOLDS = "the fit alone holds the engine's torque even at low friction"


def truly(interference_in: float) -> PressFit:
    hub, shaft = metal("G10450"), metal("S31600")
    assert hub is not None
    assert shaft is not None
    return press_fit(
        diameter_in=1.75,
        hub_outside_in=3.5,
        interference_in=interference_in,
        length_in=3.0,
        hub_e_psi=hub.e.value,
        shaft_e_psi=shaft.e.value,
        hub_poisson=hub.poisson.value,
        shaft_poisson=shaft.poisson.value,
        hub_yield_psi=hub.yield_stress.value,
    )


def told(interference_in: float, torque_lbf_in: float) -> Report:
    """Measured so; the engine's torque."""
    taken: tuple[Measurement, ...] = (
        *bore_and_seat(1.75, 1.75 + interference_in),
        one("coupling", "hub outside", 3.5),
        one("coupling", "hub length", 3.0),
        one("coupling setup", "hub material", None, "G10450"),
    )
    facts = replace(FACTS, engine_hp=torque_lbf_in * 1200 / 63025)
    return bore_job.bore_result(MeasurementSet(taken), facts).report


def lines(report: Report, title: str) -> str:
    return " ".join(next(c.lines for c in report.chapters if c.title == title)).lower()


@pytest.mark.parametrize(("over", "holds"), [(0.1, False), (0.9, False), (1.1, True)])
def test_the_fit_holds_the_torque_only_when_the_gauges_leave_no_doubt(
    over: float, holds: bool
) -> None:
    needed_in = 0.001
    held = truly(needed_in).torque_lbf_in
    assert held is not None
    assert (HOLDS in lines(told(needed_in + over * U95_IN, held[0]), "Press")) is holds


def test_hub_and_heat_are_reckoned_at_the_most_it_may_be() -> None:
    report = told(0.001, 5000.0)
    worst = truly(0.001 + U95_IN)
    assert worst.hub_words in lines(report, "Press").replace("von mises", "von Mises")
    assert f"by {1000 * (0.001 + U95_IN):.1f} thou" in lines(report, "Heat for a slip-on")


def test_a_grip_within_the_doubt_of_the_gauges_is_none_to_count_on() -> None:
    assert "count on the key" in lines(told(0.9 * U95_IN, 100.0), "Press")
