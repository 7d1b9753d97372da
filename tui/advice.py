"""What to do now on the practice shaft: one line from the screen in front and the practice book."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from core.base.units import format_typed
from core.book import settings
from core.demo.practice import dial_in, stays_in, wrong_on_purpose
from core.jobs.facts import board, facts_of
from core.jobs.steps import steps_of
from core.jobs.sweep.sweep_entry import dial_unit
from tui.screens.base.screen import ShopScreen
from tui.screens.board.board import BoardScreen
from tui.screens.board.job_card import JobCardScreen
from tui.screens.shape.plot import PlotScreen
from tui.screens.straightening.straighten import StraightenScreen
from tui.screens.straightening.straighten_text import small
from tui.screens.straightening.stroke import StrokeScreen
from tui.screens.sweep.sweep import SweepScreen
from tui.screens.sweep.sweep_setup import SweepSetupScreen

TYPED_FIRST = 3
"""Readings that are typed; a gauge cable brings the others."""
NOT_PRACTISED = "this screen is not part of the practice: Esc goes back."


class Advisor:
    """Knows what it has put into the field of a sweep, so that it does so once a slot."""

    def __init__(self) -> None:
        self.filled = ""
        """The slot that was filled last."""
        self._words: dict[type[ShopScreen], Callable[[Any, bool], str]] = {
            BoardScreen: self._board,
            JobCardScreen: self._card,
            SweepSetupScreen: self._setup,
            SweepScreen: self._sweep,
            PlotScreen: self._shape,
            StraightenScreen: self._straighten,
            StrokeScreen: self._stroke,
        }

    def advise(self, screen: ShopScreen, *, answering: bool) -> str:
        """One line of advice; `answering`: a question is open over the screen."""
        words = self._words.get(type(screen))
        return words(screen, answering) if words else NOT_PRACTISED

    def _board(self, screen: ShopScreen, _: bool) -> str:
        if any(line.facts.checked_since_hit for line in board(screen.book)):
            return "a sweep, a slip, a hit, a check: that was it. F12 ends the practice."
        return "one bent shaft is in the shop. Type its number 01, then Enter. (F12 ends it.)"

    def _card(self, screen: JobCardScreen, answering: bool) -> str:
        if answering:
            return "Esc closes this list."
        facts = facts_of(screen.book, screen.job_id)
        if not facts.swept_as_received:
            return "the steps of the job. Enter opens the one marked NEXT: the sweep."
        if facts.checked_since_hit:
            return "done: Esc goes to the board, F12 there ends the practice."
        number = [step.name for step in steps_of(facts)].index("straighten") + 1
        return f"in a shop look for cracks first. Here press {number}: Straighten."

    def _setup(self, _: ShopScreen, __: bool) -> str:
        return "all is filled in: rollers, dial, marks. F12 starts reading."

    def _sweep(self, screen: SweepScreen, answering: bool) -> str:
        session = screen.session
        if answering:
            return "press 1: finish."
        if session is None:
            return "F12, then 3, starts a sweep."
        if screen.bench.known.slips:
            if screen.bench.known.slips[0].suggested_in is None:
                return "a reading does not fit the others: F7 goes there, then read it again."
            return "a slip? See the line above the field. F7 takes its offer."
        if session.complete or session.finished:
            return "all is read. F12, then 1: finish and go on."
        return self._reading(screen)

    def _reading(self, screen: SweepScreen) -> str:
        """What the dial shows at the mark under the cursor."""
        session = screen.session
        assert session is not None
        station_in, slot = session.station_in, session.slot
        if station_in is None or slot is None or slot.clock_deg is None:
            return "F12, then 3: start the sweep again with eight marks."
        unit = session.unit
        value_in = dial_in(screen.book, session.sweep, station_in, slot.clock_deg)
        if session.current is None:
            value_in = wrong_on_purpose(session.sweep, station_in, slot.clock_deg, value_in)
        shown = format_typed(value_in, unit)
        first = session.sweep.purpose == "as received" and session.cursor.station_no == 0
        if first and len(session.readings) < TYPED_FIRST:
            if slot.clock_deg == session.sweep.marks_deg[0]:
                return f"set the dial to zero at mark {slot.clock_deg:g}: type {shown}, then Enter."
            return f"at mark {slot.clock_deg:g} the dial shows {shown}. Type it, then Enter."
        self._fill(screen, shown)
        return f"a gauge cable now sends what the dial shows ({shown}): Enter takes it."

    def _fill(self, screen: SweepScreen, shown: str) -> None:
        """Put a reading into the field once for each slot, if nothing is typed there."""
        session = screen.session
        assert session is not None
        place = f"{session.sweep.id} {session.cursor} {len(session.rows)}"
        if not screen.field.value and self.filled != place:
            self.filled = place
            screen.field.give_back(shown)

    def _shape(self, screen: PlotScreen, answering: bool) -> str:
        return "the runout along the shaft and the bend found. F10 shows the card."

    def _straighten(self, screen: StraightenScreen, answering: bool) -> str:
        state, facts = screen.state, facts_of(screen.book, screen.job_id)
        if answering:
            return "Esc leaves the question."
        if facts.checked_since_hit:
            return "the check is in: that was it. Esc to the board, there F12 ends it."
        if state is None:
            return "the bold lines say what is missing." if screen.trouble else "one moment."
        if facts.hits:
            return "the hit is noted. F6 starts the quick check: a few stations."
        if not state.plan:
            return "no hit is planned: Esc, then sweep the shaft first."
        return "the marked line is the first hit: where, which side, how far. Enter."

    def _stroke(self, screen: StrokeScreen, answering: bool) -> str:
        led = screen.led_now()
        if led.next.travel_in is None:
            return "it stays where asked. F12 goes back to the round."
        unit = dial_unit(settings.load(screen.book))
        stays = stays_in(screen.book, screen.job_id, screen.entry, led.next.travel_in)
        loaded, shown = small(led.next.travel_in, unit), format_typed(stays, unit)
        return f"load to {loaded}, release: it stays at {shown}. Type {shown}, then Enter."
