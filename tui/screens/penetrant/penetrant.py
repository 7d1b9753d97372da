"""Penetrant check: the areas of the shaft, the clock of each, what was seen."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING, ClassVar

from textual.app import ComposeResult
from textual.containers import Horizontal, Vertical
from textual.message import Message
from textual.widgets import Static

from core.base.errors import ShaftlogError
from core.base.quantities import TEMPERATURE, in_shop_figures
from core.base.units import in_shop_unit, length_unit
from core.jobs.penetrant import (
    AreaCheck,
    bends_in_readings,
    readings_as_received,
    spots,
)
from core.jobs.penetrant_actions import (
    DONE_WORDS,
    StageDone,
    Stated,
    begin,
    check_as_seen,
    choose_standard,
    next_stamp,
    put_result,
    stamp_due,
    stamp_some,
    stated,
    switch,
    take_back,
    worker_of,
)
from core.penetrant.clock import COLD_F, standards
from tui.base.commands import Command, verb
from tui.screens.base.screen import JobScreen
from tui.screens.penetrant import penetrant_text as words_of
from tui.widgets.big_clock import BigClock
from tui.widgets.list_box import Column, ListBox
from tui.widgets.menu import MenuItem
from tui.widgets.plain import plain

EARLY = (
    MenuItem("wait", "Wait: nothing is stamped"),
    MenuItem("done", "It was done early: stamp it, the area is to be done again"),
)
if TYPE_CHECKING:
    from core.runout.readings import SweepReadings

AREA_LOST = "The area chosen is no longer in the list: choose with Up, Down or Enter."
CHECKS_CLOSED = "This job is closed: its penetrant checks can be read, not changed."
RESULTS = (
    MenuItem("clear", "Clear: no line, no bleeding-out"),
    MenuItem("crack", "Crack: a line bled out; the repair stops"),
    MenuItem("unclear", "Cannot tell: clean it and do it again"),
)
_UNIT_HEADINGS = {"in": "Inches", "mm": "mm"}


class PenetrantScreen(JobScreen):
    """Every area with its stage; keys stamp the next stage of one area or of all at that stage."""

    HEADING = "Penetrant check"
    HOW_TO = (
        "Choose an area with Up and Down. F4 stamps its next stage: penetrant on, wiped, developer "
        "on. F6 stamps that stage at all areas that are due for it and names those that are not. "
        "The clock runs on in the top line of every screen and after a restart; the bell rings "
        "when a stage is due. F12 notes what was seen. F5 takes the last act at this area back, at "
        "all areas it was done at. A crack stops the repair until a named person overrules it in "
        "writing (F7). Entries are noted for who works (set-up of the press), else for the bench. "
        "Bends and spots of earlier visits are looked at before they are pressed; a spot hit after "
        "its check is to be done again. Local rules, the maker's sheet and the class society come "
        "before the times shown here."
    )
    ACTIONS: ClassVar[tuple[Command, ...]] = (
        verb("act", "stage", "Stage", "Stamp the next stage of this area"),
        verb("data", "stage_all", "All", "The same stage at every area that waits for it"),
        verb("finish", "result", "Seen", "What was seen at this area"),
        verb("undo", "undo", "Undo", "Take the last stamp or result of this area back"),
        verb("setup", "standard", "Standard", "Choose the standard that gives the times"),
        verb("more", "more", "More", "Cold shaft, shorter dwell, do again, overrule"),
    )
    DEFAULT_CSS = """
    PenetrantScreen #head { height: 5; }
    PenetrantScreen #verdict { height: auto; max-height: 2; text-style: bold; }
    PenetrantScreen #running { height: auto; max-height: 3; }
    PenetrantScreen ListBox { min-height: 4; }
    PenetrantScreen #now { height: auto; max-height: 3; text-style: bold;
        border-top: solid $foreground; }
    PenetrantScreen #facts { height: auto; max-height: 8; }
    """
    TICK_S = 1.0

    class BendsFound(Message):
        """The bends as received, found on a thread."""

        def __init__(self, bends_in: tuple[float, ...]) -> None:
            super().__init__()
            self.bends_in = bends_in

    def __init__(self, job_id: str) -> None:
        super().__init__(job_id)
        self.spots: tuple[AreaCheck, ...] = ()
        self.bends_in: tuple[float, ...] = ()
        """Stations of the bends as received, once they are found."""
        self.lost_at: int | None = None
        """Row of the cursor while nobody has chosen it: the area chosen left the list."""
        self._painted = ""

    @property
    def stated(self) -> Stated:
        """Standard and conditions for the areas begun from now on."""
        return stated(self.book, self.job_id)

    @property
    def by(self) -> str:
        """The name that stamps and results are noted under."""
        return worker_of(self.book, self.job_id) or self.book.by

    @property
    def here(self) -> AreaCheck:
        """The area under the cursor."""
        return self.spots[min(self.query_one(ListBox).cursor, len(self.spots) - 1)]

    def body(self) -> ComposeResult:
        """Verdict and big clock, areas, what to do at the area under the cursor."""
        with Horizontal(id="head"):
            with Vertical():
                yield Static(id="verdict")
                yield Static(id="running")
            yield BigClock()
        yield ListBox(
            (
                Column("Area", 0),
                Column(_UNIT_HEADINGS[length_unit()], 13, right=True),
                Column("Stage", 11),
                Column("Left", 7, right=True),
                Column("Seen", 13),
            ),
            empty="No area: the shaft has no length yet (F4 on the job card).",
        )
        yield Static(id="now")
        yield Static(id="facts")

    def on_mount(self) -> None:
        """Look at the clocks every second."""
        self.set_interval(self.TICK_S, self._tick)

    def _tick(self) -> None:
        if self.is_current and any(spot.clock and not spot.settled for spot in self.spots):
            with self.in_words():
                self._look()

    def refresh_view(self) -> None:
        """Read the book; the bends as received are found on another thread."""
        self._look()
        readings = readings_as_received(self.book, self.job_id)
        self.run_worker(partial(self._find_bends, readings), thread=True, exclusive=True)

    def _find_bends(self, readings: SweepReadings | None) -> None:
        self.post_message(self.BendsFound(bends_in_readings(readings)))

    def on_penetrant_screen_bends_found(self, event: BendsFound) -> None:
        """List the bends among the areas to look at before pressing."""
        if self.is_attached and event.bends_in != self.bends_in:
            self.bends_in = event.bends_in
            self._look()

    def _look(self) -> None:
        self.spots = spots(self.book, self.job_id, self.now, self.bends_in)
        rows = tuple(words_of.row_of(spot) for spot in self.spots)
        box = self.query_one(ListBox)
        was = box.chosen
        if rows != box.rows:
            box.show(rows)
        if was is not None and box.chosen is not None and was.name != box.chosen.name:
            self.lost_at = box.cursor
        self._tell()

    def _tell(self) -> None:
        """Words and clock; nothing is painted that is there already."""
        running, now, facts = None, "", ""
        if self.spots:
            running = words_of.running_spot(self.spots, self.here)
            now = AREA_LOST if self.lost_at is not None else words_of.now_words(self.here, self.by)
            facts = words_of.facts_words(self.here, self.stated)
        self.query_one(BigClock).show(*words_of.big_words(running))
        parts = {
            "#verdict": words_of.verdict_words(self.spots),
            "#running": words_of.running_words(running, self.spots),
            "#now": now,
            "#facts": facts,
        }
        if (painted := repr(parts)) != self._painted:
            self._painted = painted
            for name, words in parts.items():
                self.query_one(name, Static).update(plain(words))

    def on_list_box_moved(self) -> None:
        """Facts of the area under the cursor."""
        if self.query_one(ListBox).cursor != self.lost_at:
            self.lost_at = None
        if self.spots:
            self._tell()

    def on_list_box_chosen(self) -> None:
        """Enter: the next stage, or what was seen; where none is chosen, it chooses."""
        if self.lost_at is not None:
            self.lost_at = None
            self._tell()
            return
        if self.here.stage in ("developing", "look"):
            self.action_result()
        else:
            self.action_stage()

    # -- keys --------------------------------------------------------------------------------------

    def _changed(self, words: str) -> None:
        self._look()
        self.context.look_at_clocks()
        self.say(words, "done")

    def _may_change(self) -> None:
        if self.read_only:
            raise ShaftlogError(CHECKS_CLOSED)
        if not self.spots:
            raise ShaftlogError("No area to check: give length and diameter at intake first.")
        if self.lost_at is not None:
            raise ShaftlogError(AREA_LOST)

    def action_stage(self) -> None:
        """F4: one area; asked first when its wait is not over."""
        with self.in_words():
            self._may_change()
            here = self.here
            next_stamp(here)
            if here.due:
                self._stamped(stamp_some(self.book, self.job_id, (here,), self.spots))
                return
            left = words_of.left_words(here)
            self.ask_which(
                f"{here.area.shown}: {here.stage} is not over, {left} left.",
                EARLY,
                partial(self._early, here),
            )

    def _early(self, asked: AreaCheck, answer: str | None) -> None:
        if answer == "done":
            with self.in_words():
                self._stamped(stamp_some(self.book, self.job_id, (asked,), self.spots))

    def action_stage_all(self) -> None:
        """F6: all areas that are due for the stage of the one under the cursor."""
        with self.in_words():
            self._may_change()
            self._stamped(stamp_due(self.book, self.job_id, self.here, self.spots))

    def _stamped(self, done: StageDone) -> None:
        """Say what was stamped where, and which areas were left out."""
        where = f" at {len(done.areas)} areas" if len(done.areas) > 1 else f": {done.areas[0]}"
        wet = " Keep it wet." if done.stamp == "penetrant_at" else ""
        left = f" Not due yet: {', '.join(done.left_out)}." if done.left_out else ""
        self._changed(f"{DONE_WORDS[done.stamp]}{where}.{wet}{left}")
        self._warn()

    def _warn(self) -> None:
        """Too early or too late: say so, and that a slip of the finger can be taken back."""
        clock = self.here.clock
        if clock is not None and clock.warnings:
            self.say(f"{clock.warnings[-1]} F5 if it was a slip of the key.", "stop")

    def action_result(self) -> None:
        """F12."""
        with self.in_words():
            self._may_change()
            if self.here.crack:
                raise ShaftlogError("A crack is noted here: F5 takes a slip back, F7 overrules.")
            question = f"What is seen at: {self.here.area.shown}?"
            self.ask_which(question, RESULTS, partial(self._seen, self.here))

    def _seen(self, asked: AreaCheck, result: str | None) -> None:
        if result is None:
            return
        with self.in_words():
            put_result(self.book, self.job_id, asked, result)
            self._changed(words_of.result_words(result, self.here))
            if result != "clear":
                self._note()
            elif self.here.again:
                self._warn()

    def action_undo(self) -> None:
        """F5."""
        with self.in_words():
            self._may_change()
            here = self.here
            if here.check is None:
                raise ShaftlogError("Nothing to take back at this area.")
            check_as_seen(self.book, self.job_id, here)
            self._changed(f"Taken back: {take_back(self.book, here.check)}.")

    def action_standard(self) -> None:
        """F8."""
        with self.in_words():
            self._may_change()
            items = tuple(
                MenuItem(s.title, s.title, "from memory" if s.from_memory else "")
                for s in standards()
            )
            self.ask_which("Which standard gives the times?", items, self._choose)

    def _choose(self, title: str | None) -> None:
        if title is None:
            return
        with self.in_words():
            choose_standard(self.book, self.job_id, title)
            begun = any(s.check is not None and s.check.penetrant_at for s in self.spots)
            self._look()
            kept = " Checks already begun keep theirs." if begun else ""
            self.say(f"Times by {title}.{kept}", "done")

    def action_more(self) -> None:
        """F7."""
        now = self.stated
        short = now.standard.short_dwell
        least = f", {short.least_min:g} min" if short is not None else ""
        about = "not in this standard"
        if short is not None:
            about = f"only if: {in_shop_figures(in_shop_unit(short.applies_to))}"
        items = (
            MenuItem(
                "cold", f"Switch: shaft at {TEMPERATURE.span(*COLD_F)}", f"now {_yes(now.cold)}"
            ),
            MenuItem(
                "short_dwell", f"Switch: shorter dwell{least}", f"now {_yes(now.short_dwell)}"
            ),
            MenuItem("again", "Do this area again from the start: penetrant on now"),
            MenuItem("area_note", "Note on this area"),
            MenuItem("words", "The standard in words, with its sources"),
            MenuItem("overrule", "Overrule a crack: name and written reason"),
        )
        self.ask_which(f"What else? Shorter dwell {about}.", items, self._more)

    def _more(self, name: str | None) -> None:
        with self.in_words():
            if name == "words":
                self._standard_in_words()
            elif name is not None:
                self._may_change()
                if name in ("cold", "short_dwell"):
                    self._switch(name)
                elif name == "again":
                    self._begin_again()
                elif name == "area_note":
                    self._note()
                elif name == "overrule":
                    self._overrule()

    def _switch(self, name: str) -> None:
        on, dwelling = switch(self.book, self.job_id, name, self.spots)
        what = {"cold": "Cold shaft", "short_dwell": "Shorter dwell"}[name]
        also = f" and the {dwelling} that dwell now" if dwelling else ""
        holds = f"for the areas begun from now on{also}"
        self._changed(f"{what}: {'yes' if on else 'no longer'}, {holds}.")

    def _begin_again(self) -> None:
        if self.here.crack:
            raise ShaftlogError("A crack is noted here: F5 takes a slip back, F7 overrules it.")
        begin(self.book, self.job_id, (self.here,))
        self._changed(f"Begun again, penetrant on: {self.here.area.shown}. F5 takes it back.")

    def _standard_in_words(self) -> None:
        from tui.screens.penetrant.penetrant_pages import standard_lines

        lines = standard_lines(self.stated.standard)
        heading = "Standard of the penetrant check"
        self.context.go("paper", self.job_id, heading=heading, lines=lines)

    def _note(self) -> None:
        check = self.here.check
        if check is None:
            raise ShaftlogError("No check of this area is begun: F9 writes a note on the job.")
        self.context.go("area_note", self.job_id, check_id=check.id)

    def _overrule(self) -> None:
        check = self.here.check
        if check is None or not self.here.crack:
            raise ShaftlogError("No crack was found at this area: choose the area with the crack.")
        self.context.go("overrule", self.job_id, check_id=check.id)


def _yes(on: bool) -> str:
    return "yes" if on else "no"
