"""The screens that take figures one after the other: bore, face, key, shaft end, wear.

A subclass says what to measure and what it means, in one pure function of the figures::

    class BoreScreen(MeasuringScreen):
        SUBJECTS = ("bore", "seat", "coupling")
        def work_out(self, figures, facts) -> Sheet: ...

Every Enter is stored before it is shown as taken. A figure that is typed over stays in the book.
"""

from __future__ import annotations

from typing import ClassVar

from textual.app import ComposeResult
from textual.widget import Widget

from core.base.errors import ShaftlogError
from core.book import drafts
from core.book.errors import Overtaken
from core.fitting.measured import cursor as moves
from core.fitting.measured import entry
from core.fitting.measured.cursor import FigureCursor
from core.fitting.measured.facts import FitFacts
from core.fitting.measured.measurements import (
    MOST_SETS,
    SKIPPED,
    Key,
    MeasurementRequest,
    MeasurementSet,
    key_of,
    set_name,
)
from core.jobs import measured
from tui.base.commands import Command, verb
from tui.screens.base.screen import JobScreen
from tui.screens.measure.panel import MeasuringPanel, PanelData, Sheet
from tui.widgets.menu import MenuItem
from tui.widgets.reading_input import ReadingInput
from tui.widgets.shared_values import Asked

JOB_CLOSED = "This job is closed: nothing can be entered. Esc goes back."
ALL_IN = "All figures are in. Up and Down go to one, to type over it."


