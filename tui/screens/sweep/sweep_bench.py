"""The pictures and the field of the sweep screen, and the figures worked out for them."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING, ClassVar

from textual.app import ComposeResult
from textual.containers import Horizontal, Vertical
from textual.message import Message
from textual.reactive import reactive
from textual.timer import Timer

from core.book.connection import Book
from core.jobs.sweep.sweep_entry import SweepJob
from core.jobs.sweep.sweep_session import SweepSession
from tui.screens.sweep import sweep_text as text
from tui.screens.sweep import sweep_views as views
from tui.screens.sweep.sweep_goto import question_text
from tui.screens.sweep.sweep_views import MarksView, SoFarView, SweepDisplay
from tui.widgets.canvas import LineView
from tui.widgets.profile import ProfileView
from tui.widgets.reading_input import ReadingInput, understood_reading
from tui.widgets.rose import RoseView

if TYPE_CHECKING:
    from tui.screens.sweep.sweep_known import SweepRequest


class SweepBench(Vertical):
    """Marks, rose and figures; profile; slip; the field with its prompt and echo."""

    DEFAULT_CSS = """
    SweepBench #middle { height: 11; }
    SweepBench RoseView { width: 29; height: 100%; }
    SweepBench ProfileView { height: 1fr; min-height: 5; }
    """
    REST_S: ClassVar[float] = 0.15
    """Seconds without a key before the whole sweep is worked out again."""

    session: reactive[SweepSession | None] = reactive(None, init=False, repaint=False)
    """The sweep that is shown."""
    known: reactive[SweepDisplay] = reactive(SweepDisplay, init=False, repaint=False)
    """What the core says about it."""

    asking: reactive[str] = reactive("", init=False, repaint=False)
    """'' for readings; 'station' or 'clock' while F6 asks where to go."""

    class WorkedOut(Message):
        """The core has worked out what it can say."""

        def __init__(self, sweep_id: str, known: SweepDisplay) -> None:
            super().__init__()
            self.sweep_id = sweep_id
            self.known = known

    def __init__(self) -> None:
        super().__init__()
        self.job: SweepJob | None = None
        """The job on the rollers; set before `session`."""
        self.what = ""
        """What this sweep is, in words; set before `session`."""
        self.field = ReadingInput()
        """The line that takes readings."""
        self.moved = ""
        """Words when what is typed was for a slot that is asked for no longer."""
        self._rest: Timer | None = None
        self._aside = ""
        """What was typed when F6 was pressed."""

    def on_mount(self) -> None:
        """Wire the field."""
        self.field.understand = self._understand

    def compose(self) -> ComposeResult:
        """From top to bottom."""
        yield LineView(id="status")
        with Horizontal(id="middle"):
            yield MarksView()
            yield RoseView()
            yield SoFarView()
        yield ProfileView()
        yield LineView(id="slip")
        yield self.field

    def watch_session(self) -> None:
        """Show it."""
        self.show()

    def watch_known(self) -> None:
        """Show what the core says."""
        self.show()

    def show(self) -> None:
        """Bring every picture up to date; each repaints only what changed."""
        job, session, known = self.job, self.session, self.known
        if job is None or session is None or not self.is_mounted:
            return
        self.query_one("#status", LineView).show(views.status_text(session, self.what), "dim")
        self.query_one(MarksView).show(session, known)
        self.query_one(RoseView).show(views.rose_of(session, known))
        self.query_one(SoFarView).show(session, known)
        sketch = views.sketch_of(job.shaft, session, job.areas)
        limit_in = job.shop.limit_between_in
        self.query_one(ProfileView).show(views.profile_of(sketch, session, known, limit_in))
        self.query_one("#slip", LineView).show(views.slip_text(session, known), "doubt")
        self._show_prompt()

    @property
    def typed(self) -> str:
        """The reading typed but not entered."""
        return self._aside if self.asking else self.field.value

    def watch_asking(self, before: str, now: str) -> None:
        """Turn the field into a question, or back into the line for readings."""
        if now and not before:
            self._aside, self.field.value = self.field.value, ""
        self.field.allow_empty = bool(now)
        self.echo("Enter alone: stay" if now else "")
        if before and not now:
            self.field.value = ""
            self.field.give_back(self._aside)
            self._aside = ""
        self._show_prompt()

    def _show_prompt(self) -> None:
        if self.session is not None:
            self.prompt(question_text(self.asking) or views.prompt_text(self.session))

    def _understand(self, typed: str) -> str:
        """How a number would be understood while it is typed."""
        session = self.session
        if session is None or self.asking:
            return ""
        kind = session.slot.kind if session.slot else "mark"
        return understood_reading(typed, kind, session.unit, session.sweep.dial_turn_in)

    def prompt(self, words: str) -> None:
        """The text before the number."""
        self.field.show(prompt=f"{words}:")

    def echo(self, words: str, style: str = "") -> None:
        """The text behind the number: how it is understood, what was taken."""
        self.field.show(echo=(words, style))

    # -- working out -------------------------------------------------------------------------------

    def work_out_soon(self, book: Book) -> None:
        """Work the sweep out once the keys rest."""
        if self._rest is not None:
            self._rest.stop()
        self._rest = self.set_timer(self.REST_S, partial(self._work_out, book))

    def wait_longer(self) -> None:
        """A key came: put the heavy work off."""
        if self._rest is not None:
            self._rest.reset()

    def _work_out(self, book: Book) -> None:
        """Read on this thread, compute on another; the newest wins."""
        self._rest = None
        if self.session is None or self.job is None:
            return
        from tui.screens.sweep import sweep_known

        shop = self.job.shop
        asked = sweep_known.question(book, self.session.sweep, shop)
        self.run_worker(partial(self._compute, asked), thread=True, exclusive=True)

    def _compute(self, asked: SweepRequest) -> None:
        """On a thread: whatever goes wrong in the figures must not end the sweep."""
        from tui.screens.sweep import sweep_known

        try:
            found = sweep_known.known(asked)
        except Exception:
            if self.app.is_headless:
                raise
            found = SweepDisplay(trouble=text.FIGURES_FAIL)
        self.post_message(self.WorkedOut(asked.sweep.id, found))

    def on_sweep_bench_worked_out(self, event: WorkedOut) -> None:
        """Show what the core says, if it is still about this sweep; the screen hears of it too."""
        if self.session is not None and event.sweep_id == self.session.sweep.id:
            self.known = event.known
