"""Key and keyways: measured, drawn in section, judged; peening pass by pass; the check list."""

from __future__ import annotations

from collections.abc import Mapping
from typing import ClassVar

from textual.widget import Widget

from core.base.dial_unit import shown_dial_unit
from core.base.units import format_dial, format_length, format_station
from core.fitting.keys.fit import SideFit, TopFit
from core.fitting.keys.key_job import HUB, KEY, SHAFT, SUBJECTS, KeyResult, key_setup, key_wanted
from core.fitting.keys.key_text import BAD_SIDES, key_report
from core.fitting.measured.facts import FitFacts
from core.fitting.measured.measurements import MeasurementRequest, MeasurementSet
from tui.base.commands import Command, verb
from tui.screens.measure.measuring import MeasuringScreen
from tui.screens.measure.panel import Sheet, SheetRow
from tui.widgets.key_section import KeySection, KeySectionView

COLUMNS = ("Key", "Shaft", "Hub")
ROWS = (
    ("Height, far side", "height", "far side"),
    ("Depth at side", "", "depth"),
    ("Length", "length", "length"),
    ("Off centre", "", "offset"),
    ("Twist", "", "twist"),
)
"""Name of a row, figure of the key, figure of the keyways."""


class KeyScreen(MeasuringScreen):
    """The key in its two keyways."""

    HEADING = "Key and keyway"
    HOW_TO = (
        "Measure key and keyways: type the figure, then Enter; the number pad is enough. The far "
        "side of the shaft keyway is from its floor to the other side of the shaft (S), that of "
        "the hub from its roof to the other side of the bore (T); depth at the side serves where "
        "the far side cannot be reached. The key must be close between the sides and have room on "
        "top: a key that carries the hub on its top is key-bound. When it is loose in the shaft, "
        "peen its lower edges and type the width after each pass in the row 'After pass'. F12 "
        "opens the check list of the trial fit. Lock the drive out before hands go near."
    )
    ACTIONS: ClassVar[tuple[Command, ...]] = (
        verb("finish", "checks", "Checks", "Check list after the trial fit: burrs, screws ..."),
    )
    SUBJECTS: ClassVar[tuple[str, ...]] = SUBJECTS
    result: KeyResult | None = None

    def picture(self) -> Widget:
        """The section."""
        return KeySectionView()

    def work_out(self, figures: MeasurementSet, facts: FitFacts) -> Sheet:
        """Key, shaft and hub across; widths, depths, lengths down."""
        wanted = key_wanted(figures, facts)
        self.result, report = key_report(figures, facts)
        places = {w.key: i for i, w in enumerate(wanted)}
        rows = [*_width_rows(wanted, places), *_other_rows(places)]
        rows += [
            SheetRow(f"After {w.what.removeprefix('width after ')}", (i, None, None))
            for i, w in enumerate(wanted)
            if w.part == "passes"
        ]
        return Sheet(wanted, COLUMNS, tuple(rows), report, _status(figures, facts), title="Figure")

    def show_picture(self) -> None:
        """The gaps."""
        result = self.result
        if result is None:
            return
        view = self.query_one(KeySectionView)
        if result.check is None or result.shaft_side is None:
            view.show(KeySection())
            return
        top, top_style = _top(result.check.top)
        hub, hub_style = _side(result.check.hub_side)
        shaft, shaft_style = _side(result.shaft_side)
        view.show(
            KeySection(
                top, top_style, hub, hub_style, shaft, shaft_style,
                _inches(result.key.width_in), _inches(result.key.height_in),
                shown_dial_unit(),
            )
        )  # fmt: skip

    def action_setup(self) -> None:
        """F8."""
        self.context.go("key_setup", self.job_id)

    def action_checks(self) -> None:
        """F12."""
        if self.settle():
            self.context.go("key_checks", self.job_id, set_no=self.figures.set_no)


Places = Mapping[tuple[str, str, float | None, float | None], int]
"""Row of each figure wanted."""


def _width_rows(wanted: tuple[MeasurementRequest, ...], places: Places) -> list[SheetRow]:
    """One row for each place where a width is measured; the key's own in the first."""
    depths = dict.fromkeys(w.depth_in for w in wanted if w.what == "width" and w.subject != KEY)
    rows = []
    for number, depth in enumerate(depths):
        key = places.get((KEY, "width", None, None)) if number == 0 else None
        at = "" if depth is None else f" at {format_station(depth, unit=False)}"
        sides = (places.get((part, "width", depth, None)) for part in (SHAFT, HUB))
        rows.append(SheetRow(f"Width{at}", (key, *sides)))
    return rows


def _other_rows(places: Places) -> list[SheetRow]:
    return [
        SheetRow(
            label,
            (
                places.get((KEY, of_key, None, None)),
                *(places.get((part, of_way, None, None)) for part in (SHAFT, HUB)),
            ),
        )
        for label, of_key, of_way in ROWS
    ]


def _status(figures: MeasurementSet, facts: FitFacts) -> str:
    setup = key_setup(figures, facts)
    if setup.least_in is not None and setup.most_in is not None:
        against = "shop's side fit"
    else:
        against = f"B17.1 class {setup.fit_class}"
    return f"shaft {format_length(setup.diameter_in)}, {against}"


def _inches(value_in: float | None) -> str:
    return "?" if value_in is None else format_length(value_in, unit=False)


def _top(top: TopFit) -> tuple[str, str]:
    if top.clearance_in is None:
        return "?", ""
    shown = format_dial(top.clearance_in, unit=False)
    if top.word == "key-bound":
        return f"BOUND {format_dial(-top.clearance_in, unit=False)}", "bad"
    return shown, "good" if top.word == "clear" else "doubt"


def _side(fit: SideFit) -> tuple[str, str]:
    if fit.least_in is None:
        return "?", ""
    style = "bad" if fit.verdict.word in BAD_SIDES else ""
    return format_dial(fit.least_in, unit=False), style
