"""Wear at the riding areas: diameters as miked at this visit, beside those of the visits before."""

from __future__ import annotations

from typing import ClassVar

from core.base.units import format_length
from core.fitting.measured.facts import FitFacts
from core.fitting.measured.measurements import MeasurementSet
from core.fitting.shaft.wear_job import (
    DIAMETER,
    LEAST,
    ONE_STATION_IN,
    SUBJECT,
    WornPlace,
    area_at,
    stations_of,
    wear_beside,
    wear_report,
    wear_wanted,
)
from core.jobs.wear import RawWear, read_wear
from tui.screens.measure.measuring import MeasuringScreen
from tui.screens.measure.panel import Sheet, SheetRow


class WearScreen(MeasuringScreen):
    """One row for each station miked."""

    HEADING = "Wear at the riding areas"
    HOW_TO = (
        "Mike the shaft where it rides, at the same stations as at its last visit: type the "
        "diameter, then Enter. Behind it stand the rate of wear over the visits and its interval. "
        "The least diameter allowed may be typed in the second column; it holds for later visits "
        "too. F8 adds stations of your own. After sleeving or building up begin set 2 with F6: the "
        "rate starts again there. The diameters of the coupling seat come from the bore screen."
    )
    SUBJECTS: ClassVar[tuple[str, ...]] = (SUBJECT,)

    def work_out(self, figures: MeasurementSet, facts: FitFacts) -> Sheet:
        """The stations, and what all visits say of them."""
        raw = read_wear(self.book, self.job_id)
        wanted = wear_wanted(figures, facts, raw.areas, raw.earlier_in)
        index = {w.key: n for n, w in enumerate(wanted)}
        places = raw.places
        rows = tuple(
            _row(x, raw, places, facts, (index[SUBJECT, DIAMETER, x, None],
                                        index[SUBJECT, LEAST, x, None]))
            for x in stations_of(figures, raw.areas, raw.earlier_in)
        )  # fmt: skip
        visits = len({one.tag for one in raw.taken})
        return Sheet(
            wanted, ("Diameter", "Least"), rows, wear_report(places, facts),
            f"diameters of {visits} {'visit' if visits == 1 else 'visits'}", title="Station",
            words_title="Over the years",
        )  # fmt: skip

    def action_setup(self) -> None:
        """F8."""
        self.context.go("wear_setup", self.job_id)


def _row(
    station_in: float, raw: RawWear, places: tuple[WornPlace, ...], facts: FitFacts,
    cells: tuple[int, int],
) -> SheetRow:  # fmt: skip
    near = [
        p
        for p in places
        if p.station_in is not None and abs(p.station_in - station_in) <= ONE_STATION_IN
    ]
    words = wear_beside(near[0], facts.unit) if near else ""
    style = "bad" if near and near[0].under else "dim"
    label = f"{format_length(station_in, 1)} {area_at(station_in, raw.areas)}"
    return SheetRow(label[:22], cells, words, style)
