"""Sweep entry: the dial is read, the number typed; the rose and the profile grow beside it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from functools import partial
from typing import TYPE_CHECKING, ClassVar

from textual.app import ComposeResult
from textual.message import Message
from textual.timer import Timer

from core.base.errors import BadReadings, ShaftlogError
from core.book import drafts, sweeps
from core.book.errors import Overtaken
from tui.base.commands import Command, verb
from tui.screens.sweep import sweep_actions as desk_work
from tui.screens.sweep import sweep_views as views
from tui.screens.sweep.sweep_actions import SweepActions
from tui.screens.sweep.sweep_bench import SweepBench
from tui.screens.sweep.sweep_input import ReadingInput, echo_words
from tui.screens.sweep.sweep_menu import menu_items
from tui.screens.sweep.sweep_state import SweepState
from tui.screens.sweep.sweep_views import SweepDisplay
from tui.screens.sweep.sweep_waiting import SweepWaiting

if TYPE_CHECKING:
    from tui.screens.sweep.sweep_known import SweepRequest

ALL_READ = "All stations are read. F12 finishes the sweep and shows what it says."
AFTER = {"hold check": "hold", "quick check": "straighten"}  # any other purpose: the plot


class SweepScreen(SweepWaiting):
    """Readings of one sweep, number pad alone."""

    HEADING = "Runout sweep"
    HOW_TO = (
        "Set the dial over the station. Roll the shaft to each mark, type what the dial shows, "
        "then Enter. The number pad is enough: * marks a place where the plunger is blocked "
        "(keyway), / takes the last entry back. + Enter and - Enter go to the next and the "
        "previous station; a number and * go to the mark with that clock. To correct a reading go "
        "to its mark with Up and Down or F6, type the new number, Enter; the book keeps the old "
        "one. A listed reading is safe on the disk. An odd reading is pointed out; F7 takes the "
        "correction offered. Letters after the number give another unit: 0.3mm, 0.012in. Always "
        "turn the shaft the same way to a mark. A dial with backlash reads differently when you "
        "turn back, and the program cannot correct that. Keep fingers, sleeves and rags away from "
        "the rollers while the shaft turns."
    )
    ACTIONS: ClassVar[tuple[Command, ...]] = (
        verb("act", "block", "Blocked", "The plunger is blocked at this mark (also *)"),
        verb("undo", "undo", "Undo", "Take the last entry back (also /)"),
        verb("more", "mend", "Mend", "Take the mend offered for the reading that looks odd"),
        verb("setup", "stations", "Stations", "Change the list of stations"),
        verb("finish", "menu", "Sweep", "Finish, start another, dial and direction, shape"),
    )
    DEFAULT_CSS = """
    SweepScreen.-tiny ProfileView { display: none; }
    SweepScreen.-tiny #middle { height: 1fr; }
    SweepScreen.-high #middle { height: 19; }
    SweepScreen.-wide RoseView { width: 54; }
    """
    AUTO_FOCUS = "ReadingInput"
    VERTICAL_BREAKPOINTS: ClassVar = [(0, "-tiny"), (20, "-low"), (32, "-high")]
    REST_S: ClassVar[float] = 0.15
    """Seconds without a key before the whole sweep is worked out again."""

    class WorkedOut(Message):
        """The core has worked out what it can say."""

        def __init__(self, sweep_id: str, known: SweepDisplay) -> None:
            super().__init__()
            self.sweep_id = sweep_id
            self.known = known

    def __init__(self, job_id: str, sweep_id: str | None = None, purpose: str = "") -> None:
        super().__init__(job_id)
        self.sweep_id = sweep_id
        self.purpose = purpose
        """What a sweep begun here is for; empty = as the set-up suggests."""
        self.desk: SweepActions | None = None
        self._kept = ""
        """What stands typed in the book, to come back after an interruption."""
        self._rest: Timer | None = None
        self._asked_for_sweep = False

    def body(self) -> ComposeResult:
        """Pictures above, the field below."""
        yield SweepBench()

    def on_mount(self) -> None:
        """Wire the field."""
        self.bench.field.understand, self.bench.field.typed = self._understand, self._put_off

    def seen_elsewhere(self) -> None:
        """Readings of another bench appear; what stands typed here stays."""
        self.refresh_view()
        self._pass_what_was_read()

    def _pass_what_was_read(self) -> None:
        """Another bench has read the mark that was next here: go on to one that is still empty."""
        state = self.state
        waiting = state is not None and state.cursor == state.home and not self.bench.field.value
        if state is not None and waiting and state.standing is not None and not state.complete:
            self.state = state.after_entry(mended=False)
            self.paint()

    # -- opening ---------------------------------------------------------------------------------

    def refresh_view(self) -> None:
        """Open the sweep in hand where it stopped, or ask for a new one."""
        book = self.book
        self.desk = desk_work.open_desk(book, self.job_id)
        if self.sweep_id is None:
            found = desk_work.unfinished_sweep(book, self.job_id, self.purpose)
            self.sweep_id = found.id if found else None
        if self.sweep_id is None:
            self._no_sweep()
            return
        if self.state is None or self.state.sweep.id != self.sweep_id:
            self.state = desk_work.open_state(book, self.desk, self.sweep_id)
            self.known = SweepDisplay()
            self._kept = drafts.draft(book, f"sweep {self.sweep_id}").get("typed", "")
            self.bench.field.value = self._kept
        else:
            self.state = desk_work.reload(book, self.state)
        if self.state.complete and self.state.sweep.finished_at is None:
            self.say(ALL_READ, "done")
        self.paint()
        self.work_out_soon()

    def _no_sweep(self) -> None:
        """Nothing to read yet: offer to start a sweep, once."""
        self.bench.prompt("No sweep in hand, F12 starts one")
        if not self._asked_for_sweep:
            self._asked_for_sweep = True
            known = sweeps.sweeps_of(self.book, self.job_id)
            done = any(s.finished_at and s.purpose == self.purpose for s in known)
            ask = bool(known) and (not self.purpose or done)
            self.later(self.action_menu if ask else self._start_first)

    def _start_first(self) -> None:
        """The first sweep of a job: straight to its set-up."""
        if not self.read_only:
            self._chosen("new")

    def open_sweep(self, sweep_id: str) -> None:
        """Go on with another sweep."""
        self._keep_typed()
        self.sweep_id, self.state = sweep_id, None
        self.refresh_view()

    def _keep_typed(self) -> None:
        """What stands typed but not entered comes back with the sweep."""
        typed = "" if self.asking else self.bench.field.value
        if self.sweep_id is None or self.book.read_only or typed == self._kept:
            return
        with self.in_words(), self.book.short_timeout(0.3):
            drafts.save_draft(self.book, f"sweep {self.sweep_id}", {"typed": typed})
            self._kept = typed

    def settle(self) -> bool:
        """Keep what stands typed."""
        if not super().settle():
            return False
        self._keep_typed()
        return True

    def paint(self) -> None:
        """Bring every picture up to date."""
        if self.state is not None and self.desk is not None:
            self.bench.show(self.desk, self.state, self.known)
            self.paint_prompt()

    # -- taking readings -------------------------------------------------------------------------

    def _understand(self, text: str) -> str:
        """How a number would be understood while it is typed."""
        state = self.state
        if state is None or self.asking:
            return ""
        kind = state.place.kind if state.place else "mark"
        return echo_words(text, kind, state.unit, state.sweep.dial_turn_in)

    def _put_off(self) -> None:
        """Put the heavy work off while keys come in."""
        if self._rest is not None:
            self._rest.reset()

    def on_reading_input_entered(self, event: ReadingInput.Entered) -> None:
        """Enter or a pad key, with what stood in the field."""
        text = event.text
        if self.waiting and (event.key == "blocked" or text in ("+", "-")):
            self.say_stay()
        elif event.key != "enter":
            self._pad_key(event.key, text)
        elif self.asking:
            self.answer(text)
        elif text in ("+", "-"):
            self.step_station(1 if text == "+" else -1)
        else:
            self.take(text)

    def store(self, text: str) -> None:
        """Shown as taken only after the book has it on the disk."""
        before = self.state
        if before is None or self.desk is None:
            raise BadReadings("No sweep in hand: F12 starts one. The number stays.")
        self.state, said = desk_work.take(self.book, self.desk, before, text)
        self._entered(before, said)

    def refuse(self, text: str, error: ShaftlogError, behind: tuple[str, ...]) -> None:
        """What was not stored stays typed."""
        also = f" Nor were {', '.join(behind)}, typed after it." if behind else ""
        if self.bench.field.give_back(text, held=True):
            self.say(f"{error}{also}", "stop")
        else:
            self.say(f"{text} was not stored: {error}{also}", "stop")
        if isinstance(error, Overtaken) and self.state is not None:
            self.state = desk_work.reload(self.book, self.state)
            self.paint()

    def _entered(self, before: SweepState, said: str) -> None:
        """Everything after an entry that is safe on the disk."""
        if self._kept:
            self._keep_typed()  # it may have been just this one: it must not come back
        self.bench.echo(said, "good")
        state = self.state
        assert state is not None
        if state.complete and not before.complete:
            self.say(ALL_READ, "done")
        elif state.cursor.station_no != before.cursor.station_no:
            there = views.short_number(state.station_in or 0.0)
            self.say(f"Move the dial to station {there} in.", "done")
        else:
            self.say("")
        self.paint()
        self.work_out_soon()

    def _pad_key(self, key: str, typed: str) -> None:
        """`*` blocks, or goes to the mark typed before it; `/` wipes what is typed, or undoes."""
        if typed and key == "blocked":
            with self.in_words():
                self.go_to_clock(typed)
        elif typed:
            self.bench.echo("Wiped")
        elif key == "blocked":
            self.action_block()
        else:
            self.action_undo()

    def action_block(self) -> None:
        """F4 or *."""
        before = self.state
        if before is not None and self.desk is not None and not self.asking:
            with self.in_words():
                self.state, said = desk_work.block(self.book, self.desk, before)
                self._entered(before, said)

    def action_undo(self) -> None:
        """F5 or /."""
        if self.waiting:
            self.wipe_waiting()
            return
        if self.state is None or self.desk is None:
            return
        with self.in_words():
            self.state, gone = desk_work.undo(self.book, self.desk, self.state)
            words = views.reading_words(self.state, gone) if gone else ""
            self.bench.echo(f"Taken back: {words}" if gone else "Nothing to take back", "doubt")
            self.say("")
            self.paint()
            self.work_out_soon()

    def action_mend(self) -> None:
        """F7: the mend offered, or go to the reading to be read again."""
        if self.state is None or self.desk is None:
            return
        if not self.known.slips:
            self._turn_round()
        elif self.known.slips[0].suggested_in is None:
            self.go_to_reading(self.known.slips[0].reading_id)
        else:
            together = views.mended_together(self.known.slips)
            with self.in_words():
                self.state = desk_work.accept_mend(self.book, self.desk, self.state, together)
                self.known = views.without(self.known, together)
                self.bench.echo("Mended; typed value kept", "good")
                self.paint()
                self.work_out_soon()

    def _turn_round(self) -> None:
        """A station rolled the other way, if there is one."""
        if not self.known.turned or self.state is None or self.desk is None:
            self.say("No reading looks odd. To change one go to it with Up and Down or F6.")
            return
        with self.in_words():
            turn = self.known.turned[0]
            self.state = desk_work.turn_round(self.book, self.desk, self.state, turn)
            self.known = replace(self.known, turned=self.known.turned[1:])
            self.bench.echo("Turned; typed order kept", "good")
            self.paint()
            self.work_out_soon()

    # -- working out -------------------------------------------------------------------------------

    def work_out_soon(self) -> None:
        """Work the sweep out once the keys rest."""
        if self._rest is not None:
            self._rest.stop()
        self._rest = self.set_timer(self.REST_S, self._work_out)

    def _work_out(self) -> None:
        """Read on this thread, compute on another; the newest wins."""
        self._rest = None
        if self.state is None or self.desk is None:
            return
        from tui.screens.sweep import sweep_known

        with self.in_words():
            asked = sweep_known.question(
                self.book, self.state.sweep, self.desk.shaft.id, self.desk.shop
            )
            self.run_worker(partial(self._compute, asked), thread=True, exclusive=True)

    def _compute(self, asked: SweepRequest) -> None:
        """On a thread: whatever goes wrong in the figures must not end the sweep."""
        from tui.screens.sweep import sweep_known

        try:
            found = sweep_known.known(asked)
        except Exception:
            if self.app.is_headless:
                raise
            found = SweepDisplay(trouble="Not worked out (a fault). The readings are stored.")
        self.post_message(self.WorkedOut(asked.sweep.id, found))

    def on_sweep_screen_worked_out(self, event: WorkedOut) -> None:
        """Show what the core says, if it is still about this sweep."""
        if event.sweep_id == self.sweep_id:
            self.known = event.known
            self.paint()

    # -- other screens -----------------------------------------------------------------------------

    def action_stations(self) -> None:
        """F8."""
        if self.sweep_id is None:
            self.action_menu()
        else:
            self.context.go("stations", self.job_id, sweep_id=self.sweep_id)

    def action_menu(self) -> None:
        """F12."""
        items = menu_items(self.state, self.known)
        self.ask_which("Type the digit of what you want.", items, self._chosen)

    def _chosen(self, choice: str | None) -> None:
        """What was chosen in the menu of F12."""
        go, job_id, then = self.context.go, self.job_id, self.open_sweep
        does: dict[str, Callable[[], object]] = {
            "finish": self.finish,
            "shape": partial(go, "plot", job_id),
            "new": partial(go, "sweep_setup", job_id, then=then, purpose=self.purpose),
            "other": partial(go, "sweep_list", job_id, then=then),
            "setup": partial(go, "sweep_setup", job_id, sweep_id=self.sweep_id),
            "stations": self.action_stations,
            "right": self.slip_is_right,
        }
        if choice is not None:
            with self.in_words():
                if choice == "reopen" and self.sweep_id is not None:
                    sweeps.reopen_sweep(self.book, self.sweep_id)
                does.get(choice, self.refresh_view)()

    def action_back(self) -> None:
        """Esc: out of F7, else one screen back; what stands typed is kept."""
        if self.asking:
            self.ask("")
            return
        super().action_back()

    def slip_is_right(self) -> None:
        """The first odd reading was looked at and is right: it is not pointed out again."""
        if not self.known.slips or self.state is None or self.desk is None:
            return
        first = self.known.slips[0]
        with self.in_words():
            self.state = desk_work.confirm(self.book, self.desk, self.state, first)
            self.known = views.without(self.known, [first])
            self.bench.echo("Kept as right", "good")
            self.paint()
            self.work_out_soon()

    def finish(self) -> None:
        """Finish the sweep and show what it says; reading on stays possible."""
        if self.sweep_id is not None:
            done = sweeps.finish_sweep(self.book, self.sweep_id)
            self.context.go(AFTER.get(done.purpose, "plot"), self.job_id)
