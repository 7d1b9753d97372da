"""The clock of a cooling bar: one mark read until it stays the same."""

from __future__ import annotations

from math import radians
from typing import ClassVar

from textual.app import ComposeResult
from textual.widgets import Static

from core.base.errors import ShaftlogError
from core.base.quantities import TEMPERATURE
from core.base.times import local_text, moment
from core.base.units import format_clock, format_length
from core.jobs.heat.cooling import SpotCooling
from core.jobs.heat.spots import last_spot, read_cooling, undo_cooling
from core.jobs.press_setup import press_setup
from tui.base.commands import Command, verb
from tui.screens.base.screen import JobScreen
from tui.screens.straightening.straighten_text import small
from tui.widgets.big_clock import BigClock, clock_text
from tui.widgets.form import FieldSpec, Form
from tui.widgets.plain import plain

SHOWN = 6
"""Newest readings in the list."""
BLACK_HOT_F = 900.0
"""Metal that is still black, F; common practice, no source."""
COOLING_CAUTION = (
    "Hot metal and steam burn; what looks black can be {hot}. Let it lie still: no hit, no flame, "
    "no penetrant on a warm bar."
)

NO_SPOT = "No heat spot has been noted on this job."


class CoolingScreen(JobScreen):
    """Readings of one mark; the bar is cold when two far enough apart agree."""

    HEADING = "Cooling"
    HOW_TO = (
        "Leave the dial on one mark and do not turn the shaft. Type what it reads, and again when "
        "the clock shows NOW. The bar is cold when the reading has stayed within one graduation "
        "for that long: then too little is still to come to matter. A finer dial waits less. "
        "Readings before that are warm: they are kept and never used. A sweep begun on a warm bar "
        "is not used. F4 goes back to the round once it is cold; F5 takes the last reading back."
    )
    ACTIONS: ClassVar[tuple[Command, ...]] = (
        verb("act", "done", "Go on", "Back to the round, to check what the spot took out"),
        verb("undo", "undo", "Undo", "Take the last reading back"),
    )
    TICK_S: ClassVar[float] = 1.0
    DEFAULT_CSS = """
    CoolingScreen #what { height: auto; padding: 0 1; text-style: bold; }
    CoolingScreen #readings { height: 1fr; padding: 0 1; }
    CoolingScreen #state { height: auto; padding: 0 1; text-style: bold; }
    CoolingScreen #safety { height: auto; padding: 0 1; }
    """

    def __init__(self, job_id: str) -> None:
        super().__init__(job_id)
        self.unit = "thou"
        self.spot: SpotCooling | None = None

    def body(self) -> ComposeResult:
        """The spot, the clock, the readings, the field."""
        setup = press_setup(self.book, self.job_id)
        self.unit = setup.shop.unit
        yield Static(id="what")
        yield BigClock()
        yield Static(id="readings")
        yield Static(id="state")
        yield Form(
            FieldSpec("value_in", f"The dial reads, {self.unit}", "length", "",
                      "At the same mark each time, the shaft lying still.", unit=self.unit,
                      least=-5.0, most=5.0),
            save=self._save,
        )  # fmt: skip
        yield Static(plain(COOLING_CAUTION.format(hot=TEMPERATURE.text(BLACK_HOT_F))), id="safety")

    def on_mount(self) -> None:
        """The clock runs."""
        super().on_mount()
        self.set_interval(self.TICK_S, self._tick)

    def refresh_view(self) -> None:
        """The spot as it is now."""
        self.spot = last_spot(self.book, self.job_id)
        if self.spot is None:
            self.query_one("#what", Static).update(NO_SPOT)
            return
        made = self.spot.hit
        hot = "not measured"
        if made.temperature_f is not None:
            hot = TEMPERATURE.text(made.temperature_f)
        what = (
            f"Heat spot at {format_length(made.station_in, 2)}, clock "
            f"{format_clock(radians(made.clock_deg))}, {hot}, made "
            f"{local_text(made.at, '%H:%M')} by {made.by or 'nobody named'}."
        )
        self.query_one("#what", Static).update(plain(what))
        lines = [
            f"{local_text(r.at, '%H:%M:%S')} {small(r.value_in, self.unit):>12}"
            f"{'   warm' if self._is_warm(r.at) else ''}"
            for r in self.spot.readings[-SHOWN:]
        ]
        self.query_one("#readings", Static).update(plain("\n".join(lines)))
        self._tick()

    def _is_warm(self, at: str) -> bool:
        return self.spot is None or self.spot.is_warm(moment(at))

    def _tick(self) -> None:
        """Time until the next reading can tell."""
        spot = self.spot
        if spot is None or not self.query(BigClock):
            return
        words = "NOW" if spot.is_warm(self.now) else ""
        if words and spot.read_again_at is not None:
            left = (spot.read_again_at - self.now).total_seconds()
            words = clock_text(left) if left > 0 else words
        self.query_one(BigClock).show(words)
        self.query_one("#state", Static).update(plain(spot.text_at(self.now)))

    def _save(self, name: str, value: object) -> str | None:
        if not isinstance(value, float | int):
            return None
        if self.spot is None:
            raise ShaftlogError(NO_SPOT)
        by = press_setup(self.book, self.job_id).worker
        read_cooling(self.book, self.spot, float(value), by)
        self.later(self._read_on)
        return None

    def _read_on(self) -> None:
        self.query_one(Form).set_field("value_in", "")
        self.refresh_view()

    def action_undo(self) -> None:
        """F5."""
        with self.in_words():
            if self.spot is None:
                raise ShaftlogError(NO_SPOT)
            undo_cooling(self.book, self.spot)
            self.refresh_view()
            self.say("Taken back: the last reading. It stays in the log.", "done")

    def action_done(self) -> None:
        """F4."""
        with self.in_words():
            if self.spot is not None and self.spot.is_warm(self.now):
                raise ShaftlogError("Not read cold yet. Esc goes back; the clock runs on.")
            self.context.back()
