"""Straighten: the hits of the next round, what to set, what the dial should show, what it did."""

from __future__ import annotations

import math
from collections.abc import Callable
from functools import partial
from typing import ClassVar

from textual.app import ComposeResult
from textual.message import Message
from textual.widgets import Static

from core.base.errors import ShaftlogError
from core.base.records import FULL_SWEEPS
from core.base.times import just_before
from core.base.units import format_clock
from core.book import hits, sweeps
from core.jobs import facts
from core.jobs.straightening import (
    HitToMake,
    RawJob,
    StraighteningState,
    check_after,
    check_stations_in,
    read_earlier,
    read_rounds,
    work_out,
)
from tui.base.commands import Command, verb
from tui.screens.base.screen import JobScreen
from tui.screens.straightening.straighten_text import SAFETY, headline, hit_cells, hit_words
from tui.widgets.list_box import Column, ListBox, ListRow
from tui.widgets.menu import MenuItem
from tui.widgets.plain import plain
from tui.widgets.shaft_picture import PictureArea, PictureBend, ShaftPicture, ShaftSketch

WHEN = (
    MenuItem("before", "Before that sweep was begun"),
    MenuItem("now", "After its readings: the sweep is then not used"),
)
CLOSED = "This job is closed: its hits can be read, not changed."


