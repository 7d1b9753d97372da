"""The base of the screens that take figures one after the other: bore, face, key, shaft end.

A subclass says what to measure and what it means, in one pure function of the figures::

    class BoreScreen(MeasuringScreen):
        SUBJECTS = ("bore", "seat", "coupling")
        def work_out(self, figures, facts) -> Sheet: ...

Every Enter is stored before it is shown as taken; a figure typed over stays in the book.
"""

from __future__ import annotations

from typing import ClassVar

from core.base.errors import ShaftlogError
from core.base.records import Measurement
from core.book import drafts, measurements
from core.fitting.measured import entry
from core.fitting.measured.measurements import (
    MOST_SETS,
    SKIPPED,
    MeasurementRequest,
    key_of,
    next_open,
    set_name,
)
from tui.commands import Command
from tui.screens.measure.measuring_view import MeasuringView, Sheet, SheetRow
from tui.screens.sweep.sweep_input import ReadingInput
from tui.widgets.menu import MenuItem

__all__ = ["CLOSED", "MeasuringScreen", "Sheet", "SheetRow"]

CLOSED = "This job is closed: nothing can be entered. Esc goes back."


class MeasuringScreen(MeasuringView):
    """Verdict, table, chapters, one field; the number pad is enough."""

    COMMANDS: ClassVar[tuple[Command, ...]] = (
        Command("skip", ("f4",), "Skip", "Leave this figure out, go on (also *)"),
        Command("undo", ("f5",), "Undo", "Take the last figure back (also /)"),
        Command("sets", ("f6",), "Set", "Set as received, set after work: see another, begin one"),
        Command("cell_up", ("up",), "Up", "To the figure before", footer=False),
        Command("cell_down", ("down",), "Down", "To the figure behind", footer=False),
        Command("group_back", ("pageup",), "Prev", "To the part before (also - Enter)", False),
        Command("group_on", ("pagedown",), "Next", "To the next part (also + Enter)", False),
    )

    # -- taking figures --------------------------------------------------------------------------

    def on_reading_input_entered(self, event: ReadingInput.Entered) -> None:
        """Enter or a pad key, with what stood in the field."""
        if event.key == "undo" and event.text:
            self.echo("Wiped")
        elif event.key == "undo":
            self.action_undo()
        elif event.key == "blocked":
            self.action_skip()
        elif event.text in ("+", "-"):
            self._to_group(1 if event.text == "+" else -1)
        elif event.text:
            self._enter(event.text)

    def _enter(self, text: str) -> None:
        """Answer the question, or take the figure; what is refused stays in the field."""
        question = self.question
        try:
            self.check_open()
            meaning = question.answer(text) if question is not None else ""
            if question is not None and meaning:
                self._answered(question, meaning)
            elif self.here is not None:
                self._take(self.here, text)
        except ShaftlogError as error:
            self.field.give_back(text, held=True)
            self.say(error, "stop")

    def check_open(self) -> None:
        """Raise when nothing may be entered."""
        if self.read_only:
            raise ShaftlogError(CLOSED)

    def _take(self, wanted: MeasurementRequest, text: str) -> None:
        value_in = entry.parse_figure(wanted, text, self.facts)
        self.question = entry.ask_about(wanted, text, value_in)
        if self.question is not None:
            self._keep_typed(text)
            self.say("This figure is not taken yet: answer with a digit, then Enter.", "stop")
            self.read_words(False)
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
        """Store one figure and go on to the next open one."""
        measurements.take_measurement(
            self.app.book,
            job_id=self.job_id,
            subject=wanted.subject,
            what=wanted.what,
            raw=raw,
            value_in=value_in,
            set_no=self.figures.set_no,
            depth_in=wanted.depth_in,
            clock_deg=wanted.clock_deg,
        )
        self.read()
        shown = entry.cell_text(wanted, self.figures.at(wanted.key), self.facts)
        self.echo(f"Taken: {shown}", "good")
        self._go_on()

    def _go_on(self) -> None:
        """The cursor to the next open figure."""
        assert self.sheet is not None
        self.read_words(False)
        found = next_open(self.sheet.wanted, self.figures, self.cursor)
        if found is None and self._pass_follows():
            self.cursor += 1
            self.say("Taken. Measure the next pass here, or go on when it fits.", "done")
        elif found is None:
            self.say("All figures are in. F7 shows all that they say.", "done")
        else:
            self.cursor = found
            self.say(self.sheet.wanted[found].hint)
        self.paint()

    def _pass_follows(self) -> bool:
        """Whether the figure behind is the next one of a row of passes."""
        assert self.sheet is not None
        here, *behind = self.sheet.wanted[self.cursor : self.cursor + 2]
        return any(w.part == here.part != "" and not self.figures.is_done(w) for w in behind)

    def action_skip(self) -> None:
        """F4 or *."""
        wanted = self.here
        if wanted is None or self.question is not None:
            return
        with self.in_words():
            self.check_open()
            self._store(wanted, SKIPPED, None)
            self.echo("Left out", "doubt")

    def action_undo(self) -> None:
        """F5 or /: the last figure of this set; a value it had taken the place of stands again."""
        if self.question is not None:
            self._answered(self.question, "again")
            return
        with self.in_words():
            self.check_open()
            last = self._last_taken()
            if last is None:
                self.echo("Nothing to take back", "doubt")
                return
            gone = measurements.undo_measurement(self.app.book, self.job_id, *self.SUBJECTS)
            self.read()
            self._to_key(gone)
            self.echo(f"Taken back: {gone.raw}" if gone else "", "doubt")
            self.paint()

    def _last_taken(self) -> Measurement | None:
        """The last figure, if it belongs to the set on the screen."""
        own = [m for m in self.figures.taken if m.subject in self.SUBJECTS]
        last = max(own, key=lambda m: (m.taken_at, m.id), default=None)
        if last is not None and last.set_no != self.figures.set_no:
            raise ShaftlogError(
                f"The last figure was taken in {set_name(last.set_no)}. F6 goes there."
            )
        return last

    def _to_key(self, one: Measurement | None) -> None:
        places = {w.key: i for i, w in enumerate(self.sheet.wanted)} if self.sheet else {}
        if one is not None:
            self.cursor = places.get(key_of(one), self.cursor)

    # -- moving ----------------------------------------------------------------------------------

    def move_to(self, place: int) -> None:
        """The cursor to a figure."""
        if self.sheet is None or not self.sheet.wanted:
            return
        self.cursor = place % len(self.sheet.wanted)
        self.question = None
        self.read_words(False)
        self.say(self.sheet.wanted[self.cursor].hint)
        self.paint()

    def action_cell_up(self) -> None:
        """Up."""
        self.move_to(self.cursor - 1)

    def action_cell_down(self) -> None:
        """Down."""
        self.move_to(self.cursor + 1)

    def action_group_back(self) -> None:
        """PgUp."""
        self._to_group(-1)

    def action_group_on(self) -> None:
        """PgDn."""
        self._to_group(1)

    def _to_group(self, by: int) -> None:
        """To the first figure of the next or previous part."""
        if self.sheet is None or not self.sheet.wanted:
            return
        parts = [w.part or w.subject for w in self.sheet.wanted]
        firsts = [i for i, part in enumerate(parts) if part not in parts[:i]]
        now = parts[self.cursor]
        at = next(i for i, first in enumerate(firsts) if parts[first] == now)
        self.move_to(firsts[(at + by) % len(firsts)])

    # -- sets --------------------------------------------------------------------------------------

    def action_sets(self) -> None:
        """F6."""
        from tui.screens.base.ask import AskScreen

        last = max(self.figures.last_set(*self.SUBJECTS), self.figures.set_no)
        items = [
            MenuItem(str(n), set_name(n).capitalize(), "on the screen" * (n == self.figures.set_no))
            for n in range(1, last + 1)
        ]
        if last < MOST_SETS and not self.read_only:
            items.append(MenuItem(str(last + 1), f"Begin {set_name(last + 1)}"))
        words = "Which set of figures? A new set is measured after work was done."
        self.app.push_screen(AskScreen(words, items), self._set_chosen)

    def _set_chosen(self, choice: str | None) -> None:
        if choice is not None:
            self.set_no = int(choice)
            self.sheet = None
            self.question = None
            self.refresh_view()
            self.say(f"{set_name(self.set_no).capitalize()}.", "done")

    # -- leaving -----------------------------------------------------------------------------------

    def action_back(self) -> None:
        """Esc at a question goes back to the number, which stands typed; else it leaves."""
        if self.question is None:
            super().action_back()
            return
        typed, self.question = self.question.typed, None
        self.paint()
        self.field.give_back(typed, held=True)
        self.say("Not taken: the number stands typed. Mend it, or Esc again leaves.")

    def _keep_typed(self, text: str) -> None:
        """What is typed but not taken comes back with the screen, also after a power cut."""
        book = self.app.book
        if not book.read_only and drafts.draft(book, self.draft_name).get("typed", "") != text:
            drafts.save_draft(book, self.draft_name, {"typed": text})

    def settle(self) -> bool:
        """Keep what stands typed."""
        with self.in_words():
            self._keep_typed(self.question.typed if self.question else self.field.value)
        return True
