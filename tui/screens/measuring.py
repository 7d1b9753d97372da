"""The base of the screens that take figures one after the other: bore, face, key, shaft end.

A subclass says what to measure and what it means, in one pure function of the figures::

    class BoreScreen(MeasuringScreen):
        SUBJECTS = ("bore", "seat", "coupling")
        def work_out(self, figures, desk) -> Sheet: ...

Every Enter is stored before it is shown as taken; a figure typed over stays in the book.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar

from textual.app import ComposeResult
from textual.containers import Horizontal
from textual.widget import Widget
from textual.widgets import Static

from core.book import drafts, measurements
from core.errors import ShaftlogError
from core.fitup import entry
from core.fitup.desk import Desk
from core.fitup.figures import (
    MOST_SETS,
    SKIPPED,
    Figures,
    Wanted,
    counts,
    next_open,
    resume_at,
    set_name,
)
from core.fitup.from_book import read_desk, read_figures
from core.fitup.report import Report
from tui.keys import Command
from tui.screens.base import JobScreen
from tui.screens.sweep_input import ReadingInput
from tui.widgets.canvas import LineView
from tui.widgets.chapters import ChapterView, ShownChapter
from tui.widgets.figure_table import FigureCell, FigureGrid, FigureRow, FigureTable
from tui.widgets.menu import MenuItem
from tui.widgets.plain import plain

CLOSED = "This job is closed: nothing can be entered. Esc goes back."


@dataclass(frozen=True)
class SheetRow:
    """A row of the table: a name, the places of its figures in `Sheet.wanted`, words behind."""

    label: str
    places: tuple[int | None, ...]
    words: str = ""
    style: str = ""


@dataclass(frozen=True)
class Sheet:
    """Everything the screen shows of one set."""

    wanted: tuple[Wanted, ...]
    columns: tuple[str, ...]
    rows: tuple[SheetRow, ...]
    report: Report
    status: str = ""
    """What was chosen, in a few words."""
    title: str = ""
    words_title: str = ""
    side_title: str = ""
    side_rows: tuple[SheetRow, ...] = ()
    """Single figures, in a column to the right of the table."""


class MeasuringScreen(JobScreen):
    """Verdict, table, chapters, one field; the number pad is enough."""

    SUBJECTS: ClassVar[tuple[str, ...]] = ()
    """What is measured here; undo takes back none but these."""
    COMMANDS: ClassVar[tuple[Command, ...]] = (
        Command("skip", ("f4",), "Skip", "Leave this figure out, go on (also *)"),
        Command("undo", ("f5",), "Undo", "Take the last figure back (also /)"),
        Command("sets", ("f6",), "Set", "Set as received, set after work: see another, begin one"),
        Command("more", ("f7",), "Words", "All that the figures say, page by page"),
        Command("setup", ("f8",), "Set-up", "What is measured and against what"),
        Command("cell_up", ("up",), "Up", "To the figure before", footer=False),
        Command("cell_down", ("down",), "Down", "To the figure behind", footer=False),
        Command("group_back", ("pageup",), "Prev", "To the part before (also - Enter)", False),
        Command("group_on", ("pagedown",), "Next", "To the next part (also + Enter)", False),
    )
    DEFAULT_CSS = """
    MeasuringScreen #verdict { height: auto; max-height: 3; text-style: bold; }
    MeasuringScreen #table-row { height: auto; }
    MeasuringScreen #side { width: 26; margin: 0 0 0 2; }
    """
    AUTO_FOCUS = "ReadingInput"
    MOST_ROWS: ClassVar[int] = 10

    def __init__(self, job_id: str) -> None:
        super().__init__(job_id)
        self.set_no: int | None = None
        """The set being looked at; None = the newest."""
        self.desk: Desk
        self.figures = Figures(())
        self.sheet: Sheet | None = None
        self.cursor = 0
        self.question: entry.Question | None = None
        """A figure that looks odd and is not taken yet."""
        self._opened = False

    # -- for subclasses ------------------------------------------------------------------------

    def work_out(self, figures: Figures, desk: Desk) -> Sheet:
        """What to measure, and what the figures say."""
        raise NotImplementedError

    def picture(self) -> Widget | None:
        """A picture to the right of the table."""
        return None

    def show_picture(self) -> None:
        """Bring the picture up to date."""

    def accept_odd(self, wanted: Wanted, value_in: float) -> None:
        """A figure far from the size expected is right; the screen may remember the new size."""

    def action_setup(self) -> None:
        """F8."""
        self.say("Nothing to set up here.")

    # -- the frame -----------------------------------------------------------------------------

    def body(self) -> ComposeResult:
        """From top to bottom."""
        yield Static(id="verdict")
        yield LineView(id="status")
        picture = self.picture()
        with Horizontal(id="table-row"):
            yield FigureTable(id="figures")
            yield FigureTable(id="side")
            if picture is not None:
                yield picture
        yield ChapterView()
        yield ReadingInput()

    @property
    def field(self) -> ReadingInput:
        """The field."""
        return self.query_one(ReadingInput)

    @property
    def here(self) -> Wanted | None:
        """The figure under the cursor."""
        return self.sheet.wanted[self.cursor] if self.sheet and self.sheet.wanted else None

    def refresh_view(self) -> None:
        """Read the book; on opening go to where it stopped."""
        self.read()
        if not self._opened:
            self._opened = True
            self.field.understand = self._understand
            self.field.value = drafts.draft(self.app.book, self._draft_name).get("typed", "")
        self.paint()

    def read(self) -> None:
        """Read the book and work everything out anew."""
        book = self.app.book
        self.desk = read_desk(book, self.job_id)
        self.figures = read_figures(book, self.job_id, *self.SUBJECTS, set_no=self.set_no)
        before = self.here
        self.sheet = self.work_out(self.figures, self.desk)
        keys = [w.key for w in self.sheet.wanted]
        if before is not None and before.key in keys:
            self.cursor = keys.index(before.key)
        else:
            self.cursor = resume_at(self.sheet.wanted, self.figures)

    def paint(self) -> None:
        """Bring the screen up to date."""
        sheet = self.sheet
        if sheet is None:
            return
        report = sheet.report
        verdict = self.query_one("#verdict", Static)
        verdict.set_classes({True: "true", False: "not-true", None: "too-close"}[report.good])
        verdict.update(plain("\n".join(w for w in (report.verdict, report.summary) if w)))
        done, asked = counts(sheet.wanted, self.figures)
        words = f"{set_name(self.figures.set_no)}; {done} of {asked} figures; {sheet.status}"
        self.query_one("#status", LineView).show(words[:1].upper() + words[1:], "dim")
        self._paint_tables(sheet)
        self.query_one(ChapterView).show(self._chapters(report))
        self.show_picture()
        self._paint_prompt()

    def _paint_tables(self, sheet: Sheet) -> None:
        table, side = self.query_one("#figures", FigureTable), self.query_one("#side", FigureTable)
        most = self.MOST_ROWS + (6 if self.has_class("-high") else 0)
        height = min(max(len(sheet.rows), len(sheet.side_rows)), most) + 1
        table.styles.height = side.styles.height = height
        side.display = bool(sheet.side_rows)
        table.show(self._grid(sheet.rows, sheet.columns, sheet.title, sheet.words_title))
        side.show(self._grid(sheet.side_rows, ("",), sheet.side_title, ""))

    def _grid(
        self, rows: tuple[SheetRow, ...], columns: tuple[str, ...], title: str, words_title: str
    ) -> FigureGrid:
        cursor = next(
            ((y, row.places.index(self.cursor)) for y, row in enumerate(rows)
             if self.cursor in row.places), None,
        )  # fmt: skip
        shown = tuple(
            FigureRow(row.label, tuple(map(self._cell, row.places)), row.words, row.style)
            for row in rows
        )
        return FigureGrid(columns, shown, cursor, title, words_title)

    def _cell(self, place: int | None) -> FigureCell | None:
        if place is None or self.sheet is None:
            return None
        wanted = self.sheet.wanted[place]
        one = self.figures.stands_at(wanted.key)
        text = entry.cell_text(wanted, one, self.desk)
        if one is None:
            return FigureCell(text, "open")
        if one.raw == SKIPPED:
            return FigureCell(text, "left out")
        return FigureCell(text, "read" if self.figures.is_done(wanted) else "old")

    def _chapters(self, report: Report) -> list[ShownChapter]:
        """The question, if one is open; else what the figures say."""
        if self.question is not None:
            numbered = [f"{n}  {words}" for n, words in enumerate(self.question.answers, 1)]
            lines = (self.question.doubt.sentence, *numbered, "A new number takes its place.")
            return [ShownChapter("Is this figure right? It is not taken yet.", lines, "doubt")]
        shown = [ShownChapter(c.title, c.lines) for c in report.chapters]
        more = (("Missing", report.missing), ("Caution", report.cautions))
        shown += [ShownChapter(title, lines, "doubt") for title, lines in more if lines]
        if report.notes:
            shown.append(ShownChapter("To know", report.notes))
        return shown

    def _paint_prompt(self) -> None:
        wanted = self.here
        if self.read_only:
            words = "Read only"
        elif self.question is not None:
            words = f"Is {self.question.typed} right? 1 to {len(self.question.answers)}"
        else:
            words = wanted.label if wanted else "Nothing to measure: F8"
        self.field.show(prompt=f"{words}:")

    def echo(self, words: str, style: str = "") -> None:
        """Words behind the field."""
        self.field.show(echo=(words, style))

    # -- taking figures --------------------------------------------------------------------------

    def _understand(self, text: str) -> str:
        """How the number would be understood."""
        if self.here is None or (self.question is not None and self.question.answer(text)):
            return ""
        return entry.understood(self.here, text, self.desk)

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
            self.field.give_back(text)
            self.say(error, "stop")

    def check_open(self) -> None:
        """Raise when nothing may be entered."""
        if self.read_only:
            raise ShaftlogError(CLOSED)

    def _take(self, wanted: Wanted, text: str) -> None:
        value_in = entry.parse_figure(wanted, text, self.desk)
        self.question = entry.ask_about(wanted, text, value_in)
        if self.question is not None:
            self._keep_typed(text)
            self.say("This figure is not taken yet: answer with a digit, then Enter.", "stop")
            self._read_words(False)
            self.paint()
            return
        self._store(wanted, text, value_in)

    def _answered(self, question: entry.Question, meaning: str) -> None:
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

    def _store(self, wanted: Wanted, raw: str, value_in: float | None) -> None:
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
        shown = entry.cell_text(wanted, self.figures.at(wanted.key), self.desk)
        self.echo(f"Taken: {shown}", "good")
        self._go_on()

    def _go_on(self) -> None:
        """The cursor to the next open figure."""
        assert self.sheet is not None
        self._read_words(False)
        found = next_open(self.sheet.wanted, self.figures, self.cursor)
        if found is None:
            self.say("All figures are in. F7 shows all that they say.", "done")
        else:
            self.cursor = found
            self.say(self.sheet.wanted[found].hint)
        self.paint()

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

    def _last_taken(self) -> measurements.Measurement | None:
        """The last figure, if it belongs to the set on the screen."""
        own = [m for m in self.figures.taken if m.subject in self.SUBJECTS]
        last = max(own, key=lambda m: (m.taken_at, m.id), default=None)
        if last is not None and last.set_no != self.figures.set_no:
            raise ShaftlogError(
                f"The last figure was taken in {set_name(last.set_no)}. F6 goes there."
            )
        return last

    def _to_key(self, one: measurements.Measurement | None) -> None:
        places = {w.key: i for i, w in enumerate(self.sheet.wanted)} if self.sheet else {}
        if one is not None:
            key = (one.subject, one.what, one.depth_in, one.clock_deg)
            self.cursor = places.get(key, self.cursor)

    # -- moving ----------------------------------------------------------------------------------

    def move_to(self, place: int) -> None:
        """The cursor to a figure."""
        if self.sheet is None or not self.sheet.wanted:
            return
        self.cursor = place % len(self.sheet.wanted)
        self.question = None
        self._read_words(False)
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

    def action_more(self) -> None:
        """F7: all words, page by page, in place of the table; then the table again."""
        view = self.query_one(ChapterView)
        if view.page is not None and view.page + 1 < view.page_count:
            view.read_page(view.page + 1)
        elif view.page is None and not view.fits:
            self._read_words(True)
        else:
            self._read_words(False)

    def _read_words(self, on: bool) -> None:
        """Give the words the room of the table, or the table its room back."""
        view = self.query_one(ChapterView)
        if on != (view.page is not None):
            self.query_one("#table-row").display = not on
            view.read_page(0 if on else None)

    # -- sets --------------------------------------------------------------------------------------

    def action_sets(self) -> None:
        """F6."""
        from tui.screens.ask import AskScreen

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

    @property
    def _draft_name(self) -> str:
        return f"{type(self).__name__} {self.job_id}"

    def _keep_typed(self, text: str) -> None:
        """What is typed but not taken comes back with the screen, also after a power cut."""
        book = self.app.book
        if not book.read_only and drafts.draft(book, self._draft_name).get("typed", "") != text:
            drafts.save_draft(book, self._draft_name, {"typed": text})

    def settle(self) -> bool:
        """Keep what stands typed."""
        with self.in_words():
            self._keep_typed(self.question.typed if self.question else self.field.value)
        return True
