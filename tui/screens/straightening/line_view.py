"""The line of the shaft now and as expected after each hit of the round."""

from __future__ import annotations

from collections.abc import Sequence
from typing import ClassVar

from textual.app import ComposeResult

from core.base.units import PER_INCH, format_clock, format_in_unit, format_length, length_unit
from core.jobs.straightening import StraighteningState, expected_tir_in
from core.jobs.sweep.sweep_entry import dial_unit
from tui.base.commands import Command
from tui.screens.base.screen import JobScreen
from tui.widgets.canvas import LineView
from tui.widgets.chart import Chart, ChartLabel, ChartView, Series


class LineScreen(JobScreen):
    """TIR along the shaft, one hit after the other."""

    HEADING = "Line after each hit"
    HOW_TO = (
        "o is the TIR along the shaft before the hit, x what the plan expects after it, | the hit, "
        ": a roller, - the limit between the riding areas. Left and Right go from hit to hit, each "
        "with those before it made. The plan is a prediction: only the quick check tells."
    )
    ACTIONS: ClassVar[tuple[Command, ...]] = (
        Command("before", ("left", "up"), "Before", "The hit before"),
        Command("after", ("right", "down"), "After", "The next hit"),
    )
    AUTO_FOCUS = ""
    DEFAULT_CSS = "LineScreen ChartView { height: 1fr; }"

    def __init__(self, job_id: str, state: StraighteningState, number: int) -> None:
        super().__init__(job_id)
        self.state = state
        self.number = number
        """Number of the hit shown, from 1."""

    def body(self) -> ComposeResult:
        """Words of the hit, the chart."""
        yield LineView(id="what")
        yield LineView(id="worst")
        yield ChartView()

    def refresh_view(self) -> None:
        """Draw the hit in view."""
        planned = self.state.plan[self.number - 1]
        before, after = expected_tir_in(self.state, self.number)
        unit = dial_unit(self.state.raw.shop)
        self.query_one("#what", LineView).show(
            f"Hit {self.number} of {len(self.state.plan)}: "
            f"{format_length(planned.hit.station_in, 2)}, clock "
            f"{format_clock(planned.hit.high_side_rad)}   o before   x expected after",
            "strong",
        )
        self.query_one("#worst", LineView).show(
            f"Bend part of the TIR at worst {format_in_unit(max(before), unit)} before, "
            f"{format_in_unit(max(after), unit)} after."
        )
        self.query_one(ChartView).show(line_chart(self.state, self.number))

    def _step(self, by: int) -> None:
        self.number = min(max(self.number + by, 1), len(self.state.plan))
        self.refresh_view()

    def action_before(self) -> None:
        """Left."""
        self._step(-1)

    def action_after(self) -> None:
        """Right."""
        self._step(1)


def line_chart(state: StraighteningState, number: int) -> Chart:
    """Both lines, the hit, the rollers, the limit, the riding areas by name."""
    assert state.story is not None
    assert state.story.line is not None
    line, hit = state.story.line, state.plan[number - 1].hit
    x = [float(v) for v in line.station_in]
    before, after = expected_tir_in(state, number)
    scale = PER_INCH[dial_unit(state.raw.shop)]
    limit = state.raw.shop.limit_between_in * scale
    top = max(limit, scale * max(*before, *after)) * 1.12
    length_in = state.raw.shaft.length_in
    names = tuple(
        ChartLabel((a.from_in + a.to_in) / 2, 0.0, a.name.split()[0][:6], "dim")
        for a in state.raw.areas
    )
    clock = ChartLabel(hit.station_in, top, f"{number}: {format_clock(hit.high_side_rad, unit='')}")
    return Chart(
        series=(
            tir_series(x, before, scale, "o", "dim"),
            tir_series(x, after, scale, "x", "first"),
        ),
        x_limits=(0.0, length_in),
        x_per=PER_INCH[length_unit()],
        y_limits=(0.0, top),
        across=((limit, "dim"),),
        down=(
            *((float(r), ":", "dim") for r in line.rollers_in),
            (hit.station_in, "│", "strong"),
        ),
        notes=(*names, clock),
    )


def tir_series(
    x: Sequence[float], tir_in: Sequence[float], scale: float, marker: str, style: str
) -> Series:
    """A line of TIR along the shaft in the unit of the dial."""
    return Series(tuple(x), tuple(scale * v for v in tir_in), marker, True, style)
