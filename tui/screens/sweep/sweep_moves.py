"""Going about in a sweep: stations, marks, and the questions of F6."""

from __future__ import annotations

import math
from typing import ClassVar

from core.base.errors import BadNumber
from core.base.units import parse_clock_rad, parse_length_in
from core.jobs.resume import true_clock_rad
from tui.base.commands import Command, verb
from tui.screens.base.screen import JobScreen
from tui.screens.sweep import sweep_views as views
from tui.screens.sweep.sweep_bench import QUESTIONS, SweepBench
from tui.screens.sweep.sweep_state import SweepState
from tui.screens.sweep.sweep_views import SweepDisplay


class SweepMoves(JobScreen):
    """The part of the sweep screen that moves the cursor; nothing is stored here."""

    ACTIONS: ClassVar[tuple[Command, ...]] = (
        verb("data", "jump", "Go to", "Go to a station and mark by their numbers"),
        Command("next", ("pagedown",), "Next", "Next station (also + Enter)", footer=False),
        Command("previous", ("pageup",), "Previous", "Previous station (- Enter)", footer=False),
        Command("up", ("up",), "Mark up", "Choose an earlier mark to mend", footer=False),
        Command("down", ("down",), "Mark down", "Choose a later mark", footer=False),
    )

    state: SweepState | None = None
    """The sweep in hand; None before one is started."""
    known: SweepDisplay = SweepDisplay()
    asking: str = ""
    """'' for readings; 'station' or 'clock' while F6 asks where to go."""
    _aside: str = ""
    """What stood typed when F6 was pressed."""

    @property
    def bench(self) -> SweepBench:
        """Pictures and field."""
        return self.query_one(SweepBench)

    def paint(self) -> None:
        """Show the state; the screen knows how."""

    def paint_prompt(self) -> None:
        """Ask for what comes next."""
        if self.asking:
            self.bench.prompt(QUESTIONS[self.asking])
        elif self.state is not None:
            self.bench.prompt(views.prompt_words(self.state))

    # -- stations and marks ------------------------------------------------------------------------

    def step_station(self, by: int) -> None:
        """The next or previous station, at its first empty mark; reading goes on there."""
        state = self.state
        if state is None:
            return
        number = state.cursor.station_no + by
        if not 0 <= number < len(state.stations_in):
            self.say("This is the last station." if by > 0 else "This is the first station.")
            return
        self.state = state.at(number).settled()
        self.bench.echo("")
        self.say("")
        self.paint()

    def step_mark(self, by: int) -> None:
        """The mark above or below, to mend what stands there."""
        if self.state is None:
            return
        cursor = self.state.cursor
        self.state = self.state.at(cursor.station_no, cursor.place_no + by)
        self._say_mend()
        self.paint()

    def _say_mend(self) -> None:
        state = self.state
        if state is None or state.standing is None:
            self.say("")
            return
        was = views.reading_words(state, state.standing)
        self.say(
            f"{was} stands here: a new number takes its place. (Digits moved the mark? NumLock.)"
        )

    def go_to_reading(self, reading_id: str) -> None:
        """The place of a reading, to read it again."""
        state = self.state
        for number in range(len(state.stations_in)) if state else ():
            for place_no, place in enumerate(state.places(number) if state else ()):
                reading = state.reading(number, place) if state else None
                if state and reading is not None and reading.id == reading_id:
                    self.state = state.at(number, place_no)
                    self._say_mend()
                    self.paint()
                    return

    def go_to_clock(self, text: str) -> None:
        """The mark with a clock at the station under the dial; `BadNumber` when there is none."""
        state = self.state
        if state is None:
            return
        typed_deg = math.degrees(parse_clock_rad(text, what="The mark"))
        called = math.degrees(true_clock_rad(typed_deg, state.sweep.direction))
        number = state.find_clock(called)
        if number is None:
            marks = ", ".join(
                views.clock_words(state, p.clock_deg)
                for p in state.places(state.cursor.station_no)
                if p.kind == "mark" and p.clock_deg is not None
            )
            raise BadNumber(f"There is no mark at {typed_deg:g} deg here. Marks: {marks}.")
        self.state = state.at(state.cursor.station_no, number)
        self._say_mend()
        self.paint()

    def go_to_station(self, text: str) -> None:
        """The station nearest to what was typed; `BadNumber` when it is not on the list."""
        state = self.state
        if state is None:
            return
        station_in = parse_length_in(text, what="The station")
        number = state.find_station(station_in)
        if number is None:
            raise BadNumber(
                f"Station {views.short_number(station_in)} in is not on the list. F8 adds it."
            )
        self.state = state.at(number) if number != state.cursor.station_no else state
        self.paint()

    # -- F6 ----------------------------------------------------------------------------------------

    def ask(self, question: str) -> None:
        """Turn the field into a question (empty: back to readings, with what stood typed)."""
        field = self.bench.field
        if question and not self.asking:
            self._aside, field.value = field.value, ""
        self.asking = question
        field.allow_empty = bool(question)
        self.bench.echo("Enter alone: stay" if question else "")
        if not question and self._aside:
            self._end_aside()
        self.paint_prompt()

    def _end_aside(self) -> None:
        """What stood typed comes back, but not at another place than it was meant for."""
        here = self.state is not None and self.state.cursor == self.state.home
        if not (here and self.bench.field.give_back(self._aside)):
            self.bench.echo(f"{self._aside} dropped", "doubt")
        self._aside = ""

    def answer(self, text: str) -> None:
        """An answer to F6: first the station, then the mark."""
        with self.in_words():
            if self.asking == "station":
                if text:
                    self.go_to_station(text)
                self.ask("clock")
            else:
                if text:
                    self.go_to_clock(text)
                self.ask("")

    def action_jump(self) -> None:
        """F6: station, then mark."""
        if self.state is not None:
            self.ask("station")

    def action_next(self) -> None:
        """PgDn."""
        self.step_station(1)

    def action_previous(self) -> None:
        """PgUp."""
        self.step_station(-1)

    def action_up(self) -> None:
        """Up: an earlier mark."""
        self.step_mark(-1)

    def action_down(self) -> None:
        """Down: a later mark."""
        self.step_mark(1)
