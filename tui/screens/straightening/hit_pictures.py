"""Beside the round, where there is room: the line after each hit, the shaft end with the ram."""

from __future__ import annotations

import math

from textual.app import ComposeResult
from textual.containers import Horizontal, Vertical

from core.base.units import PER_INCH, format_clock
from core.jobs.straightening import StraighteningState, expected_tir_in
from core.jobs.sweep.sweep_entry import dial_unit
from tui.screens.straightening.line_view import line_chart, tir_series
from tui.widgets.canvas import LineView
from tui.widgets.chart import Chart, ChartView
from tui.widgets.end_view import EndPoint, EndView, EndViewer

LEGEND = "TIR along the shaft: o now, 1 2 .. as expected after that hit; | ram, : roller, - limit"
MOST_LINES = 9
"""Hits whose line is drawn: each is marked by one digit."""


class HitPictures(Vertical):
    """Nothing on a small screen; the hit chosen is strong in both pictures."""

    DEFAULT_CSS = """
    HitPictures { display: none; height: 3fr; }
    HitPictures ChartView { width: 2fr; height: 1fr; }
    HitPictures EndViewer { width: 1fr; height: 1fr; }
    """

    def compose(self) -> ComposeResult:
        """The chart, the end view."""
        yield LineView()
        with Horizontal():
            yield ChartView()
            yield EndViewer()

    def show(self, state: StraighteningState | None, at: int | None) -> None:
        """Draw the hit at this place of the plan; nothing where none is planned."""
        drawn = (
            state is not None
            and at is not None
            and state.story is not None
            and all(one.hit.ecc_after_in is not None for one in state.plan)
        )
        self.visible = drawn
        if not drawn or state is None or at is None:
            return
        self.query_one(LineView).show(LEGEND, "dim")
        self.query_one(ChartView).show(round_chart(state, at))
        self.query_one(EndViewer).show(ram_view(state, at))


def round_chart(state: StraighteningState, at: int) -> Chart:
    """TIR along the shaft now and after each hit, with those before it made.

    Without the names of the areas, which the bar below has: the lines after the hits lie on them.
    """
    assert state.story is not None
    assert state.story.line is not None
    base = line_chart(state, at + 1)
    x = [float(v) for v in state.story.line.station_in]
    scale = PER_INCH[dial_unit(state.raw.shop)]
    lines = [tir_series(x, expected_tir_in(state, 1)[0], scale, "o", "")]
    for number in range(1, min(len(state.plan), MOST_LINES) + 1):
        style = "first" if number == at + 1 else "dim"
        lines.append(tir_series(x, expected_tir_in(state, number)[1], scale, str(number), style))
    shown = [y for one in lines for y in one.y if y is not None]
    top = max(base.y_limits[1] if base.y_limits else 0.0, 1.12 * max(shown))
    return Chart(
        series=tuple(lines),
        x_limits=base.x_limits,
        x_per=base.x_per,
        y_limits=(0.0, top),
        across=base.across,
        down=base.down,
        notes=tuple(note for note in base.notes if note.y > 0),
    )


def ram_view(state: StraighteningState, at: int) -> EndView:
    """The centres of the sections as they are now, and the clock that goes under the ram."""
    assert state.story is not None
    assert state.story.line is not None
    line, hit = state.story.line, state.plan[at].hit
    points = [EndPoint(float(a), float(b), sign="o", style="dim") for a, b in line.ecc_in]
    reach_in = max((math.hypot(p.toward_0_in, p.toward_90_in) for p in points), default=0.001)
    clock_rad = hit.high_side_rad
    ram = EndPoint(
        reach_in * math.cos(clock_rad),
        reach_in * math.sin(clock_rad),
        f"RAM {format_clock(clock_rad, unit='')}",
        "V",
    )
    limit_in = state.raw.shop.limit_between_in / 2
    return EndView((*points, ram), limit_in, joined=False)
