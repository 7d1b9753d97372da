"""What the measuring screens show: verdict, table of figures, words, the field; see `measuring`."""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar

from textual.app import ComposeResult
from textual.containers import Horizontal
from textual.widget import Widget
from textual.widgets import Static

from core.book import drafts
from core.fitting.measured import entry
from core.fitting.measured.facts import FitFacts
from core.fitting.measured.measurements import (
    SKIPPED,
    MeasurementRequest,
    MeasurementSet,
    counts,
    resume_at,
    set_name,
)
from core.fitting.measured.report import Report
from core.jobs.measured import read_figures, read_fit_facts
from tui.commands import Command
from tui.screens.base.screen import JobScreen
from tui.screens.sweep.sweep_input import ReadingInput
from tui.widgets.canvas import LineView
from tui.widgets.chapters import ChapterView, ShownChapter
from tui.widgets.figure_table import FigureCell, FigureGrid, FigureRow, FigureTable
from tui.widgets.plain import plain


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

    wanted: tuple[MeasurementRequest, ...]
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


class MeasuringView(JobScreen):
    """Verdict, table, words, one field; nothing is stored here."""

    SUBJECTS: ClassVar[tuple[str, ...]] = ()
    """What is measured here; undo takes back none but these."""
    COMMANDS: ClassVar[tuple[Command, ...]] = (
        Command("more", ("f7",), "Words", "All that the figures say, page by page"),
        Command("setup", ("f8",), "Set-up", "What is measured and against what"),
    )
    DEFAULT_CSS = """
    MeasuringView #verdict { height: auto; max-height: 4; text-style: bold; }
    MeasuringView #table-row { height: auto; }
    MeasuringView #side { width: 26; margin: 0 0 0 2; }
    """
    AUTO_FOCUS = "ReadingInput"
    MOST_ROWS: ClassVar[int] = 10

    def __init__(self, job_id: str) -> None:
        super().__init__(job_id)
        self.set_no: int | None = None
        """The set being looked at; None = the newest."""
        self.facts: FitFacts
        self.figures = MeasurementSet(())
        self.sheet: Sheet | None = None
        self.cursor = 0
        self.question: entry.UnitQuestion | None = None
        """A figure that looks odd and is not taken yet."""
        self._opened = False

    # -- for subclasses ------------------------------------------------------------------------

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
    def here(self) -> MeasurementRequest | None:
        """The figure under the cursor."""
        return self.sheet.wanted[self.cursor] if self.sheet and self.sheet.wanted else None

    def refresh_view(self) -> None:
        """Read the book; on opening go to where it stopped."""
        self.read()
        if not self._opened:
            self._opened = True
            self.field.understand = self._understand
            self.field.value = drafts.draft(self.app.book, self.draft_name).get("typed", "")
        self.paint()

    def read(self) -> None:
        """Read the book and work everything out anew."""
        book = self.app.book
        self.facts = read_fit_facts(book, self.job_id)
        self.figures = read_figures(book, self.job_id, *self.SUBJECTS, set_no=self.set_no)
        before = self.here
        self.sheet = self.work_out(self.figures, self.facts)
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
        self.paint_prompt()

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
        text = entry.cell_text(wanted, one, self.facts)
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
        shown = [ShownChapter(c.title, c.lines) for c in (*report.chapters, *report.bench)]
        more = (("Missing (choices and engine: F8)", report.missing), ("Caution", report.cautions))
        shown += [ShownChapter(title, lines, "doubt") for title, lines in more if lines]
        if report.notes or report.asides:
            shown.append(ShownChapter("To know", (*report.notes, *report.asides)))
        return shown

    def paint_prompt(self) -> None:
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

    def _understand(self, text: str) -> str:
        """How the number would be understood."""
        if self.here is None or (self.question is not None and self.question.answer(text)):
            return ""
        return entry.understood(self.here, text, self.facts)

    def action_more(self) -> None:
        """F7: all words, page by page, in place of the table; then the table again."""
        view = self.query_one(ChapterView)
        if view.page is not None and view.page + 1 < view.page_count:
            view.read_page(view.page + 1)
        elif view.page is None and not view.fits:
            self.read_words(True)
        else:
            self.read_words(False)

    def read_words(self, on: bool) -> None:
        """Give the words the room of the table, or the table its room back."""
        view = self.query_one(ChapterView)
        if on != (view.page is not None):
            self.query_one("#table-row").display = not on
            view.read_page(0 if on else None)

    @property
    def draft_name(self) -> str:
        return f"{type(self).__name__} {self.job_id}"
