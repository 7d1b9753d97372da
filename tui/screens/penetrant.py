"""Penetrant check: the areas of the shaft, the clock of each, what was seen."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import ClassVar

from textual.app import ComposeResult
from textual.widgets import Static

from core.book import penetrant_checks, settings
from core.book.file import Book
from core.errors import ShaftlogError
from core.penetrant import SAFETY, Standard, standards
from tui.keys import Command
from tui.screens.ask import AskScreen
from tui.screens.base import JobScreen
from tui.screens.penetrant_desk import (
    DONE_WORDS,
    REMEMBERED,
    STAGES,
    Spot,
    begin,
    chosen_standard,
    spots,
    take_back,
)
from tui.screens.penetrant_words import facts_words, left_words, result_words, verdict_words
from tui.widgets.list_box import Column, ListBox, ListRow
from tui.widgets.menu import MenuItem
from tui.widgets.plain import plain

CLOSED = "This job is closed: its penetrant checks can be read, not changed."
RESULTS = (
    MenuItem("clear", "Clear: no line, no bleeding-out"),
    MenuItem("crack", "Crack: a line bled out; the repair stops"),
    MenuItem("unclear", "Cannot tell: clean it and do it again"),
)


class PenetrantScreen(JobScreen):
    """Every area with its stage; keys stamp the next stage of one area or of all at that stage."""

    HEADING = "Penetrant check"
    HOW_TO = (
        "Choose an area with Up and Down. F4 stamps its next stage (penetrant on, wiped, developer "
        "on), F5 the same stage at all areas that wait for it. The clock runs on in the top line "
        "of every screen and after a restart; the bell rings when a stage is due. F6 says what was "
        "seen. A crack stops the repair until a named person overrules it in writing (F12). Local "
        "rules, the maker's sheet and the class society come before the times shown here."
    )
    COMMANDS: ClassVar[tuple[Command, ...]] = (
        Command("stage", ("f4",), "Next stage", "Stamp the next stage of this area"),
        Command("stage_all", ("f5",), "All", "The same stage at every area that waits for it"),
        Command("result", ("f6",), "Seen", "What was seen at this area"),
        Command("undo", ("f7",), "Undo", "Take the last stamp or result of this area back"),
        Command("standard", ("f8",), "Standard", "Choose the standard that gives the times"),
        Command("more", ("f12",), "More", "Cold shaft, shorter dwell, do again, overrule"),
    )
    DEFAULT_CSS = """
    PenetrantScreen #verdict { height: 2; text-style: bold; padding: 0 1; }
    PenetrantScreen #facts { height: auto; max-height: 10; padding: 0 1;
        border-top: solid $foreground; }
    """
    TICK_S = 1.0

    def __init__(self, job_id: str) -> None:
        super().__init__(job_id)
        self.spots: tuple[Spot, ...] = ()
        self.cold = False
        self.short = False

    @property
    def book(self) -> Book:
        """The open book."""
        return self.app.book

    @property
    def now(self) -> datetime:
        """The moment by the app's clock."""
        return datetime.fromtimestamp(self.app.clock(), UTC)

    @property
    def chosen(self) -> Standard:
        """The standard in force."""
        return chosen_standard(self.book, self.job_id)

    @property
    def here(self) -> Spot:
        """The area under the cursor."""
        return self.spots[self.query_one(ListBox).cursor]

    def body(self) -> ComposeResult:
        """Verdict, areas, facts of the area under the cursor."""
        yield Static(id="verdict")
        yield ListBox(
            (
                Column("Area", 0),
                Column("Inches", 13, right=True),
                Column("Stage", 12),
                Column("Left", 7, right=True),
                Column("Seen", 12),
            ),
            empty="No area: the shaft has no length yet (F4 on the job card).",
        )
        yield Static(id="facts")

    def on_mount(self) -> None:
        """Look at the clocks every second."""
        self.set_interval(self.TICK_S, self._tick)

    def _tick(self) -> None:
        if self.is_current and any(spot.clock and not spot.settled for spot in self.spots):
            with self.in_words():
                self._look()

    def refresh_view(self) -> None:
        """Read the book."""
        self._look()

    def _look(self) -> None:
        self.spots = spots(self.book, self.job_id, self.now)
        rows = tuple(_row(spot) for spot in self.spots)
        box = self.query_one(ListBox)
        if rows != box.rows:
            box.show(rows)
        self._tell()

    def _tell(self) -> None:
        self.query_one("#verdict", Static).update(plain(verdict_words(self.spots)))
        if self.spots:
            words = facts_words(self.here, self.chosen, SAFETY, cold=self.cold, short=self.short)
            self.query_one("#facts", Static).update(plain(words))

    def on_list_box_moved(self) -> None:
        """Facts of the area under the cursor."""
        if self.spots:
            self._tell()

    def on_list_box_chosen(self) -> None:
        """Enter: the next stage, or what was seen."""
        if self.here.stage in ("developing", "look"):
            self.action_result()
        else:
            self.action_stage()

    # -- keys --------------------------------------------------------------------------------------

    def _changed(self, words: str) -> None:
        self._look()
        self.app.look_at_clocks()
        self.say(words, "done")

    def _may_change(self) -> None:
        if self.read_only:
            raise ShaftlogError(CLOSED)
        if not self.spots:
            raise ShaftlogError("No area to check: give length and diameter at intake first.")

    def action_stage(self) -> None:
        """F4."""
        with self.in_words():
            self._may_change()
            self._stamp((self.here,))

    def action_stage_all(self) -> None:
        """F5."""
        with self.in_words():
            self._may_change()
            here = self.here
            fresh = here.check is None or here.again
            self._stamp(
                tuple(
                    spot
                    for spot in self.spots
                    if spot.stage == here.stage and (spot.check is None or spot.again) == fresh
                )
            )

    def _stamp(self, some: tuple[Spot, ...]) -> None:
        first = some[0]
        count = f" at {len(some)} areas" if len(some) > 1 else f": {first.area.name}"
        if first.check is None or first.again or first.check.penetrant_at is None:
            begin(self.book, self.job_id, self.chosen, some, cold=self.cold, short=self.short)
            self._changed(f"Penetrant on{count}. Keep it wet.")
            return
        if first.settled:
            raise ShaftlogError("This area is finished. F12 does it again, F7 takes it back.")
        stamp = STAGES.get(first.stage)
        if stamp is None:
            raise ShaftlogError("Nothing more to put on: F6 says what was seen.")
        ids = [spot.check.id for spot in some if spot.check is not None]
        penetrant_checks.stage(self.book, ids, stamp)
        self._changed(f"{DONE_WORDS[stamp]}{count}.")
        if self.here.clock is not None and self.here.clock.warnings:
            self.say(self.here.clock.warnings[-1], "stop")

    def action_result(self) -> None:
        """F6."""
        with self.in_words():
            self._may_change()
            check = self.here.check
            if check is None or check.developer_at is None:
                raise ShaftlogError("Penetrant, wiping and developer come first (F4).")
            question = f"What is seen at: {self.here.area.name}?"
            self.app.push_screen(AskScreen(question, RESULTS), self._seen)

    def _seen(self, result: str | None) -> None:
        check = self.here.check
        if result is None or check is None:
            return
        with self.in_words():
            penetrant_checks.set_result(self.book, check.id, result=result)
            self._changed(result_words(result, self.here))

    def action_undo(self) -> None:
        """F7."""
        with self.in_words():
            self._may_change()
            check = self.here.check
            if check is None:
                raise ShaftlogError("Nothing to take back at this area.")
            self._changed(f"Taken back: {take_back(self.book, check)}.")

    def action_standard(self) -> None:
        """F8."""
        items = tuple(
            MenuItem(s.title, s.title, "from memory" if s.from_memory else "") for s in standards()
        )
        self.app.push_screen(AskScreen("Which standard gives the times?", items), self._choose)

    def _choose(self, title: str | None) -> None:
        if title is None:
            return
        with self.in_words():
            settings.remember(self.book, REMEMBERED, title)
            begun = [s for s in self.spots if s.check is not None]
            self._look()
            kept = " Checks already begun on this job keep theirs." if begun else ""
            self.say(f"Times by {title}.{kept}", "done")

    def action_more(self) -> None:
        """F12."""
        short = self.chosen.short_dwell
        items = [
            MenuItem("cold", f"Shaft at 40 to 50 F: {'no longer' if self.cold else 'yes'}"),
            MenuItem("again", "Do this area again from the start"),
            MenuItem("words", "The standard in words, with its sources"),
            MenuItem("note", "Write a note on this job"),
            MenuItem("overrule", "Overrule a crack: name and written reason"),
        ]
        if short is not None:
            say = f"Shorter dwell, {short.least_min:g} min: {'no longer' if self.short else 'yes'}"
            items.insert(1, MenuItem("short", say))
        self.app.push_screen(AskScreen("What else?", items), self._more)

    def _more(self, name: str | None) -> None:
        with self.in_words():
            if name in ("cold", "short"):
                self._may_change()
                setattr(self, name, not getattr(self, name))
                self._look()
                self.say("Holds for the areas begun from now on.", "done")
            elif name == "again":
                self._may_change()
                begin(self.book, self.job_id, self.chosen, (self.here,),
                      cold=self.cold, short=self.short)  # fmt: skip
                self._changed(f"Begun again, penetrant on: {self.here.area.name}.")
            elif name == "note":
                self.action_note()
            elif name == "words":
                from tui.screens.paper import PaperScreen
                from tui.screens.penetrant_papers import standard_lines

                heading = "Standard of the penetrant check"
                lines = standard_lines(self.chosen)
                self.app.push_screen(PaperScreen(self.job_id, heading, lines))
            elif name == "overrule":
                self._overrule()

    def _overrule(self) -> None:
        self._may_change()
        check = self.here.check
        if check is None or check.result != "crack":
            raise ShaftlogError("No crack is noted at this area: choose the area with the crack.")
        from tui.screens.penetrant_papers import OverruleScreen

        self.app.push_screen(OverruleScreen(self.job_id, check.id))


def _row(spot: Spot) -> ListRow:
    check = spot.check
    seen = check.result if check is not None else ""
    if check is not None and check.overrule_by:
        seen = "crack, let go"
    cells = (
        spot.area.name,
        f"{spot.area.from_in:.1f}-{spot.area.to_in:.1f}",
        "again" if spot.again else spot.stage,
        left_words(spot),
        seen,
    )
    strong = spot.stage in ("wipe", "look", "too late") or seen == "crack"
    return ListRow(spot.area.name, cells, strong)
