"""Sweep entry: the dial is read, the number typed; the rose and the profile grow beside it."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import ClassVar

from textual.app import ComposeResult
from textual.reactive import reactive

from core.base.errors import BadNumber, ShaftlogError
from core.book import sweeps
from core.book.connection import Book
from core.book.errors import Overtaken
from core.jobs.sweep import sweep_entry
from core.jobs.sweep.sweep_entry import SweepJob
from core.jobs.sweep.sweep_session import START, SweepSession, gone_on
from tui.base.commands import Command
from tui.screens.base.screen import JobScreen
from tui.screens.sweep import sweep_again as again
from tui.screens.sweep import sweep_goto as goto
from tui.screens.sweep import sweep_text as text
from tui.screens.sweep import typed_draft
from tui.screens.sweep.reading_queue import ReadingQueue
from tui.screens.sweep.sweep_bench import SweepBench
from tui.screens.sweep.sweep_menu import menu_items, why_not
from tui.screens.sweep.sweep_odd import OddOffer, confirmation, offer
from tui.screens.sweep.sweep_text import SWEEP_COMMANDS
from tui.screens.sweep.sweep_views import SweepDisplay
from tui.widgets.reading_input import ReadingInput


class SweepScreen(JobScreen):
    """Readings of one sweep, number pad alone."""

    HEADING = "Runout sweep"
    HOW_TO = text.HOW_TO
    ACTIONS: ClassVar[tuple[Command, ...]] = SWEEP_COMMANDS
    STAYS_PUT: ClassVar[frozenset[str]] = frozenset({c.name for c in SWEEP_COMMANDS} - {"undo"})
    """Actions that would move the slot where waiting readings belong."""
    DEFAULT_CSS = """
    SweepScreen.-tiny ProfileView { display: none; }
    SweepScreen.-tiny #middle { height: 1fr; }
    SweepScreen.-high #middle { height: 19; }
    SweepScreen.-wide RoseView { width: 54; }
    """
    AUTO_FOCUS = "ReadingInput"
    VERTICAL_BREAKPOINTS = [(0, "-tiny"), (20, "-low"), (32, "-high")]  # noqa: RUF012
    TRY_AGAIN_S: ClassVar[float] = 0.5

    session: reactive[SweepSession | None] = reactive(None, init=False, repaint=False)
    """The sweep in hand; None before one is started."""

    def __init__(self, job_id: str, sweep_id: str | None = None, purpose: str = "") -> None:
        super().__init__(job_id)
        self.sweep_id = sweep_id
        self.purpose = purpose
        """What a sweep begun here is for; empty = as the set-up suggests."""
        self.job: SweepJob | None = None
        self.bench = SweepBench()
        """Pictures and field; kept here, as a look-up at each key would be seen."""
        self.queue = ReadingQueue(self, lambda: self.book)
        self._kept = typed_draft.NOTHING
        self._home = START  # where entry was going on when F6 was pressed
        self._asked_for_sweep = False

    def body(self) -> ComposeResult:
        """Pictures above, the field below."""
        yield self.bench

    def on_mount(self) -> None:
        """Wire the field; what waits for the book is tried again and again."""
        self.field.typed = self._key_typed
        self.set_interval(self.TRY_AGAIN_S, self.queue.try_again)

    @property
    def field(self) -> ReadingInput:
        """The line that takes readings."""
        return self.bench.field

    # -- opening and showing ---------------------------------------------------------------------

    def refresh_view(self) -> None:
        """Open the sweep in hand where it stopped, or ask for a new one."""
        book = self.book
        self.job = self.bench.job = sweep_entry.sweep_job(book, self.job_id)
        if self.sweep_id is None:
            found = sweep_entry.unfinished_sweep(book, self.job_id, self.purpose)
            self.sweep_id = found.id if found else None
        if self.sweep_id is None:
            self._no_sweep()
        elif self.session is None or self.session.sweep.id != self.sweep_id:
            self._open(self.sweep_id)
        else:
            self._reload(self.session)

    def _open(self, sweep_id: str) -> None:
        self._kept = typed_draft.kept(self.book, sweep_id)
        session = sweep_entry.open_session(self.book, sweep_id)
        self.field.value = ""
        self.bench.what = again.title(self.book, session.sweep)
        self.session = typed_draft.restored(session, self._kept)
        self.field.give_back(self._kept.text)
        if words := text.opening_text(session):
            self.say(*words)
        self.bench.known = SweepDisplay()
        self.bench.work_out_soon(self.book)

    def _reload(self, before: SweepSession) -> None:
        """Read again what is in the book, and say what another bench did to this sweep."""
        fresh = sweep_entry.reload(self.book, before)
        self.bench.show()  # the limits or the areas may be others
        if fresh != before:
            self.session = fresh
            self.bench.moved = self.bench.moved or text.moved_text(before, fresh, self.field.value)
            if news := self.bench.moved or text.news(before, fresh):
                self.say(news, "stop")
        self.bench.work_out_soon(self.book)

    def seen_elsewhere(self) -> None:
        """Another bench stored something; what is typed here stays."""
        before = self.job
        super().seen_elsewhere()
        if self.job is not None and self.job.closed and not (before and before.closed):
            self.say(text.closed_text(self.job.job), "stop")

    def _no_sweep(self) -> None:
        """Nothing to read yet: offer to start a sweep, once."""
        self.bench.prompt("No sweep is open, F12 starts one")
        if not self._asked_for_sweep:
            self._asked_for_sweep = True
            known = sweeps.sweeps_of(self.book, self.job_id)
            done = [s for s in known if s.finished_at and s.purpose == self.purpose]
            ask = bool(known) and (not self.purpose or bool(done))
            self.later(self.action_menu if ask or self.read_only else partial(self._chosen, "new"))

    def open_sweep(self, sweep_id: str) -> None:
        """Go on with another sweep."""
        self._keep_typed()
        self.sweep_id = sweep_id
        self.refresh_view()

    def watch_session(self, before: SweepSession | None, now: SweepSession | None) -> None:
        """Show it. A number half typed was meant for the slot that was left: select it."""
        if before is not None and now is not None and before.cursor != now.cursor:
            self.field.select()
        self.bench.session = now

    # -- taking readings -------------------------------------------------------------------------

    def _key_typed(self) -> None:
        """After each key in the field."""
        self.bench.wait_longer()
        if not self.field.value and not self.bench.asking:
            self._emptied()

    def _emptied(self) -> None:
        """The field was emptied: what was said about its text goes with it.

        Where another bench has read the mark meanwhile, entry goes on at one that is still empty.
        """
        self.say("")
        self.bench.moved = ""
        session = self.session
        if session and session.at_rest and session.current:
            self.session = session.go_on(session.cursor)

    def on_reading_input_entered(self, event: ReadingInput.Entered) -> None:
        """Enter or a pad key, with what was in the field."""
        typed, key = event.text, event.key
        if self.bench.asking:
            self._answer(typed, key)
        elif self.bench.moved and key != "undo":
            self.say(f"{typed} is not stored. {self.bench.moved}", "stop")
            self.bench.moved = ""
        elif self.queue and (key == "blocked" or typed in ("+", "-")):
            self.queue.say_stay()
        elif key == "undo" and typed:
            self.bench.echo("Removed")
            self._emptied()
        elif key == "undo":
            self.action_undo()
        elif key == "blocked" and typed:
            self._go(goto.to_clock, typed)
        elif key == "blocked":
            self.action_block()
        elif typed in ("+", "-"):
            self._step_station(1 if typed == "+" else -1)
        else:
            self.queue.take(typed)
            if self.queue:
                self.bench.echo(f"{len(self.queue.texts)} wait", "doubt")

    def store(self, typed: str) -> None:
        """Store a number at the cursor; shown as taken only when the book has it on the disk."""
        if self.session is None:
            raise BadNumber(text.NO_SWEEP)
        self._entered(*sweep_entry.take(self.book, self.session, typed))

    def refuse(self, typed: str, error: ShaftlogError, behind: tuple[str, ...]) -> None:
        """What was not stored stays typed, selected."""
        said = str(error) if self.field.give_back(typed) else f"{typed} was not stored: {error}"
        if isinstance(error, Overtaken) and self.session is not None:
            self.session = sweep_entry.reload(self.book, self.session)
            said += text.HOW_TO_REPLACE
        said += f" Nor were {', '.join(behind)}, typed after it." if behind else ""
        self.say(said, "stop")

    def _entered(self, session: SweepSession, said: str) -> None:
        """Everything after an act that is safe on the disk."""
        before, self.session = self.session, session
        if self._kept.text:
            self._keep_typed()  # it may have been just this one: it must not come back
        self.bench.echo(said, "good")
        if session.complete and not (before and before.complete):
            self.say(text.all_read(session), "done")
        elif before and session.station_in != before.station_in:
            self.say(text.move_text(session), "done")
        else:
            self.say("")
        self.bench.work_out_soon(self.book)

    def on_sweep_bench_worked_out(self, event: SweepBench.WorkedOut) -> None:
        """Go where the next reading tells most, if this sweep is read so."""
        following, session = event.known.next_station, self.session
        if following is None or session is None or event.sweep_id != session.sweep.id:
            return
        if self.queue or self.bench.typed or self.bench.asking or session.complete:
            return
        moved = gone_on(session, following)
        self.session = moved or session
        if moved or following.station_in is None:
            self.say(text.next_text(following), "done")

    def _act(self, act: Callable[[Book, SweepSession], SweepSession], said: str) -> bool:
        """An act that is no number: store it and say so, or say why not."""
        if self.session is not None:
            with self.in_words():
                self._entered(act(self.book, self.session), said)
                return True
        return False

    def action_block(self) -> None:
        """F4 or *."""
        if self.session is not None and not self.bench.asking:
            with self.in_words():
                self._entered(*sweep_entry.block(self.book, self.session))

    def action_undo(self) -> None:
        """F5, or / on an empty line."""
        before = self.session
        if self.queue:
            self.bench.echo(f"Taken back: {self.queue.drop_last()}, not stored", "doubt")
        elif before is not None:
            with self.in_words():
                self.session, gone = sweep_entry.undo(self.book, before)
                self.bench.echo(text.undone_text(before, gone), "doubt")
                self.say("")
                self.bench.work_out_soon(self.book)

    def action_mend(self) -> None:
        """F7: the correction offered, or go to the reading to be read again."""
        found = offer(self.bench.known)
        if found is None:
            self.say(text.NOTHING_ODD)
        elif found.reading_id:
            self._go(goto.to_reading, found.reading_id)
        else:
            self._accept(found)

    def _accept(self, found: OddOffer) -> None:
        if found.act is not None and self._act(found.act, found.said):
            self.bench.known = found.left

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """The cursor stays while readings wait for its slot; F6 asks for an answer."""
        if self.bench.asking and action in ("undo", "mend"):
            self.say("Answer the question first; Esc leaves it.", "stop")
        elif self.queue and action in self.STAYS_PUT:
            self.queue.say_stay()
        else:
            return super().check_action(action, parameters)
        return False

    # -- going about -------------------------------------------------------------------------------

    def _go(self, move: Callable[[SweepSession, str], SweepSession], typed: str) -> bool:
        """Go where the text says; text it does not understand stays typed, selected."""
        if self.session is None:
            return False
        try:
            self._show_at(move(self.session, typed))
        except ShaftlogError as error:
            self.field.give_back(typed)
            self.say(error, "stop")
            return False
        return True

    def _show_at(self, session: SweepSession) -> None:
        """Another slot under the cursor; what was said about the one before goes."""
        self.session = session
        self.bench.echo("")
        self.say(text.choice_text(session))

    def _answer(self, typed: str, key: str) -> None:
        """An answer to F6: first the station, then the mark."""
        if key != "enter":
            self.field.give_back(typed if key == "blocked" else "")
        elif self._go(partial(goto.answered, question=self.bench.asking, home=self._home), typed):
            self.bench.asking = "clock" if self.bench.asking == "station" else ""

    def action_jump(self) -> None:
        """F6: station, then mark."""
        if self.session is not None:
            self.bench.asking, self._home = "station", self.session.home

    def _step_station(self, by: int) -> None:
        if self.session is not None:
            with self.in_words():
                self._show_at(goto.to_next_station(self.session, by))

    def action_next(self) -> None:
        """PgDn."""
        self._step_station(1)

    def action_previous(self) -> None:
        """PgUp."""
        self._step_station(-1)

    def action_up(self) -> None:
        """Up: an earlier mark."""
        if self.session is not None:
            self._show_at(self.session.choose_mark(-1))

    def action_down(self) -> None:
        """Down: a later mark."""
        if self.session is not None:
            self._show_at(self.session.choose_mark(1))

    # -- other screens, leaving --------------------------------------------------------------------

    def action_stations(self) -> None:
        """F8."""
        self._chosen("stations")

    def action_menu(self) -> None:
        """F12."""
        items = menu_items(self.session, self.bench.known, self.bench.what)
        self.ask_which("Type the digit of what you want.", items, self._chosen)

    def _chosen(self, choice: str | None) -> None:
        """What was chosen in the menu of F12."""
        if choice is None:
            return
        if refused := why_not(choice, self.session, self.bench.known):
            self.say(refused, "stop")
        elif choice == "shape":
            self.context.go("plot", self.job_id)
        elif choice == "finish":
            if self._act(sweep_entry.finish, "Finished") and self.session is not None:
                again.go_on_after(self, self.session.sweep, self.open_sweep)
        elif choice == "again" and self.session is not None:
            again.ask(self, self.session.sweep, self.open_sweep)
        elif choice == "reopen":
            self._act(sweep_entry.reopen, "Open again")
        elif choice == "right":
            self._accept(confirmation(self.bench.known))
        elif choice == "setup":
            self.context.go("sweep_setup", self.job_id, sweep_id=self.sweep_id)
        elif choice == "new":
            then, purpose = self.open_sweep, self.purpose
            self.context.go("sweep_setup", self.job_id, then=then, purpose=purpose)
        elif choice == "other":
            self.context.go("sweep_list", self.job_id, then=self.open_sweep)
        else:
            self.context.go("stations", self.job_id, sweep_id=self.sweep_id)

    def action_back(self) -> None:
        """Esc: out of F6, else one screen back; what is typed is kept."""
        if self.bench.asking:
            self.bench.asking = ""
        else:
            super().action_back()

    def _keep_typed(self) -> None:
        """What is typed but not entered comes back with the sweep."""
        if self.session is not None and not self.book.read_only:
            typed = self.bench.typed
            with self.in_words(), self.book.short_timeout(0.3):
                self._kept = typed_draft.keep(self.book, self.session, typed, self._kept)

    def settle(self) -> bool:
        """Keep what is typed; readings that wait for the book hold us back once."""
        if not self.queue.may_leave() or not super().settle():
            return False
        self._keep_typed()
        return True
