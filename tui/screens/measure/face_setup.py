"""Set-up of face and pilot: dials, marks, inner circle, kind of pilot, gap limit."""

from __future__ import annotations

from typing import ClassVar

from core.base.units import each_inch, format_dial
from core.fitting.coupling.face import ONE_DIAL_NOTE, TWO_DIALS_NOTE
from core.fitting.coupling.face_job import MARK_COUNTS, PILOTS, SETUP, face_setup
from core.fitting.measured.facts import FitFacts
from core.fitting.measured.measurements import MeasurementSet
from tui.screens.measure.measuring_setup import MeasuringSetupScreen, length_spec
from tui.widgets.form import FieldSpec

YES_NO = (("no", "no"), ("yes", "yes"))


class FaceSetupScreen(MeasuringSetupScreen):
    """How the face is read."""

    HEADING = "Face and pilot: set-up"
    HOW_TO = (
        "A digit chooses; Enter goes to the next field. The limits of face and pilot are settings "
        "of the shop (F8 on the board); the gap limit is here, as it depends on the flange."
    )
    SUBJECT: ClassVar[str] = SETUP
    NAMES: ClassVar[dict[str, str]] = {
        "dials": "dials",
        "marks": "marks",
        "inner": "inner circle",
        "pilot": "pilot",
        "gap_in": "gap limit",
    }

    def specs(self, figures: MeasurementSet, facts: FitFacts) -> tuple[FieldSpec, ...]:
        """The fields."""
        setup = face_setup(figures)
        marks = tuple((str(n), str(n)) for n in MARK_COUNTS)
        return (
            FieldSpec("dials", "Dials on the face", "choice", str(setup.dials),
                      "Two opposite dials cancel end float.",
                      (("1", "one"), ("2", "two opposite"))),
            FieldSpec("marks", "Marks round the coupling", "choice", str(len(setup.marks_deg)),
                      "Eight or more; marks already read stay in the table.", marks),
            FieldSpec("inner", "Inner circle for the dish", "choice",
                      "yes" if setup.inner else "no", "With one dial, same setting of it.",
                      YES_NO),
            FieldSpec("pilot", "Pilot", "choice", setup.pilot,
                      "A spigot stands out, a recess is bored in.",
                      tuple((p, p) for p in PILOTS)),
            length_spec("gap_in", "Gap limit at the rim", setup.gap_limit_in,
                        f"{format_dial(0.003)} in print; or {format_dial(0.001)} for each "
                        f"{each_inch()} of flange.", most=0.1),
        )  # fmt: skip

    def meaning(self, facts: FitFacts) -> str:
        """What one and two dials can see, and the limits."""
        face, pilot = format_dial(facts.face_limit_in), format_dial(facts.pilot_limit_in)
        limits = f"Limits of the shop: face {face}, pilot {pilot} TIR."
        return f"{ONE_DIAL_NOTE}\n{TWO_DIALS_NOTE}\n{limits}"