class MeasuringScreen(JobScreen):
    """Verdict, table, words, one field; the number pad is enough."""

    SUBJECTS: ClassVar[tuple[str, ...]] = ()
    """What is measured here; undo takes back none but these."""
    MOST_ROWS: ClassVar[int] = 10
    AUTO_FOCUS = "ReadingInput"
    ACTIONS: ClassVar[tuple[Command, ...]] = (
        verb("act", "skip", "Skip", "Leave this figure out, go on (also *)"),
        verb("undo", "undo", "Undo", "Take the last figure back (also /)"),
        verb("data", "sets", "Set", "Set as received, set after work: see another, begin one"),
        verb("more", "more", "Words", "All that the figures say, page by page"),
        verb("setup", "setup", "Set-up", "What is measured and against what"),
        Command("cell_up", ("up",), "Up", "To the figure before", footer=False),
        Command("cell_down", ("down",), "Down", "To the figure after", footer=False),
        Command("group_back", ("pageup",), "Prev", "To the part before (also - Enter)", False),
        Command("group_on", ("pagedown",), "Next", "To the next part (also + Enter)", False),
    )

    def __init__(self, job_id: str) -> None:
        super().__init__(job_id)
        self.set_no: int | None = None
        """The set being looked at; None = the newest."""
        self.facts: FitFacts
        self.figures = MeasurementSet(())
        self.sheet: Sheet | None = None
        self.cursor = FigureCursor()
        self.question: entry.UnitQuestion | None = None
        """A figure that looks odd and is not taken yet."""
        self.theirs: set[Key] = set()
        """Figures that another bench measured while this screen was open."""
        self.asked = Asked()
        self._opened = False

    # -- for subclasses --------------------------------------------------------------------------

    def work_out(self, figures: MeasurementSet, facts: FitFacts) -> Sheet:
        """What to measure, and what the figures say."""
        raise NotImplementedError

    def picture(self) -> Widget | None:
        """A picture to the right of the table."""
        return None

    def show_picture(self) -> None:
        """Bring the picture up to date."""

    def accept_odd(self, wanted: MeasurementRequest, value_in: float) -> None:
        """A figure far from the size expected is right; the screen may remember the new size."""

    def action_setup(self) -> None:
        """F8."""
        self.say("Nothing to set up here.")

    # -- what is shown ---------------------------------------------------------------------------

    def body(self) -> ComposeResult:
        """From top to bottom."""
        yield MeasuringPanel(self.MOST_ROWS, self.picture())
        yield ReadingInput()

    @property
    def field(self) -> ReadingInput:
        """The field."""
        return self.query_one(ReadingInput)

    @property
    def panel(self) -> MeasuringPanel:
        """Everything above the field."""
        return self.query_one(MeasuringPanel)

    @property
    def here(self) -> MeasurementRequest | None:
        """The figure under the cursor; None = all are in."""
        at = self.cursor.index(self.sheet.wanted) if self.sheet else None
        return self.sheet.wanted[at] if self.sheet and at is not None else None

    def refresh_view(self) -> None:
        """Read the book; on opening go to where it stopped."""
        self.read()
        if not self._opened:
            self._opened = True
            self.field.understand = self._understand
            typed = drafts.draft(self.book, self.draft_name).get("typed", "")
            self.field.give_back(typed)
        self.paint()

    def seen_elsewhere(self) -> None:
        """Another bench stored something: show it, and say what became of the figures here."""
        before, here = self.figures, self.cursor.at
        super().seen_elsewhere()
        self.theirs |= {key_of(m) for m in self.figures.taken if m not in before.taken}
        if words := measured.changed_words(before, self.figures, here):
            self.echo("")
            self.say(words, "stop")

    def read(self) -> None:
        """Read the book and work everything out again; the cursor stays on its figure."""
        first = self.sheet is None
        self.facts = measured.read_fit_facts(self.book, self.job_id)
        self.figures = measured.read_figures(
            self.book, self.job_id, *self.SUBJECTS, set_no=self.set_no
        )
        self.sheet = self.work_out(self.figures, self.facts)
        lost = self.cursor.at is not None and self.here is None
        if first or lost:
            self.cursor = moves.resume(self.sheet.wanted, self.figures)

    def paint(self) -> None:
        """Bring the screen up to date."""
        if self.sheet is None:
            return
        at = self.cursor.index(self.sheet.wanted)
        self.panel.show(PanelData(self.sheet, self.figures, self.facts, at, self.question))
        self.show_picture()
        if self.read_only:
            words = "Read only"
        elif self.question is not None:
            words = f"Is {self.question.typed} right? 1 to {len(self.question.answers)}"
        elif self.here is not None:
            words = self.here.label
        else:
            words = "All figures are in" if self.sheet.wanted else "Nothing to measure: F8"
        self.field.show(prompt=f"{words}:")

    def echo(self, words: str, style: str = "") -> None:
        """Words after the field."""
        self.field.show(echo=(words, style))

    def _understand(self, text: str) -> str:
        """How the number would be understood."""
        if self.here is None or (self.question is not None and self.question.answer(text)):
            return ""
        return entry.understood(self.here, text, self.facts)

    def action_more(self) -> None:
        """F7: all words, page by page, in place of the table; then the table again."""
        self.panel.turn_page()

    # -- taking figures --------------------------------------------------------------------------

    def on_reading_input_entered(self, event: ReadingInput.Entered) -> None:
        """Enter or a pad key, with what was in the field."""
        if event.key == "undo" and event.text:
            self.echo("Wiped")
        elif event.key == "undo":
            self.action_undo()
        elif event.key == "blocked":
            self.action_skip()
        elif event.text in ("+", "-"):
            self._to_part(1 if event.text == "+" else -1)
        elif event.text:
            self._enter(event.text)

    def _enter(self, text: str) -> None:
        """Answer the question, or take the figure; what is refused stays in the field."""
        question = self.question
        if self.asked.too_soon(text):
            self.field.give_back(text)
            return
        try:
            self.check_open()
            meaning = question.answer(text) if question is not None else ""
            if question is not None and meaning:
                self._answered(question, meaning)
            elif self.here is not None:
                self._take(self.here, text)
            else:
                self.echo("Not taken", "doubt")
                self.say(ALL_IN, "stop")
        except ShaftlogError as error:
            if isinstance(error, Overtaken):
                self.asked.ask(text)
                self.read()
                self.paint()
            self.field.give_back(text)
            self.say(error, "stop")

    def check_open(self) -> None:
        """Raise when nothing may be entered."""
        if self.read_only:
            raise ShaftlogError(JOB_CLOSED)

    def _take(self, wanted: MeasurementRequest, text: str) -> None:
        value_in = entry.parse_figure(wanted, text, self.facts)
        if wanted.key in self.theirs:
            self.theirs.remove(wanted.key)
            measured.ask_about_theirs(self.figures.at(wanted.key), text)
        self.question = entry.ask_about(wanted, text, value_in)
        if self.question is not None:
            self._keep_typed(text)
            self.say("This figure is not taken yet: answer with a digit, then Enter.", "stop")
            self.panel.read_words(False)
            self.paint()
            return
        self._store(wanted, text, value_in)

    def _answered(self, question: entry.UnitQuestion, meaning: str) -> None:
        self.question = None
        self._keep_typed("")
        if meaning == "again":
            self.say("Not taken. Measure it again.")
            self.paint()
            return
        value_in = question.doubt.value_in
        if meaning == "likely":
            value_in = question.doubt.likely_in or value_in
        else:
            self.accept_odd(question.wanted, value_in)
        self._store(question.wanted, question.typed, value_in)

    def _store(self, wanted: MeasurementRequest, raw: str, value_in: float | None) -> None:
        """Store one figure and go on."""
        corrected = self.figures.is_done(wanted)
        if raw == SKIPPED:
            measured.leave_out(self.book, self.job_id, wanted, self.figures)
        else:
            measured.take_figure(self.book, self.job_id, wanted, raw, value_in, self.figures)
        self.read()
        self._go_on(wanted, corrected)
        shown = entry.cell_text(wanted, self.figures.at(wanted.key), self.facts)
        if raw == SKIPPED:
            self.echo("Left out", "doubt")
        else:
            self.echo(f"{'Mended' if corrected else 'Taken'}: {shown}", "good")

    def _go_on(self, taken: MeasurementRequest, corrected: bool) -> None:
        """The cursor to the figure that comes next."""
        assert self.sheet is not None
        self.panel.read_words(False)
        before = FigureCursor(taken.key, self.cursor.entry)
        self.cursor = moves.after_taking(before, corrected, self.sheet.wanted, self.figures)
        here = self.here
        if here is None:
            self.say("All figures are in. F7 shows all that they say.", "done")
        elif here.optional and here.part:
            self.say("Taken. Measure the next pass here, or go on when it fits.", "done")
        else:
            self.say(here.hint)
        self.paint()

    def action_skip(self) -> None:
        """F4 or *."""
        if self.question is not None:
            return
        with self.in_words():
            self.check_open()
            if self.here is None:
                self.say(ALL_IN, "stop")
            else:
                self._store(self.here, SKIPPED, None)

    def action_undo(self) -> None:
        """F5 or /: the last figure of this set; the value it took the place of counts again."""
        if self.question is not None:
            self._answered(self.question, "again")
            return
        with self.in_words():
            self.check_open()
            back = measured.take_back(self.book, self.job_id, self.SUBJECTS, self.figures)
            if back is None:
                self.echo("Nothing to take back", "doubt")
                return
            gone, again = back
            self.cursor = FigureCursor(key_of(gone), key_of(gone))
            self.read()
            raw = "left out" if gone.raw == SKIPPED else gone.raw
            self.echo(f"Taken back: {raw}" + (f"; {again.raw} again" if again else ""), "doubt")
            self.paint()

    # -- moving ----------------------------------------------------------------------------------

    def _move(self, cursor: FigureCursor) -> None:
        """The cursor to another figure; nothing said of the one before stays behind."""
        self.cursor = cursor
        self.field.select()  # what is half typed was meant for the figure that was left
        self.question = None
        self.panel.read_words(False)
        self.echo("")
        self.say(self.here.hint if self.here else "")
        self.paint()

    def action_cell_up(self) -> None:
        """Up."""
        if self.sheet is not None:
            self._move(moves.moved(self.cursor, -1, self.sheet.wanted))

    def action_cell_down(self) -> None:
        """Down."""
        if self.sheet is not None:
            self._move(moves.moved(self.cursor, 1, self.sheet.wanted))

    def action_group_back(self) -> None:
        """PgUp."""
        self._to_part(-1)

    def action_group_on(self) -> None:
        """PgDn."""
        self._to_part(1)

    def _to_part(self, by: int) -> None:
        if self.sheet is not None:
            self._move(moves.moved_to_part(self.cursor, by, self.sheet.wanted))

    # -- sets ------------------------------------------------------------------------------------

    def action_sets(self) -> None:
        """F6."""

        last = max(self.figures.last_set(*self.SUBJECTS), self.figures.set_no)
        items = [
            MenuItem(str(n), set_name(n).capitalize(), "on the screen" * (n == self.figures.set_no))
            for n in range(1, last + 1)
        ]
        if last < MOST_SETS and not self.read_only:
            items.append(MenuItem(str(last + 1), f"Begin {set_name(last + 1)}"))
        words = "Which set of figures? A new set is measured after work was done."
        self.ask_which(words, items, self._set_chosen)

    def _set_chosen(self, choice: str | None) -> None:
        if choice is not None:
            self.set_no = int(choice)
            self.sheet = None
            self.question = None
            self.refresh_view()
            self.say(f"{set_name(self.set_no).capitalize()}.", "done")

    # -- leaving ---------------------------------------------------------------------------------

    def action_back(self) -> None:
        """Esc at a question goes back to the number; else it leaves."""
        if self.question is None:
            super().action_back()
            return
        typed, self.question = self.question.typed, None
        self.paint()
        self.field.give_back(typed)
        self.say("Not taken. Mend the number, or Esc again leaves.")

    def _keep_typed(self, text: str) -> None:
        """What is typed but not taken comes back with the screen, also after a power cut."""
        book = self.book
        if not book.read_only and drafts.draft(book, self.draft_name).get("typed", "") != text:
            drafts.save_draft(book, self.draft_name, {"typed": text})

    def settle(self) -> bool:
        """Keep what is typed."""
        with self.in_words():
            self._keep_typed(self.question.typed if self.question else self.field.value)
        return True

    @property
    def draft_name(self) -> str:
        return f"{type(self).__name__} {self.job_id}"
