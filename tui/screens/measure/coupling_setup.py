"""Set-up of the coupling bore: kind, depths, clocks, what it is judged by, hub, engine."""

from __future__ import annotations

from typing import ClassVar

from core.base.errors import ShaftlogError
from core.base.quantities import STRESS
from core.base.units import format_dial, length_unit
from core.fitting.coupling.bore_job import DEPTHS_IN, check_places, class_words
from core.fitting.coupling.bore_setup import COUPLING_SETUP, KINDS, bore_setup
from core.fitting.coupling.fits import fit_names, practice_words
from core.fitting.measured.facts import FitFacts, metal
from core.fitting.measured.measurements import MeasurementSet, number_list
from tui.screens.measure.measuring_setup import (
    MeasuringSetupScreen,
    engine_specs,
    length_spec,
    list_spec,
    material_spec,
    places_spec,
    size_list,
    typed_places_in,
)
from tui.widgets.form import FieldSpec

SHOP = "shop"
"""What is typed for the shop's own band."""
MOST_DEPTH_IN, MOST_CLOCK = 24.0, 359.0


class CouplingSetupScreen(MeasuringSetupScreen):
    """What is measured and against what."""

    HEADING = "Coupling bore: set-up"
    HOW_TO = (
        "Enter stores a field and goes to the next. The band of the shop is changed in the "
        "settings (F8 on the board); a class of ANSI B4.1 (LT, LC, LN, FN) or ISO 286 (H7/k6) is "
        "chosen here by its name. Depths and clocks are lists with blanks between the numbers."
    )
    SUBJECT: ClassVar[str] = COUPLING_SETUP
    PLACE_LISTS: ClassVar[tuple[str, ...]] = ("depths",)
    NAMES: ClassVar[dict[str, str]] = {
        "kind": "kind",
        "depths": "depths",
        "clocks": "clocks",
        "nominal_in": "nominal size",
        "fit_class": "class of fit",
        "hub_material": "hub material",
        "hub_yield": "hub yield psi",
        "wanted_in": "interference wanted",
        "bore_u95_in": "bore gauge uncertainty",
        "seat_u95_in": "seat gauge uncertainty",
    }

    def specs(self, figures: MeasurementSet, facts: FitFacts) -> tuple[FieldSpec, ...]:
        """The fields."""
        setup = bore_setup(figures, facts)
        gauge = f"95 of 100 figures are nearer than this: {format_dial(0.0002)} is common."
        classes = tuple((name, "") for name in fit_names())
        return (
            FieldSpec("kind", "Bore", "choice", setup.kind, choices=tuple((k, k) for k in KINDS)),
            places_spec("depths", f"Depths from the face end, {length_unit()}",
                        setup.depths_in or DEPTHS_IN,
                        f"All of them with blanks between, such as {size_list(0.5, 1.75, 3.0)}."),
            list_spec("clocks", "Clocks, deg", setup.clocks_deg,
                      "Two at a right angle show ovality: 0 90."),
            length_spec("nominal_in", "Nominal size", setup.nominal_in,
                        "Basic size of the fit; a figure far from it is asked about."),
            FieldSpec("fit_class", "Judged by", "pick", setup.fit_class or SHOP,
                      "'shop' for the shop's band, or a class: LC2, LT3, FN1, H7/k6 ...",
                      choices=((SHOP, "the shop's band"), *classes)),
            material_spec("hub_material", "Hub material", setup.hub_material),
            FieldSpec("hub_yield", f"Hub yield, {STRESS.unit} (empty: table)", "number",
                      STRESS.typed(setup.hub_yield_psi),
                      "Only when it is known better than by the table.", quantity=STRESS,
                      least=1000, most=400_000),
            length_spec("wanted_in", "Interference wanted (taper)", setup.wanted_interference_in,
                        f"For the draw-up of a tapered bore, such as {format_dial(0.001)}.",
                        most=0.1),
            length_spec("bore_u95_in", "Uncertainty of a bore figure", setup.bore_u95_in,
                        gauge, most=0.01),
            length_spec("seat_u95_in", "Uncertainty of a seat figure", setup.seat_u95_in,
                        gauge, most=0.01),
            *engine_specs(facts),
        )  # fmt: skip

    def check(
        self, name: str, value: object, figures: MeasurementSet, facts: FitFacts
    ) -> str | None:
        """Lists and classes in words."""
        if name in ("depths", "clocks"):
            if name == "depths":
                check_places(name, typed_places_in(value), MOST_DEPTH_IN)
            else:
                check_places(name, number_list(str(value)), MOST_CLOCK)
            return None
        if name == "fit_class":
            return _class_echo(str(value), bore_setup(figures, facts).nominal_in)
        if name == "hub_material" and value and metal(str(value)) is None:
            raise ShaftlogError(f"There are no figures for '{value}'. Choose one of the list.")
        return super().check(name, value, figures, facts)

    def _keep(self, name: str, value: object) -> None:
        super()._keep(name, "" if name == "fit_class" and value in (SHOP, None) else value)

    def meaning(self, facts: FitFacts) -> str:
        """What the band is, and that the trade does not agree."""
        least, most = format_dial(facts.band_least_in, unit=False), format_dial(facts.band_most_in)
        return f"The shop's band is {least} to {most} of clearance. {practice_words()}"


def _class_echo(name: str, nominal_in: float) -> str:
    return "" if name in (SHOP, "") else class_words(name, nominal_in)