class StraightenScreen(JobScreen):
    """The round to make, one line a hit."""

    HEADING = "Straighten"
    HOW_TO = (
        "The hits are those of the fitted bends, never of the highest reading. Make them in any "
        "order: choose one, set the press as shown, creep up on the travel, read what stays, then "
        "F4 notes it as planned, F12 with other figures. After the round F6 starts the quick "
        "check at the few stations that tell most. If the check does not agree with the hits the "
        "whole shaft is swept again. The program learns from each check what your press and your "
        "heat take out. Class rules and local codes come first; a cracked shaft is not hit."
    )
    ACTIONS: ClassVar[tuple[Command, ...]] = (
        verb("act", "hit", "Hit made", "Note this hit as made, as planned"),
        verb("finish", "other", "Other", "Note a hit with other figures, or a heat spot"),
        verb("data", "check", "Check", "Start or go on with the quick check"),
        verb("undo", "undo", "Undo", "Take the last hit back"),
        verb("setup", "press", "Press", "The stroke in full, other blocks, other angle"),
        verb("more", "more", "More", "Hits so far, heat, full sweep, hold check"),
    )
    DEFAULT_CSS = """
    StraightenScreen #headline { height: auto; max-height: 5; padding: 0 1; text-style: bold; }
    StraightenScreen ListBox { height: 1fr; min-height: 3; }
    StraightenScreen #facts { height: auto; max-height: 7; padding: 0 1;
        border-top: solid $foreground; }
    StraightenScreen #safety { height: auto; padding: 0 1; }
    """

    class WorkedOut(Message):
        """The round is worked out."""

        def __init__(
            self, raw: RawJob, bench: StraighteningState | None, trouble: str = ""
        ) -> None:
            super().__init__()
            self.raw = raw
            self.bench = bench
            self.trouble = trouble

    def __init__(self, job_id: str) -> None:
        super().__init__(job_id)
        self.bench: StraighteningState | None = None
        self.raw: RawJob | None = None
        """What the book said last; an answer to anything older is let go by."""

    def body(self) -> ComposeResult:
        """Headline, hits, one hit in words, the shaft."""
        yield Static(id="headline")
        yield ListBox(
            (
                Column("No", 2, right=True),
                Column("Station", 8, right=True),
                Column("High side", 9, right=True),
                Column("mrad", 6, right=True),
                Column("Ask for", 7, right=True),
                Column("Load lbf", 9, right=True),
                Column("Travel", 7, right=True),
                Column("Stays", 6, right=True),
                Column("Worst after", 11, right=True),
            ),
            empty="No hit is planned.",
        )
        yield Static(id="facts")
        yield Static(plain(SAFETY), id="safety")
        yield ShaftPicture()

    # -- working out -------------------------------------------------------------------------------

    def refresh_view(self) -> None:
        """Read the book, then work the round out on another thread; until then no hit is noted."""
        self.bench = None
        raw = read_rounds(self.book, self.job_id)
        earlier = read_earlier(self.book, self.job_id)
        self.raw = raw
        self.run_worker(partial(self._compute, raw, earlier), thread=True, exclusive=True)

    def _compute(self, raw: RawJob, earlier: tuple[RawJob, ...]) -> None:
        """On a thread: whatever goes wrong in the figures is told in words."""
        try:
            message = self.WorkedOut(raw, work_out(raw, earlier))
        except ShaftlogError as error:
            message = self.WorkedOut(raw, None, str(error))
        self.post_message(message)

    def on_straighten_screen_worked_out(self, event: WorkedOut) -> None:
        """Show the round."""
        if not self.is_attached or event.raw is not self.raw:
            return
        self.bench = event.bench
        if event.bench is None:
            self.query_one("#headline", Static).update(plain(event.trouble))
            self.query_one(ListBox).show(())
            return
        cracks = facts.facts_of(self.book, self.job_id).cracks
        self.query_one("#headline", Static).update(plain("\n".join(headline(event.bench, cracks))))
        self.query_one(ListBox).show(
            [ListRow(str(n), hit_cells(n, p)) for n, p in enumerate(event.bench.plan, start=1)],
            keep=False,
        )
        self._show_facts()

    def on_list_box_moved(self) -> None:
        """Words of the hit under the cursor."""
        self._show_facts()

    def on_list_box_chosen(self) -> None:
        """Enter notes the hit."""
        self.action_hit()

    @property
    def here(self) -> HitToMake | None:
        """The planned hit under the cursor."""
        plan = self.bench.plan if self.bench is not None else ()
        return plan[min(self.query_one(ListBox).cursor, len(plan) - 1)] if plan else None

    def _show_facts(self) -> None:
        bench, here = self.bench, self.here
        if bench is None:
            return
        words = hit_words(here, bench.raw.shop.block_span_in) if here is not None else ""
        self.query_one("#facts", Static).update(plain(words))
        shaft = bench.raw.shaft
        marks = tuple(
            PictureBend(p.hit.station_in, f"{n}: {format_clock(p.hit.high_side_rad, unit='')}")
            for n, p in enumerate(bench.plan, start=1)
        )
        self.query_one(ShaftPicture).show(
            ShaftSketch(
                shaft.length_in,
                shaft.zero_end,
                tuple(PictureArea(a.name, a.from_in, a.to_in) for a in bench.raw.areas),
                bench.raw.start.rollers_in if bench.raw.start is not None else (),
                marks,
                here.hit.station_in if here is not None else None,
            )
        )

    # -- keys --------------------------------------------------------------------------------------

    def may_hit(self) -> StraighteningState:
        """The round, if hits may be noted now; raises in words if not."""
        if self.read_only:
            raise ShaftlogError(CLOSED)
        if facts.facts_of(self.book, self.job_id).cracks:
            raise ShaftlogError("A crack was found: no hit until it is overruled in writing.")
        if self.bench is None:
            raise ShaftlogError("The round is still being worked out: press again in a moment.")
        return self.bench

    @property
    def round_no(self) -> int:
        """Number of the round a hit made now belongs to."""
        last = hits.last_round(self.book, self.job_id)
        story = self.bench.story if self.bench is not None else None
        return max(last, 1) if story is not None and story.waits_for_check else last + 1

    def action_hit(self) -> None:
        """F4."""
        with self.in_words():
            bench, here = self.may_hit(), self.here
            if here is None:
                raise ShaftlogError(
                    bench.trouble or "No hit is planned. F12 notes one all the same."
                )
            self._ask_when(partial(self._note, here))

    def _ask_when(self, then: Callable[[str], None]) -> None:
        """When the hit was made: now (''), unless a sweep is half read; then the person is asked,
        because a hit in the middle makes it a sweep of two shapes."""
        now = facts.facts_of(self.book, self.job_id)
        if not now.sweep_in_hand or not now.readings_in_hand:
            then("")
            return
        begun = sweeps.sweep(self.book, now.sweep_in_hand)

        def answered(answer: str | None) -> None:
            if answer is not None:
                then(just_before(begun.started_at) if answer == "before" else "")

        question = (
            f"The sweep '{begun.purpose}' is half read ({now.readings_in_hand} readings). When was "
            "this hit made?"
        )
        self.ask_which(question, WHEN, answered)

    def _note(self, here: HitToMake, at: str) -> None:
        """Store the hit as planned."""
        with self.in_words():
            stroke = here.stroke
            made = hits.add_hit(
                self.book,
                job_id=self.job_id,
                round_no=self.round_no,
                method="press",
                station_in=round(here.hit.station_in, 2),
                clock_deg=math.degrees(here.hit.high_side_rad) % 360,
                angle_rad=here.hit.ask_for_rad,
                load_lbf=stroke.load_lbf if stroke is not None else None,
                travel_in=stroke.travel_in if stroke is not None else None,
                stays_in=stroke.stays_in if stroke is not None else None,
                at=at,
            )
            self.refresh_view()
            self.say(f"Noted: hit at {made.station_in:g} in. F5 takes it back.", "done")

    def action_other(self) -> None:
        """F12."""
        with self.in_words():
            self.may_hit()
            self._ask_when(self._note_other)

    def _note_other(self, at: str) -> None:
        options = {"planned": self.here, "round_no": self.round_no, "made_at": at}
        self.context.go("hit", self.job_id, **options)

    def action_undo(self) -> None:
        """F5."""
        with self.in_words():
            if self.read_only:
                raise ShaftlogError(CLOSED)
            gone = hits.undo_hit(self.book, self.job_id)
            if gone is None:
                raise ShaftlogError("No hit to take back.")
            self.refresh_view()
            self.say(f"Taken back: hit at {gone.station_in:g} in. It stays in the book.", "done")

    def action_check(self) -> None:
        """F6: the quick check of the hits made, as the last full sweep was set up."""
        with self.in_words():
            bench = self.may_hit()
            if bench.story is not None and bench.story.line is None:
                raise ShaftlogError(f"{bench.trouble} F7 and 4 begin it.")
            if bench.story is None or not bench.story.waits_for_check:
                raise ShaftlogError("No hits since the last reading: nothing to check yet.")
            self.context.go("sweep", self.job_id, sweep_id=self._check_sweep(bench))

    def _check_sweep(self, bench: StraighteningState) -> str:
        """Id of the quick check in hand for this round, begun now if there is none."""
        book = self.book
        number = hits.last_round(book, self.job_id)
        begun = check_after(book, hits.hits_of(book, self.job_id, number))
        if begun is not None:
            return begun
        assert bench.story is not None
        full = [s for s in sweeps.sweeps_of(book, self.job_id) if s.purpose in FULL_SWEEPS]
        like = [s for s in full if s.finished_at][-1]
        started = sweeps.start_sweep(
            book,
            job_id=self.job_id,
            purpose="quick check",
            roller_a_in=like.roller_a_in,
            roller_b_in=like.roller_b_in,
            stations_in=check_stations_in(bench.story),
            marks_deg=like.marks_deg,
            direction=like.direction,
            resolution_in=like.resolution_in,
            repeatability_in=like.repeatability_in,
            dial_turn_in=like.dial_turn_in,
            gauge=like.gauge,
            measured_by=like.measured_by,
            closing=like.closing,
        )
        sweeps.add_quick_check(book, job_id=self.job_id, round_no=number, sweep_id=started.id)
        return started.id

    def action_press(self) -> None:
        """F8."""
        if self.bench is None:
            self.say("The round is still being worked out: press again in a moment.")
            return
        here = self.here
        options = {} if here is None else {"planned": here}
        self.context.go("press", self.job_id, **options)

    def action_more(self) -> None:
        """F7."""
        items = (
            MenuItem("made", "Hits so far, and what each took out"),
            MenuItem("heat", "Heat spots: cautions and the shop's own record"),
            MenuItem("shape", "Shape and bends, before and after"),
            MenuItem("sweep", "Sweep the whole shaft again"),
            MenuItem("hold", "Hold check after a rest"),
            MenuItem("penetrant", "Penetrant check of the straightened spots"),
            MenuItem("line", "The line expected after each hit"),
        )
        self.ask_which("What else?", items, self._more)

    def _more(self, name: str | None) -> None:
        if name in ("made", "heat"):
            self._paper(name)
        elif name == "shape":
            self.context.go("plot", self.job_id)
        elif name == "penetrant":
            self.context.go("penetrant", self.job_id)
        elif name == "hold":
            self.context.go("hold", self.job_id)
        elif name == "line":
            self._line()
        elif name == "sweep":
            self.context.go("sweep_setup", self.job_id, then=self._go_on, purpose="working")

    def _paper(self, name: str) -> None:
        from tui.screens.straightening.hit_pages import heat_lines, made_hits

        with self.in_words():
            if self.bench is None:
                raise ShaftlogError("The round is still being worked out.")
            made = name == "made"
            heading, lines = ("Hits so far", made_hits) if made else ("Heat spots", heat_lines)
            self.context.go("paper", self.job_id, heading=heading, lines=tuple(lines(self.bench)))

    def _line(self) -> None:
        with self.in_words():
            if self.bench is None or not self.bench.plan:
                raise ShaftlogError("No hit is planned: there is no line to expect.")
            at = min(self.query_one(ListBox).cursor, len(self.bench.plan) - 1)
            self.context.go("line", self.job_id, bench=self.bench, number=at + 1)

    def _go_on(self, sweep_id: str) -> None:
        """A sweep was set up: read it."""
        self.context.go("sweep", self.job_id, sweep_id=sweep_id)
