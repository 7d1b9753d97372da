"""Straighten: the hits of the next round, what to set, what the dial should show, what it did."""

from __future__ import annotations

from dataclasses import replace
from functools import partial
from typing import ClassVar

from textual.app import ComposeResult
from textual.message import Message
from textual.reactive import reactive
from textual.widgets import Static

from core.base.errors import ShaftlogError
from core.base.records import Hit
from core.jobs import facts, hit_actions
from core.jobs.heat.choice import usual_method
from core.jobs.hit_actions import HitEntry, HitPlace, HitsChanged, place_of
from core.jobs.straightening import (
    HitToMake,
    RawJob,
    StraighteningState,
    read_earlier,
    read_rounds,
    work_out,
)
from core.straightening.response import HEAT
from tui.base.commands import Command, verb
from tui.screens.base.screen import JobScreen
from tui.screens.straightening import straighten_text as texts
from tui.screens.straightening.hit_choice import (
    MORE,
    ask_one_more,
    ask_when,
    ask_which_hit,
    cautions_now,
    last_stroke,
    open_heat,
    open_made_hits,
    sketch,
)
from tui.screens.straightening.hit_pictures import HitPictures
from tui.screens.straightening.straighten_rows import deal_rows
from tui.widgets.list_box import ListBox, ListRow
from tui.widgets.plain import plain
from tui.widgets.shaft_picture import ShaftPicture


