"""Face and pilot of the coupling: one dial or two, mark by mark, before and after facing."""

from __future__ import annotations

import math
from typing import ClassVar

from textual.widget import Widget

from core.fitting.coupling.face_job import (
    FLANGE,
    SUBJECTS,
    FaceResult,
    clocks_of,
    face_result,
    face_setup,
    face_wanted,
)
from core.fitting.measured.facts import FitFacts
from core.fitting.measured.measurements import MeasurementSet
from tui.screens.measure.measuring import MeasuringScreen
from tui.screens.measure.panel import Sheet, SheetRow
from tui.widgets.rose import Rose, RoseMark, RoseView

COLUMNS = {
    "face reading": "Face",
    "opposite reading": "Opposite",
    "inner reading": "Inner",
    "reading": "Pilot",
}
RADII = {"rim radius": "Rim rad.", "dial radius": "Dial rad.", "inner radius": "Inner rad."}
"""Names of the rows above the marks."""


class FaceScreen(MeasuringScreen):
    """Dial readings of face and pilot."""

    HEADING = "Face and pilot"
    HOW_TO = (
        "Bolt the coupling up on its own shaft, roll the shaft and read the face at the chalk "
        "marks: type what the dial shows, then Enter. With one dial hold the shaft against a "
        "stop, as end float goes into the readings; two dials opposite each other cancel it: "
        "type dial A, then dial B, at each mark. The radii are typed first. * leaves a mark out, "
        "/ takes the last reading back, + Enter and - Enter go to the next part and back. F8 "
        "sets dials, marks, inner circle and pilot. After facing begin set 2 with F6 and read it "
        "again. Facing on a keyed shaft in the lathe grabs: key out or keyway taped, guard up."
    )
    SUBJECTS: ClassVar[tuple[str, ...]] = SUBJECTS
    MOST_ROWS: ClassVar[int] = 10
    DEFAULT_CSS = """
    FaceScreen RoseView { width: 29; height: 11; }
    .-wide FaceScreen RoseView { width: 45; }
    .-high FaceScreen RoseView { height: 15; }
    """
    result: FaceResult | None = None

    def picture(self) -> Widget:
        """The face as a rose."""
        return RoseView()

    def work_out(self, figures: MeasurementSet, facts: FitFacts) -> Sheet:
        """Marks down, dials across."""
        wanted = face_wanted(figures, facts)
        self.result = result = face_result(figures, facts)
        whats = list(dict.fromkeys(w.what for w in wanted if w.subject != FLANGE))
        places = {w.key: i for i, w in enumerate(wanted)}
        rows = [
            SheetRow(
                f"{clock:g}",
                tuple(
                    places.get(("pilot" if what == "reading" else "face", what, None, clock))
                    for what in whats
                ),
            )
            for clock in clocks_of(figures, result.setup)
        ]
        blank = (None,) * (len(whats) - 1)
        radii = tuple(
            SheetRow(RADII[w.what], (i, *blank))
            for i, w in enumerate(wanted)
            if w.subject == FLANGE
        )
        return Sheet(
            wanted, tuple(COLUMNS[w] for w in whats), (*radii, *rows), result.report,
            self._status(figures), title="Clock",
        )  # fmt: skip

    def _status(self, figures: MeasurementSet) -> str:
        setup = face_setup(figures)
        dials = "two opposite dials" if setup.dials == 2 else "one dial"
        return f"{dials}, pilot: {setup.pilot}, read in {self.facts.unit}"

    def show_picture(self) -> None:
        """The readings round the face."""
        result = self.result
        if result is None:
            return
        here = self.here
        waiting = here.clock_deg if here is not None and here.subject == "face" else None
        marks = [RoseMark(clock, value) for clock, value in result.points]
        if waiting is not None and waiting not in {clock for clock, _ in result.points}:
            marks.append(RoseMark(waiting, None, "next"))
        spot = None if result.face is None else math.degrees(result.face.high_spot_rad)
        rose = Rose(tuple(marks), result.curve, spot)
        self.query_one(RoseView).show(rose)

    def action_setup(self) -> None:
        """F8."""
        self.context.go("face_setup", self.job_id)
