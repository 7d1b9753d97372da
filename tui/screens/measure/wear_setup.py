"""Stations to mike besides those known."""

from __future__ import annotations

from typing import ClassVar

from core.base.units import format_from_to, length_words
from core.fitting.measured.facts import FitFacts
from core.fitting.measured.measurements import MeasurementSet, number_list
from core.fitting.shaft.wear_job import SETUP, STATIONS, check_stations
from tui.screens.measure.measuring_setup import MeasuringSetupScreen, places_spec, typed_places_in
from tui.widgets.form import FieldSpec


class WearSetupScreen(MeasuringSetupScreen):
    """One field."""

    HEADING = "Wear: stations"
    HOW_TO = (
        "Type the stations one behind the other with a space between. What "
        "was miked at an earlier visit is asked for anyway, so that like is compared with like."
    )
    SUBJECT: ClassVar[str] = SETUP
    PLACE_LISTS: ClassVar[tuple[str, ...]] = ("stations",)
    NAMES: ClassVar[dict[str, str]] = {"stations": STATIONS}

    def specs(self, figures: MeasurementSet, facts: FitFacts) -> tuple[FieldSpec, ...]:
        """The field."""
        numbers = number_list(figures.word(SETUP, STATIONS))
        hint = (
            f"In {length_words()} from the end the stations start at, "
            f"{format_from_to(0, facts.length_in, unit=False)}."
        )
        return (places_spec("stations", "Stations to mike as well", numbers, hint),)

    def check(
        self, name: str, value: object, figures: MeasurementSet, facts: FitFacts
    ) -> str | None:
        """Stations on the shaft only."""
        check_stations(typed_places_in(value), facts.length_in)
        return None

    def meaning(self, facts: FitFacts) -> str:
        """Where a groove is looked for."""
        return (
            "A bearing or a seal cuts its groove where it rides, seldom in the middle of the area: "
            "mike the deepest place, and the same place at the next visit."
        )
