"""What was chosen for the coupling bore of one job: kind, places, class of fit, materials.

Choices are stored as measurements of the subject 'coupling setup'. Inches.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import get_args

from core.fitting.coupling.bore import BORE_U95_IN, BoreKind
from core.fitting.measured.facts import FitFacts
from core.fitting.measured.measurements import MeasurementSet, number_list

KINDS: tuple[BoreKind, ...] = get_args(BoreKind)
COUPLING_SETUP = "coupling setup"
CLOCKS_DEG = (0.0, 90.0)


@dataclass(frozen=True)
class BoreSetup:
    """What was chosen for this coupling."""

    kind: BoreKind
    depths_in: tuple[float, ...]
    """Empty = the usual ones."""
    clocks_deg: tuple[float, ...]
    nominal_in: float
    fit_class: str | None
    """None = the shop's band."""
    hub_material: str
    hub_yield_psi: float | None
    bore_u95_in: float
    seat_u95_in: float
    wanted_interference_in: float | None


def bore_setup(figures: MeasurementSet, facts: FitFacts) -> BoreSetup:
    """The choices made, the usual ones for the rest."""
    kind = figures.word(COUPLING_SETUP, "kind", "straight")
    return BoreSetup(
        kind=next((k for k in KINDS if k == kind), "straight"),
        depths_in=number_list(figures.word(COUPLING_SETUP, "depths")),
        clocks_deg=number_list(figures.word(COUPLING_SETUP, "clocks")) or CLOCKS_DEG,
        nominal_in=figures.length_in(COUPLING_SETUP, "nominal size") or facts.diameter_in,
        fit_class=figures.word(COUPLING_SETUP, "class of fit") or None,
        hub_material=figures.word(COUPLING_SETUP, "hub material"),
        hub_yield_psi=figures.number(COUPLING_SETUP, "hub yield psi"),
        bore_u95_in=figures.length_in(COUPLING_SETUP, "bore gauge uncertainty") or BORE_U95_IN,
        seat_u95_in=figures.length_in(COUPLING_SETUP, "seat gauge uncertainty") or BORE_U95_IN,
        wanted_interference_in=figures.length_in(COUPLING_SETUP, "interference wanted"),
    )
