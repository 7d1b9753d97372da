"""Set-up of the key: where it is measured, side fit wanted, material, engine."""

from __future__ import annotations

from typing import ClassVar

from core.base.dial_unit import shown_dial_unit
from core.base.errors import ShaftlogError
from core.base.units import format_dial, length_unit
from core.fitting.coupling.bore_job import check_places
from core.fitting.keys.key_job import PLACES_IN, SETUP, SHAPES, key_setup
from core.fitting.keys.sizes import standards_differ
from core.fitting.measured.band import Band
from core.fitting.measured.facts import FitFacts
from core.fitting.measured.measurements import MeasurementSet
from tui.screens.measure.measuring_setup import (
    MeasuringSetupScreen,
    engine_specs,
    length_spec,
    material_spec,
    places_spec,
    size_list,
    typed_places_in,
)
from tui.widgets.form import FieldSpec

MOST_PLACE_IN = 24.0


class KeySetupScreen(MeasuringSetupScreen):
    """What the key is compared with."""

    HEADING = "Key: set-up"
    HOW_TO = (
        "Enter stores a field and goes to the next. On a taper the shaft diameter at the key is "
        "that at the middle of the key. Class 1 of B17.1 is a clearance fit, class 2 a close one "
        "(its figures are from memory); a side fit of the shop's own takes their place when both "
        "its figures are typed: minus = interference."
    )
    SUBJECT: ClassVar[str] = SETUP
    PLACE_LISTS: ClassVar[tuple[str, ...]] = ("places",)
    NAMES: ClassVar[dict[str, str]] = {
        "places": "places",
        "diameter_in": "shaft diameter at the key",
        "fit_class": "class of fit",
        "least_in": "least side clearance",
        "most_in": "most side clearance",
        "aim_in": "side clearance aimed at",
        "round_ends": "rounded ends",
        "shape": "shape",
        "key_material": "key material",
    }

    def specs(self, figures: MeasurementSet, facts: FitFacts) -> tuple[FieldSpec, ...]:
        """The fields."""
        setup = key_setup(figures, facts)
        return (
            length_spec("diameter_in", "Shaft diameter at the key", setup.diameter_in,
                        "On a taper: at the middle of the key.", most=24.0),
            places_spec("places", f"Places of the widths, {length_unit()}",
                        setup.places_in or PLACES_IN,
                        "From the end of the keyway, blanks between the numbers: "
                        f"{size_list(0.5, 2.5)}"),
            FieldSpec("fit_class", "B17.1 side fit", "choice", str(setup.fit_class),
                      "Class 1 is printed, class 2 from memory.",
                      (("1", "class 1"), ("2", "class 2"))),
            length_spec("least_in", "Shop's least side clearance", setup.least_in,
                        "Both figures take the place of the class; below 0 = interference.",
                        least=-0.02, most=0.05, unit=shown_dial_unit()),
            length_spec("most_in", "Shop's most side clearance", setup.most_in, "", least=-0.02,
                        most=0.05, unit=shown_dial_unit()),
            length_spec("aim_in", "Peening aims at a clearance of", setup.wanted_side_in,
                        "0 = line to line in the shaft keyway.", least=-0.005, most=0.005,
                        unit=shown_dial_unit()),
            FieldSpec("round_ends", "Rounded ends of the key", "choice", str(setup.round_ends),
                      choices=(("0", "none"), ("1", "one"), ("2", "two"))),
            FieldSpec("shape", "Standard key to compare", "choice", setup.shape,
                      choices=tuple((s, s) for s in SHAPES)),
            material_spec("key_material", "Key material", setup.key_material),
            *engine_specs(facts),
        )  # fmt: skip

    def check(
        self, name: str, value: object, figures: MeasurementSet, facts: FitFacts
    ) -> str | None:
        """A list of places, a band the right way up."""
        if name == "places":
            check_places("places", typed_places_in(value), MOST_PLACE_IN)
            return None
        if name in ("least_in", "most_in") and isinstance(value, float):
            setup = key_setup(figures, facts)
            least = value if name == "least_in" else setup.least_in
            most = value if name == "most_in" else setup.most_in
            if least is not None and most is not None:
                Band(least, most, "the shop's side fit")
        if name in ("least_in", "most_in", "aim_in"):
            return f"= {format_dial(value)}" if isinstance(value, float) else ""
        if name == "diameter_in" and value is None:
            raise ShaftlogError("Type the diameter of the shaft at the key.")
        return super().check(name, value, figures, facts)

    def meaning(self, facts: FitFacts) -> str:
        """Whether the standards agree here, and where the hub's material is set."""
        differs = standards_differ(facts.diameter_in)
        hub = "The hub's material is set on the coupling screen (F8 there)."
        return f"{differs}\n{hub}".strip()