class StraightenScreen(JobScreen):
    """The round to make, one line a hit."""

    HEADING = "Straighten"
    HOW_TO = (
        "Choose a hit with Up and Down. Enter leads its stroke: load, release, read what stays, "
        "the next load, until it stays where asked. F4 notes the hit named as made as planned, "
        "with nothing read. F12 notes it with your own figures, or a heat spot. After the round "
        "F6 starts the quick check at the few stations that tell most. If it disagrees with the "
        "hits: correct a hit noted wrong (F7), or sweep the whole shaft. The response is what "
        "your measured hits took out. Press: of what was asked, from 100% at first. Heat: of the "
        "most that mechanics allows, from 30%. It moves to your own share as hits are measured. "
        "Hits are those of the fitted bends, never of the highest reading. Class rules and local "
        "codes come first; a cracked shaft is not hit."
    )
    ACTIONS: ClassVar[tuple[Command, ...]] = (
        verb("act", "hit", "Hit made", "Note the hit named, as planned"),
        verb("finish", "other", "Other", "Note a hit with other figures, or a heat spot"),
        verb("data", "check", "Check", "Start or go on with the quick check of this round"),
        verb("undo", "undo", "Undo", "Take the last hit or correction back"),
        verb("setup", "press", "Press", "Set-up: blocks, who works, the stroke in full"),
        verb("more", "more", "More", "Hits so far, correct a hit, heat, full sweep, hold check"),
    )
    DEFAULT_CSS = """
    StraightenScreen #headline { height: auto; max-height: 6; padding: 0 1; text-style: bold; }
    StraightenScreen ListBox { height: 1fr; min-height: 3; }
    StraightenScreen.-wide.-high HitPictures { display: block; }
    StraightenScreen #note { height: 1; padding: 0 1; text-style: bold; }
    StraightenScreen #facts { height: auto; max-height: 8; padding: 0 1;
        border-top: solid $foreground; }
    StraightenScreen #safety { height: auto; padding: 0 1; }
    """

    state: reactive[StraighteningState | None] = reactive(None, init=False)
    """The round shown."""
    chosen: reactive[HitPlace | None] = reactive(None, init=False)
    """Place of the hit that F4 notes; None = nothing to note, or the choice was lost."""

    class WorkedOut(Message):
        """The round is worked out."""

        def __init__(
            self, raw: RawJob, state: StraighteningState | None, trouble: str = ""
        ) -> None:
            super().__init__()
            self.raw = raw
            self.state = state
            self.trouble = trouble

    def __init__(self, job_id: str) -> None:
        super().__init__(job_id)
        self.read: tuple[RawJob, tuple[RawJob, ...]] | None = None
        """What the book said last; results for older data are dropped."""
        self.trouble = ""
        self.first_next = True
        """The next plan shown starts at its first hit: on opening, after an act of this bench."""
        self.hits_shown: tuple[str, ...] = ()
        """Ids of the hits that the person knows of: shown here, or noted at this bench."""
        self.placed_at = 0
        """Row on which the program, not the person, put the cursor."""

    def body(self) -> ComposeResult:
        """Headline, hits, one hit in words, the shaft."""
        yield Static(id="headline")
        yield ListBox(texts.hit_columns(), empty="No hit is planned.")
        yield HitPictures()
        yield Static(id="facts")
        yield Static(id="note")
        yield Static(plain(texts.SAFETY), id="safety")
        yield ShaftPicture()

    def on_mount(self) -> None:
        """The rows are dealt out again at each new layout."""
        self.screen_layout_refresh_signal.subscribe(self, deal_rows)

    # -- working out -------------------------------------------------------------------------------

    def refresh_view(self) -> None:
        """Read the book; where anything changed, work the round out on another thread. Until then
        no hit is noted."""
        raw = read_rounds(self.book, self.job_id)
        read = raw, read_earlier(self.book, self.job_id)
        if self.first_next:
            self.hits_shown = raw.hit_ids
        if self.read == read and self.state is not None:
            if self._has_body():
                if self.first_next and self.state.raw == raw:  # an act that was taken back
                    self.watch_state(self.state)
                self._show_headline()
            return
        self.read = read
        self.run_worker(partial(self._compute, *read), thread=True, exclusive=True)

    def _has_body(self) -> bool:
        """Whether there is something to show it on: a screen that is being closed has no body."""
        return self.is_attached and bool(self.query("#headline"))

    def _compute(self, raw: RawJob, earlier: tuple[RawJob, ...]) -> None:
        """On a thread: whatever goes wrong in the figures is shown in words."""
        try:
            message = self.WorkedOut(raw, work_out(raw, earlier))
        except ShaftlogError as error:
            message = self.WorkedOut(raw, None, str(error))
        self.post_message(message)

    def on_straighten_screen_worked_out(self, event: WorkedOut) -> None:
        """Show the round; the hit chosen before stays chosen where it is still planned."""
        if not self._has_body() or self.read is None or event.raw is not self.read[0]:
            return
        self._sync_choice()
        self.hits_shown = event.raw.hit_ids
        self.trouble = event.trouble
        self.state = event.state

    def watch_state(self, state: StraighteningState | None) -> None:
        """Fill the list and put the cursor on the chosen hit; one that was lost stays lost."""
        plan = state.plan if state is not None else ()
        box = self.query_one(ListBox)
        at: int | None = None
        if self.first_next or not box.rows:
            at = 0 if plan else None
        elif self.chosen is not None:
            at = self.chosen.index_in(plan)
        self.first_next = False
        unit = texts.unit_of(state) if state is not None else "thou"
        rows = [ListRow(str(n), texts.hit_cells(n, p, unit)) for n, p in enumerate(plan, start=1)]
        box.show(rows, keep=False)
        box.cursor = self.placed_at = at or 0
        self.chosen = place_of(plan[at]) if at is not None else None
        self._show_headline()
        self._show_hit()

    def watch_chosen(self) -> None:
        """Another hit is chosen."""
        self._show_hit()

    def _show_headline(self) -> None:
        cracks = facts.facts_of(self.book, self.job_id).cracks
        lines: tuple[str, ...] = (self.trouble,)
        if self.state is not None:
            lines = texts.headline(self.state, cracks, cautions_now(self))
        self.query_one("#headline", Static).update(plain("\n".join(lines)))

    def _sync_choice(self) -> None:
        """The hit under the cursor is the chosen one, once the person moved the cursor."""
        plan = self.state.plan if self.state is not None else ()
        at = self.query_one(ListBox).cursor
        if plan and (self.chosen is not None or at != self.placed_at):
            self.chosen = place_of(plan[min(at, len(plan) - 1)])

    def on_list_box_moved(self) -> None:
        """The cursor went to another hit."""
        self._sync_choice()

    def on_list_box_chosen(self) -> None:
        """Enter leads the stroke of the hit chosen, or chooses one; it notes nothing."""
        was_chosen = self._index_here() is not None
        self.placed_at = -1
        self._sync_choice()
        if not was_chosen:
            return
        with self.in_words():
            state, here = self._current(), self.here
            if here is not None and self.read and usual_method(*self.read) == HEAT:
                open_heat(self, state, here, self._start_at_first)
            elif here is not None:
                entry, ids = hit_actions.as_planned_entry(here, state.raw), state.raw.hit_ids
                ask_when(self, lambda at: self._lead(replace(entry, at=at), ids))

    def _lead(self, entry: HitEntry, seen: tuple[str, ...]) -> None:
        """The stroke, load by load."""
        stored = self._start_at_first
        self.context.go("stroke", self.job_id, entry=entry, seen=seen, stored=stored)

    def _go_on_with_stroke(self) -> None:
        with self.in_words():
            made, stored = last_stroke(self), self._start_at_first
            entry = hit_actions.entry_of(made)
            self.context.go("stroke", self.job_id, entry=entry, hit_id=made.id, stored=stored)

    @property
    def here(self) -> HitToMake | None:
        """The chosen hit as planned."""
        at = self._index_here()
        return self.state.plan[at] if self.state is not None and at is not None else None

    def _index_here(self) -> int | None:
        if self.state is None or self.chosen is None:
            return None
        return self.chosen.index_in(self.state.plan)

    def _show_hit(self) -> None:
        state, at = self.state, self._index_here()
        self.query_one(HitPictures).show(state, at)
        if state is None:
            for name in ("#facts", "#note"):
                self.query_one(name, Static).update("")
            return
        here = state.plan[at] if at is not None else None
        facts_text = texts.hit_text(here, state) if here is not None else ""
        note = texts.LOST if state.plan else ""
        if here is not None and at is not None:
            note = texts.note_line(at + 1, here, state)
        self.query_one("#facts", Static).update(plain(facts_text))
        self.query_one("#note", Static).update(plain(note))
        self.query_one(ShaftPicture).show(sketch(state, here))

    # -- keys --------------------------------------------------------------------------------------

    def _current(self) -> StraighteningState:
        """The round shown, if hits may be noted by it now; raises in words if not."""
        hit_actions.check_may_hit(self.book, self.job_id)
        if self.state is None or (self.first_next and self.state.plan):
            raise ShaftlogError(texts.WORKING)
        return self.state

    def action_hit(self) -> None:
        """F4."""
        with self.in_words():
            state, here = self._current(), self.here
            if here is None:
                raise ShaftlogError(
                    texts.LOST
                    if state.plan
                    else state.trouble or "No hit is planned. F12 notes one."
                )
            entry = hit_actions.as_planned_entry(here, state.raw)
            ask_when(self, lambda at: self._note(replace(entry, at=at), state.raw.hit_ids))

    def _note(self, entry: HitEntry, seen: tuple[str, ...], confirmed: bool = False) -> None:
        """Store the hit that was shown; ask when another bench noted one since."""
        with self.in_words():
            try:
                made = hit_actions.note_hit(
                    self.book, self.job_id, entry, seen=seen, confirmed=confirmed
                )
            except HitsChanged as changed:
                self.refresh_view()
                ask_one_more(self, changed, lambda: self._note(entry, seen, confirmed=True))
                return
            self._stored(f"Noted: {texts.recorded_text(made)}. F5 takes it back.")

    def _stored(self, said: str) -> None:
        self._start_at_first()
        self.refresh_view()
        self.say(said, "done")

    def action_other(self) -> None:
        """F12."""
        with self.in_words():
            state = self._current()
            here = self.here
            entry = (
                hit_actions.as_planned_entry(here, state.raw)
                if here is not None
                else HitEntry(0.0, 0.0, 0.0, blocks_in=state.raw.blocks_in, by=state.raw.worker)
            )
            ask_when(
                self, lambda at: self._form(replace(entry, at=at), here, seen=state.raw.hit_ids)
            )

    def _form(
        self,
        entry: HitEntry,
        planned: HitToMake | None = None,
        *,
        seen: tuple[str, ...] = (),
        corrects: Hit | None = None,
    ) -> None:
        self.context.go(
            "hit",
            self.job_id,
            entry=entry,
            planned=planned,
            seen=seen,
            corrects=corrects,
            stored=self._start_at_first,
        )

    def _start_at_first(self) -> None:
        self.first_next = True

    def action_undo(self) -> None:
        """F5."""
        with self.in_words():
            gone = hit_actions.undo_hit(self.book, self.job_id, seen=self.hits_shown)
            what = "correction" if gone.corrects else "hit"
            self._stored(f"Taken back: {what} {texts.recorded_text(gone)}. It stays in the log.")
        self.refresh_view()

    def action_check(self) -> None:
        """F6: the quick check of the hits made, as the last full sweep was set up."""
        with self.in_words():
            state = self._current()
            if state.story is not None and state.story.line is None:
                raise ShaftlogError(f"{state.trouble} F7 begins it, or corrects a hit.")
            sweep_id = hit_actions.quick_check(self.book, self.job_id, state.story)
            self.context.go("sweep", self.job_id, sweep_id=sweep_id)

    def action_press(self) -> None:
        """F8."""
        here = self.here
        options = {} if here is None else {"planned": here}
        self.context.go("press", self.job_id, **options)

    def action_more(self) -> None:
        """F7."""
        self.ask_which("What else?", MORE, self._more)

    def _more(self, name: str | None) -> None:
        go = {"shape": "plot", "penetrant": "penetrant", "hold": "hold"}
        if name in go:
            self.context.go(go[name], self.job_id)
        elif name == "made":
            self._made_hits()
        elif name == "heat":
            self._heat()
        elif name == "correct":
            self._choose_correction()
        elif name == "stroke":
            self._go_on_with_stroke()
        elif name == "line":
            self._line()
        elif name == "sweep":
            self.context.go("sweep_setup", self.job_id, then=self._go_on, purpose="working")

    def _choose_correction(self) -> None:
        """Which hit was noted wrong."""
        with self.in_words():
            ask_which_hit(self, lambda made: self._form(hit_actions.entry_of(made), corrects=made))

    def _made_hits(self) -> None:
        with self.in_words():
            if self.state is None:
                raise ShaftlogError(texts.WORKING)
            open_made_hits(self, self.state)

    def _heat(self) -> None:
        """The cooling clock while a bar is warm, else a spot for the chosen bend."""
        with self.in_words():
            open_heat(self, self._current(), self.here, self._start_at_first)

    def _line(self) -> None:
        with self.in_words():
            if self.state is None or not self.state.plan:
                raise ShaftlogError("No hit is planned: there is no line to expect.")
            at = self._index_here() or 0
            self.context.go("line", self.job_id, state=self.state, number=at + 1)

    def _go_on(self, sweep_id: str) -> None:
        """A sweep was set up: read it."""
        self.context.go("sweep", self.job_id, sweep_id=sweep_id)
