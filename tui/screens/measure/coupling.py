"""Coupling bore: bore and shaft seat at depths and clocks, the fit, what it takes."""

from __future__ import annotations

from typing import ClassVar

from core.base.units import format_length
from core.book import choices
from core.fitting.coupling.bore_job import SUBJECTS, bore_result, bore_wanted
from core.fitting.coupling.bore_setup import COUPLING_SETUP, bore_setup
from core.fitting.measured.entry import length_text
from core.fitting.measured.facts import FitFacts
from core.fitting.measured.measurements import MeasurementRequest, MeasurementSet
from tui.screens.measure.measuring import MeasuringScreen
from tui.screens.measure.panel import Sheet, SheetRow

SIDE_LABELS = {
    "hub outside": "Hub outside",
    "hub length": "Fit length",
    "split gap": "Split gap",
    "blueing share": "Blueing",
    "setback": "Setback",
}
"""Short names of the single figures."""


class CouplingScreen(MeasuringScreen):
    """The bore against the seat."""

    HEADING = "Coupling bore"
    HOW_TO = (
        "Measure bore and shaft seat at each depth across both clocks: type the figure, then "
        "Enter. The number pad is enough: * leaves a figure out, / takes the last one back, + "
        "Enter and - Enter go to the next part and back. Type over a figure to mend it: go there "
        "with Up and Down; the old one is kept. Depth counts from the coupling face end. F8 sets "
        "straight, split or tapered, the depths, the band or class, hub material and engine. "
        "After boring, sleeving or plating begin set 2 with F6. Press and heat can hurt: stand "
        "clear of the line of push, gloves and face shield for hot parts, never heat a closed hub."
    )
    SUBJECTS: ClassVar[tuple[str, ...]] = SUBJECTS

    def work_out(self, figures: MeasurementSet, facts: FitFacts) -> Sheet:
        """The table and the fit."""
        wanted = bore_wanted(figures, facts)
        result = bore_result(figures, facts)
        clocks = result.setup.clocks_deg
        columns = tuple(f"{part} {clock:g}" for part in ("Bore", "Seat") for clock in clocks)
        places = {w.key: i for i, w in enumerate(wanted)}
        depths = dict.fromkeys(w.depth_in for w in wanted if w.what == "diameter")
        rows = [
            SheetRow(
                "no depth" if depth is None else format_length(depth, 2),
                tuple(
                    places.get((part, "diameter", depth, clock))
                    for part in ("bore", "seat")
                    for clock in clocks
                ),
            )
            for depth in depths
        ]
        side = tuple(
            SheetRow(SIDE_LABELS[w.what], (i,))
            for i, w in enumerate(wanted)
            if w.what != "diameter"
        )
        return Sheet(
            wanted, columns, tuple(rows), result.report, self._status(figures, facts),
            title="Depth", side_title="Coupling", side_rows=side,
        )  # fmt: skip

    def _status(self, figures: MeasurementSet, facts: FitFacts) -> str:
        setup = bore_setup(figures, facts)
        against = "blueing" if setup.kind == "tapered" else setup.fit_class or "shop's band"
        return f"{setup.kind}, {length_text(setup.nominal_in, facts)}, {against}"

    def accept_odd(self, wanted: MeasurementRequest, value_in: float) -> None:
        """The seat is of another size than the shaft: that is the nominal size from now on."""
        if wanted.what == "diameter":
            choices.choose(
                self.book,
                job_id=self.job_id,
                subject=COUPLING_SETUP,
                name="nominal size",
                value=format_length(value_in),
                number=value_in,
            )

    def action_setup(self) -> None:
        """F8."""
        self.context.go("coupling_setup", self.job_id)
