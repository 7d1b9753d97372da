"""The propeller end of the shaft: taper, thread, keyway, hub, compared with the standard."""

from __future__ import annotations

from typing import ClassVar

from core.base.units import format_length
from core.fitting.measured.facts import FitFacts
from core.fitting.measured.measurements import MeasurementSet
from core.fitting.shaft.ends_job import (
    BAD,
    EXTRAS,
    GOOD,
    SUBJECTS,
    EndResult,
    end_result,
    end_wanted,
)
from tui.base.commands import Command, verb
from tui.screens.measure.measuring import MeasuringScreen
from tui.screens.measure.panel import Sheet, SheetRow

WORDS = {"within": "within", "near": "near", "under": "UNDER", "over": "OVER", "off": "OFF"}


class ShaftEndScreen(MeasuringScreen):
    """Measured figures beside the standard's."""

    HEADING = "Shaft end"
    HOW_TO = (
        "Measure the propeller end: type the figure, then Enter. Beside each figure is what "
        "the standard has; (?) marks a standard figure that could not be read in print. F8 "
        "chooses the standard: SAE J755, or the metric 1:10 end as far as a trade sheet goes. "
        "F12 opens the parts to offer the owner, and the order sheet for a replacement shaft, "
        "which can be written to a text file. Thread ends and keyway edges cut: gloves off near "
        "anything that turns, edges blunted first."
    )
    ACTIONS: ClassVar[tuple[Command, ...]] = (
        verb("finish", "papers", "Papers", "Parts to offer the owner; order sheet"),
    )
    SUBJECTS: ClassVar[tuple[str, ...]] = SUBJECTS
    MOST_ROWS: ClassVar[int] = 12

    def work_out(self, figures: MeasurementSet, facts: FitFacts) -> Sheet:
        """One row for each figure."""
        wanted = end_wanted(figures, facts)
        result = end_result(figures, facts)
        rows = tuple(
            SheetRow(w.label.removesuffix(" ahead of the taper").removesuffix(" of the shaft"),
                     (i,), *_beside(w.what, result))
            for i, w in enumerate(wanted)
        )  # fmt: skip
        name = result.standard.standard if result.standard else "no standard"
        return Sheet(wanted, ("Measured",), rows, result.report, name, words_title="Standard")

    def action_setup(self) -> None:
        """F8."""
        self.context.go("shaft_end_setup", self.job_id)

    def action_papers(self) -> None:
        """F12."""
        from tui.screens.measure.shaft_end_pages import PAPERS

        if self.settle():
            self.ask_which("Which paper?", PAPERS, self._open_paper)

    def _open_paper(self, name: str | None) -> None:
        if name is not None:
            self.context.go("parts" if name == "parts" else "order_sheet", self.job_id)


def _beside(what: str, result: EndResult) -> tuple[str, str]:
    """What is shown beside a figure, and how to read it."""
    compared = next((c for c in result.compared if c.what == what), None)
    if compared is None:
        return ("no table has it" if what in EXTRAS else "", "dim")
    figure = compared.figure
    if figure is None or figure.nominal is None:
        return "no figure", "dim"
    if what == "threads per inch":
        shown = f"{figure.nominal:g}"
    elif figure.low is not None and figure.high is not None:
        shown = f"{format_length(figure.low, unit=False)} to {format_length(figure.high)}"
    else:
        shown = format_length(figure.nominal)
    mark = "" if figure.verified else " (?)"
    style = "good" if compared.word in GOOD else "bad" if compared.word in BAD else "dim"
    return f"{WORDS.get(compared.word, ''):<7}{shown}{mark}", style
