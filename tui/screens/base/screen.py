"""The base of every screen.

`ShopScreen` gives the top line, the message line, the footer and the keys of every screen;
`JobScreen` adds the job. A whole screen in twenty lines::

    class FaceScreen(JobScreen):
        HEADING = "Face and pilot"
        HOW_TO = "Bolt the coupling up, roll the shaft, read the face at the chalk marks."
        ACTIONS = (verb("undo", "wipe", "Undo", "Take the last reading back"),)

        def body(self) -> ComposeResult:
            yield self.shared_form(self._specs, self._save)
            yield Static(id="verdict")

        def _specs(self) -> tuple[FieldSpec, ...]:      # as the book holds them now
            face = ...
            return (
                FieldSpec("radius", "Dial radius", "length", face.radius, "centre to plunger"),
                FieldSpec("dials", "Dials", "choice", face.dials, choices=DIALS),
            )

        def refresh_view(self) -> None:          # on opening and on coming back
            self.query_one("#verdict", Static).update(plain("..."))

        def _save(self, name: str, value: object) -> str | None:
            ...                                  # core.book call; ShaftlogError = refused
            return "understood as 2.500 in"      # echo behind the field

        def action_wipe(self) -> None:
            with self.in_words():                # errors of core become the message line
                ...
                self.say("Taken back.", "done")

`JobScreen.read_only` is true for a closed job: refuse then. After a penetrant stage was stored call
`self.context.look_at_clocks()`. Do not override `compose`; use `body` and `refresh_view`. Textual
calls an `on_...` handler of a base class as well as that of the subclass: never write the same one
twice in a family of screens. A `ShaftlogError` that escapes a handler is shown in the message line.
A screen gets a name in `tui/routes.py`; others open it with `self.context.go(name, job_id)`.
`self.book` is the open book. `Form` and `FieldSpec` are in `tui.widgets.form`, `Menu` in `.menu`,
`ListBox` in `.list_box`, `NumberInput` in `.number_input`; short numbered questions are asked with
`self.ask_which(question, items, answered)`.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from contextlib import AbstractContextManager, contextmanager, nullcontext
from datetime import UTC, datetime
from functools import partial
from typing import TYPE_CHECKING, ClassVar, TypeVar, cast

from textual.app import ComposeResult
from textual.containers import Container
from textual.css.query import NoMatches
from textual.message import Message
from textual.widgets import Static

from core.base.errors import ShaftlogError
from tui.base.commands import Command, bindings, commands_of, verb
from tui.base.context import Context, Tone
from tui.screens.base.job_text import is_closed, subject_of
from tui.terminal.diff_compositor import DiffCompositor
from tui.terminal.opened_once import OpenedOnce
from tui.widgets.footer import KeyLine
from tui.widgets.header import TopLine
from tui.widgets.message import MessageLine
from tui.widgets.plain import clean, plain

if TYPE_CHECKING:
    from core.book.connection import Book
    from tui.widgets.field import FieldSpec
    from tui.widgets.form import Form, Save
    from tui.widgets.menu import MenuItem
    from tui.widgets.number_input import NumberInput

Found = TypeVar("Found")


class ShopScreen(OpenedOnce[None]):
    """Top line, body, message line, footer, and the keys that work everywhere."""

    HEADING: ClassVar[str] = ""
    """Name of the screen on the top line."""
    HOW_TO: ClassVar[str] = ""
    """A paragraph for the help screen: what this screen is for and how to work it."""
    ACTIONS: ClassVar[tuple[Command, ...]] = (
        verb("help", "help", "Help", "What this screen is for and its keys"),
        verb("jobs", "open_jobs", "Jobs", "Open jobs: type the two digits of a job"),
        verb("find", "find", "Find", "Find any job, old or new, as you type"),
        verb("note", "note", "Note", "Write a note on this job", footer=False),
        verb("card", "job_card", "Card", "Job card of the job last open", footer=False),
        verb("actions", "actions", "Actions", "Find an action by its name", footer=False),
        verb("back", "back", "Back", "Go back; nothing entered is lost"),
    )
    BINDINGS = bindings(ACTIONS)
    DEFAULT_CSS = """
    ShopScreen > .body { height: 1fr; width: 1fr; padding: 0 1; }
    """
    AUTO_FOCUS = "LineInput, Menu, Form, ListBox"

    def __init__(self) -> None:
        super().__init__()
        self._compositor = DiffCompositor()
        self._work_number = 0
        self.bodiless = False
        """Whether words of trouble stand where the body should."""
        self.message_line = MessageLine()
        """Here from the start, so that a screen just opened can be given a message at once."""

    def __init_subclass__(cls, **kwargs: bool) -> None:
        """A subclass's own table of commands becomes its bindings."""
        if "ACTIONS" in cls.__dict__:
            cls.BINDINGS = bindings(cls.ACTIONS)
        super().__init_subclass__(**kwargs)

    # -- for subclasses ------------------------------------------------------------------------

    def body(self) -> ComposeResult:
        """Widgets between the top line and the message line."""
        yield from ()

    def refresh_view(self) -> None:
        """Read the book and show it; called on opening and on coming back."""

    def subject(self) -> str:
        """What follows the heading on the top line."""
        return ""

    def later(self, work: Callable[[], object]) -> None:
        """Do `work` after the next paint, unless the screen has been left by then."""

        def run() -> None:
            if not self.was_left and self.is_mounted:
                work()

        self.call_after_refresh(run)

    @property
    def context(self) -> Context:
        """The app, as far as a screen knows it."""
        return cast("Context", self.app)

    @property
    def now(self) -> datetime:
        """The moment by the app's clock."""
        return datetime.fromtimestamp(self.context.clock(), UTC)

    @property
    def book(self) -> Book:
        """The open job book."""
        return self.context.book

    def ask_which(
        self, question: str, items: Sequence[MenuItem], answered: Callable[[str | None], None]
    ) -> None:
        """Ask a short numbered question; `answered` gets the name of an item, or None."""
        from tui.screens.base.ask import AskScreen

        self.app.push_screen(AskScreen(question, items), answered)

    class Answer(Message):
        """What a thread has worked out, or why not."""

        def __init__(self, number: int, show: Callable[[], object]) -> None:
            super().__init__()
            self.number, self.show = number, show

    def in_background(
        self, compute: Callable[[Book], Found], show: Callable[[Found], object]
    ) -> None:
        """Compute on a thread with its own connection to the book, then `show` it here.

        Keys work meanwhile. What a newer call has overtaken is dropped; an error becomes words.
        """
        self._work_number += 1
        number, book, visible = self._work_number, self.book, not self.app.is_headless

        def run() -> None:
            try:
                with book.reopen(read_only=True) as own:
                    found = compute(own)
            except ShaftlogError as error:
                answer: Callable[[], object] = partial(self.say, error, "stop")
            except Exception:
                if not visible:
                    raise
                answer = partial(self.say, "This cannot be worked out (a fault).", "stop")
            else:
                answer = partial(show, found)
            self.post_message(ShopScreen.Answer(number, answer))

        self.run_worker(run, thread=True, exclusive=True, group="background")

    def on_shop_screen_answer(self, event: Answer) -> None:
        """Show it, unless something newer is under way."""
        if event.number == self._work_number:
            event.show()

    def say(self, words: object, tone: Tone = "hint") -> None:
        """Show `words` in the message line; user text is safe in it."""
        self.message_line.say(clean(words), tone)

    @contextmanager
    def in_words(self) -> Iterator[None]:
        """Errors of the core inside the block become words in the message line."""
        try:
            yield
        except ShaftlogError as error:
            self.say(error, "stop")

    # -- the frame -----------------------------------------------------------------------------

    def compose(self) -> ComposeResult:
        """The frame round `body`."""
        self.take_size_classes()
        yield TopLine()
        yield from self.context.banner()
        with Container(classes="body"):
            try:
                yield from self.body()
            except ShaftlogError as error:
                self.bodiless = True
                yield Static(plain(error))
        yield self.message_line
        yield KeyLine(commands_of(type(self)))

    def on_screen_suspend(self) -> None:
        """Another screen covers this one: what was said of the last act is old when it returns."""
        self.say("")
        for field in self.query("ReadingInput"):
            field.show(echo=("", ""))  # type: ignore[attr-defined]

    def on_screen_resume(self) -> None:
        """Show the state of the book now, whichever way we came here."""
        top = self.query_one(TopLine)
        top.heading, top.clock = self.HEADING, self.context.running_clock
        top.others = self.context.others
        self.context.follow_unit()
        for field in self.query("ReadingInput"):
            # The next key replaces a number that was half typed before.
            field.select()  # type: ignore[attr-defined]
        with self.in_words():
            top.subject = self.subject()
            if not self.bodiless:
                self._refresh_now()
                if self.form is not None:
                    self.form.look(quiet=True)

    def _refresh_now(self) -> None:
        """Keys typed fast can bring us here while the parts of the body still come or go."""
        try:
            self.refresh_view()
        except NoMatches:
            self.later(self.refresh_view)

    def seen_elsewhere(self) -> None:
        """Another bench has stored something: show it; typed text stays."""
        self.context.follow_unit()
        self._refresh_now()
        if self.form is not None:
            self.form.look()

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """Where the body could not be made, or not yet, only the keys of every screen work."""
        everywhere = {command.name for command in ShopScreen.ACTIONS}
        if not self.is_mounted:
            return action in everywhere
        return not self.bodiless or action in everywhere

    def on_number_input_num_lock_off(self, event: NumberInput.NumLockOff) -> None:
        """A digit of the pad came as an arrow."""
        self.say(event.words)

    def on_form_said(self, event: Form.Said) -> None:
        """Words of a form: hint of the field, what was saved, why not."""
        self.say(event.words, event.tone)

    @property
    def was_left(self) -> bool:
        """Whether the screen has been closed; messages to it are of no use then."""
        return not self.is_attached or self not in self.app.screen_stack

    async def _on_message(self, message: Message) -> None:
        """An error of the core that a handler let through becomes words, never a crash."""
        if type(message).__module__.startswith("tui.") and self.was_left:
            return  # from a thread or a widget, too late
        try:
            await super()._on_message(message)
        except ShaftlogError as error:
            self.say(error, "stop")

    # -- keys of every screen --------------------------------------------------------------------

    def action_help(self) -> None:
        """F1."""
        from tui.screens.base.help import HelpScreen

        self.app.push_screen(HelpScreen(self.HEADING, self.HOW_TO, commands_of(type(self))))

    def action_actions(self) -> None:
        """Ctrl+P."""
        from tui.screens.base.palette import ActionPalette

        self.app.push_screen(ActionPalette())

    def action_open_jobs(self) -> None:
        """F2."""
        if self.settle():
            self.context.go("jobs")

    def action_find(self) -> None:
        """F3."""
        if self.settle():
            self.context.go("find")

    def action_note(self) -> None:
        """F9: only a job has notes."""
        self.say("Open a job first: a note belongs to a job.")

    def action_job_card(self) -> None:
        """F10: back to the card of the job last worked on."""
        if self.context.last_job_id is None:
            self.say("Open a job first: F2 shows the open jobs.")
        elif self.settle():
            self.context.go("card", self.context.last_job_id)

    def action_back(self) -> None:
        """Esc."""
        if self.settle():
            self.context.back()

    def settle(self) -> bool:
        """Save what is typed in a form; False = refused, and said why (once)."""
        return self.form.settle() if self.form is not None else True

    # -- forms -----------------------------------------------------------------------------------

    @property
    def form(self) -> Form | None:
        """The form of this screen."""
        # By name, so that screens without a form need not load it.
        return cast("Form | None", next(iter(self.query("Form")), None))

    def shared_form(
        self,
        read: Callable[[], Sequence[FieldSpec]],
        save: Save,
        own: Sequence[FieldSpec] = (),
        *,
        label_width: int = 24,
        box_width: int = 30,
    ) -> Form:
        """A form of what the book holds, which other benches may change while it is open.

        `read` gives its fields as the book holds them now; `own` are further ones, not stored.
        """
        from tui.widgets.form import Form
        from tui.widgets.shared_values import SharedValues

        shared = SharedValues(read, self._one_entry)
        return Form(
            *read(), *own, save=save, shared=shared, label_width=label_width, box_width=box_width
        )

    def _one_entry(self) -> AbstractContextManager[object]:
        return nullcontext() if self.book.read_only else self.book.write()


class JobScreen(ShopScreen):
    """A screen about one job: `job_id` is its first argument."""

    ACTIONS: ClassVar[tuple[Command, ...]] = (
        verb("note", "note", "Note", "Write a note on this job"),
        verb("card", "job_card", "Card", "Job card: the steps of this job"),
    )

    def __init__(self, job_id: str) -> None:
        super().__init__()
        self.job_id = job_id

    @property
    def read_only(self) -> bool:
        """Whether nothing may be entered: the job is closed, or the book is open for looking."""
        return is_closed(self.book, self.job_id) or self.book.read_only

    def subject(self) -> str:
        """Tag and vessel."""
        return subject_of(self.book, self.job_id)

    def on_mount(self) -> None:
        """Remember the job for F10."""
        self.context.last_job_id = self.job_id

    def action_note(self) -> None:
        """F9: notes of this job."""
        if self.settle():
            self.context.go("notes", self.job_id, topic=self.HEADING)
