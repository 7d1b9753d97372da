"""Set-up of the shaft end: the standard it is compared with."""

from __future__ import annotations

from typing import ClassVar

from core.fitting.measured.facts import FitFacts
from core.fitting.measured.measurements import MeasurementSet
from core.fitting.shaft.ends_job import SETUP, STANDARDS
from tui.screens.measure.measuring_setup import MeasuringSetupScreen
from tui.widgets.form import FieldSpec


class ShaftEndSetupScreen(MeasuringSetupScreen):
    """One choice."""

    HEADING = "Shaft end: set-up"
    HOW_TO = (
        "A digit chooses the standard that the measured end is compared with. 'By size' takes the "
        "one that has this diameter."
    )
    SUBJECT: ClassVar[str] = SETUP
    NAMES: ClassVar[dict[str, str]] = {"standard": "standard"}

    def specs(self, figures: MeasurementSet, facts: FitFacts) -> tuple[FieldSpec, ...]:
        """The field."""
        chosen = figures.word(SETUP, "standard", STANDARDS[0])
        return (
            FieldSpec("standard", "Standard", "choice", chosen,
                      choices=tuple((name, name) for name in STANDARDS)),
        )  # fmt: skip

    def meaning(self, facts: FitFacts) -> str:
        """What the tables hold."""
        return (
            "SAE J755: 3/4 to 5-1/2 in, taper 3/4 in per foot; some threads are from memory and "
            "marked so.\nMetric 1:10: 25 and 30 mm only, from a trade sheet; the standard's own "
            "table could not be read. Measure the old shaft and the propeller."
        )
