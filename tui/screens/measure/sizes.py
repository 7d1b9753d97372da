"""Sizes: shaft diameter and bearing span from power, speed and material, with the whirl margin."""

from __future__ import annotations

from typing import ClassVar

from textual.app import ComposeResult
from textual.widgets import Static

from core.base.errors import ShaftlogError
from core.base.quantities import STRESS
from core.base.units import number_text
from core.fitting.measured.facts import FitFacts
from core.fitting.measured.measurements import MeasurementSet
from core.fitting.measured.report import Report
from core.fitting.shaft.sizes_job import (
    BLADES,
    POWERS,
    SIZES,
    SizesResult,
    services,
    sizes_result,
    sizes_setup,
)
from tui.base.commands import Command, verb
from tui.screens.measure.measuring_setup import (
    MeasuringSetupScreen,
    engine_specs,
    length_spec,
    material_spec,
)
from tui.widgets.chapters import ChapterView, ShownChapter
from tui.widgets.field import FieldSpec
from tui.widgets.form import Form
from tui.widgets.plain import plain

MARGIN_HINT = "Whirling speed over shaft speed that is wanted: 1.25 is common practice."


class SizesScreen(MeasuringSetupScreen):
    """Verdict, the fields, what the formulas say."""

    HEADING = "Sizes and whirl"
    HOW_TO = (
        "Type power, speed and material; Enter stores a field and goes to the next. The verdict "
        "is above, what the formulas say below: F7 shows all of it, and the fields again. "
        "The published span formula has NO margin in itself: it sets the span at the whirling "
        "speed, so the margin is always shown beside it. These are first checks: propulsion "
        "shafting belongs to licensed people and to the class society."
    )
    ACTIONS: ClassVar[tuple[Command, ...]] = (
        verb("more", "more", "Words", "All that the formulas say, page by page"),
    )
    DEFAULT_CSS = """
    SizesScreen #verdict { height: auto; max-height: 4; text-style: bold; }
    SizesScreen #meaning { display: none; }
    """
    SUBJECT: ClassVar[str] = SIZES
    NAMES: ClassVar[dict[str, str]] = {
        "power_at": "power at",
        "material": "material",
        "torsional": "torsional yield psi",
        "service": "service",
        "factor": "safety factor",
        "diameter_in": "diameter",
        "span_in": "bearing span",
        "margin": "whirl margin",
        "propeller_in": "propeller diameter",
        "blades": "blades",
    }
    result: SizesResult | None = None

    def specs(self, figures: MeasurementSet, facts: FitFacts) -> tuple[FieldSpec, ...]:
        """The fields."""
        setup = sizes_setup(figures, facts)
        power_at = figures.word(SIZES, "power at", POWERS[0])
        kinds = tuple((name, f"{name}, {factor:g}") for name, factor in services())
        factor = figures.number(SIZES, "safety factor")
        return (
            *engine_specs(facts),
            FieldSpec("power_at", "That power is", "choice", power_at,
                      "Rated brake power counts with 96 % at the shaft.",
                      (("brake", "engine's brake power"), ("shaft", "at the shaft"))),
            material_spec("material", "Shaft material", setup.material),
            FieldSpec("service", "Service, safety factor", "choice", setup.service,
                      "Digits, or Left and Right: kind of service with its safety factor.", kinds),
            FieldSpec("factor", "Another safety factor", "number", number_text(factor),
                      "Takes the place of the factor of the service.", least=1, most=20),
            FieldSpec("torsional", f"Torsional yield, {STRESS.unit}", "number",
                      STRESS.typed(setup.torsional_psi),
                      "Empty: from the table of materials.", quantity=STRESS, least=1000,
                      most=400_000),
            length_spec("diameter_in", "Shaft diameter", setup.diameter_in,
                        "The shaft there is.", most=24.0),
            length_spec("span_in", "Span between bearings", setup.span_in,
                        "In the boat, middle to middle.", most=1200.0),
            FieldSpec("margin", "Whirl margin wanted", "number", f"{setup.whirl_margin:g}",
                      MARGIN_HINT, least=1, most=5),
            length_spec("propeller_in", "Propeller diameter", setup.propeller_in,
                        "For the rule of thumb.", most=240.0),
            FieldSpec("blades", "Blades", "choice", str(setup.blades),
                      choices=tuple((b, b) for b in BLADES)),
        )  # fmt: skip

    def body(self) -> ComposeResult:
        """Verdict above, fields, words below."""
        yield Static(id="verdict")
        yield from super().body()
        yield ChapterView()

    def check(
        self, name: str, value: object, figures: MeasurementSet, facts: FitFacts
    ) -> str | None:
        """A diameter is needed."""
        if name == "diameter_in" and value is None:
            raise ShaftlogError("Type the diameter of the shaft.")
        return super().check(name, value, figures, facts)

    def refresh_view(self) -> None:
        """Work it out and show it."""
        self.result = sizes_result(*self.read())
        report = self.result.report
        verdict = self.query_one("#verdict", Static)
        verdict.set_classes({True: "true", False: "not-true", None: "too-close"}[report.good])
        verdict.update(plain(f"{report.verdict}\n{report.summary}"))
        self.query_one(ChapterView).show(_chapters(report))

    def action_more(self) -> None:
        """F7: all words in place of the fields, page by page; then the fields again."""
        view, form = self.query_one(ChapterView), self.query_one(Form)
        if view.page is not None and view.page + 1 < view.page_count:
            view.read_page(view.page + 1)
            return
        reading = view.page is None and not view.fits
        form.display = not reading
        view.read_page(0 if reading else None)
        if not reading:
            form.focus()

    def finished(self) -> None:
        """Stay: the answer is on this screen."""
        self.say("F7 shows all that the formulas say.")


def _chapters(report: Report) -> list[ShownChapter]:
    """Missing first: here it is the fields that are to be filled."""
    shown = [ShownChapter("Missing", report.missing, "doubt")] if report.missing else []
    shown += [ShownChapter(c.title, c.lines) for c in report.chapters]
    if report.cautions:
        shown.append(ShownChapter("Caution", report.cautions, "doubt"))
    return [*shown, ShownChapter("To know", report.notes)] if report.notes else shown
