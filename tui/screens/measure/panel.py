"""The upper part of the measuring screens: verdict, status line, table of figures, words."""

from __future__ import annotations

from dataclasses import dataclass

from textual.app import ComposeResult
from textual.containers import Horizontal, Vertical
from textual.widget import Widget
from textual.widgets import Static

from core.fitting.measured import entry
from core.fitting.measured.facts import FitFacts
from core.fitting.measured.measurements import (
    SKIPPED,
    MeasurementRequest,
    MeasurementSet,
    counts,
    set_name,
)
from core.fitting.measured.report import Report
from tui.widgets.canvas import LineView
from tui.widgets.chapters import ChapterView, ShownChapter
from tui.widgets.figure_table import FigureCell, FigureGrid, FigureRow, FigureTable
from tui.widgets.plain import plain

MORE_ROWS = 6
"""Rows of the table that a high window shows in addition."""


@dataclass(frozen=True)
class SheetRow:
    """A row of the table: a name, the places of its figures in `Sheet.wanted`, words after them."""

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


@dataclass(frozen=True)
class PanelData:
    """What the panel shows: the sheet, the figures behind it, the cursor, an open question."""

    sheet: Sheet
    figures: MeasurementSet
    facts: FitFacts
    at: int | None
    question: entry.UnitQuestion | None = None

    def cell(self, place: int | None) -> FigureCell | None:
        """One figure of the table."""
        if place is None:
            return None
        wanted = self.sheet.wanted[place]
        one = self.figures.stands_at(wanted.key)
        text = entry.cell_text(wanted, one, self.facts)
        if one is None:
            return FigureCell(text, "open")
        if one.raw == SKIPPED:
            return FigureCell(text, "left out")
        return FigureCell(text, "read" if self.figures.is_done(wanted) else "old")

    def grid(self, rows: tuple[SheetRow, ...], *, side: bool = False) -> FigureGrid:
        """The table, or the column beside it."""
        cursor = None
        if self.at is not None:
            cursor = next(
                ((y, r.places.index(self.at)) for y, r in enumerate(rows) if self.at in r.places),
                None,
            )
        cells = tuple(
            FigureRow(row.label, tuple(map(self.cell, row.places)), row.words, row.style)
            for row in rows
        )
        sheet = self.sheet
        if side:
            return FigureGrid(("",), cells, cursor, sheet.side_title, "")
        return FigureGrid(sheet.columns, cells, cursor, sheet.title, sheet.words_title)

    def status(self) -> str:
        """Set, how many figures are in, what was chosen."""
        done, asked = counts(self.sheet.wanted, self.figures)
        words = f"{set_name(self.figures.set_no)}; {done} of {asked} figures; {self.sheet.status}"
        return words[:1].upper() + words[1:]

    def chapters(self) -> list[ShownChapter]:
        """The question, if one is open; else what the figures say."""
        if self.question is not None:
            numbered = [f"{n}  {words}" for n, words in enumerate(self.question.answers, 1)]
            lines = (self.question.doubt.sentence, *numbered, "Or type the figure again.")
            return [ShownChapter("Is this figure right? It is not taken yet.", lines, "doubt")]
        report = self.sheet.report
        found = [ShownChapter(c.title, c.lines) for c in (*report.chapters, *report.bench)]
        more = (("Missing (choices and engine: F8)", report.missing), ("Caution", report.cautions))
        found += [ShownChapter(title, lines, "doubt") for title, lines in more if lines]
        if report.notes or report.asides:
            found.append(ShownChapter("To know", (*report.notes, *report.asides)))
        return found


class MeasuringPanel(Vertical):
    """Shows what it is given; a picture may stand beside the table."""

    DEFAULT_CSS = """
    MeasuringPanel { height: 1fr; }
    MeasuringPanel #verdict { height: auto; max-height: 4; text-style: bold; }
    MeasuringPanel #table-row { height: auto; }
    MeasuringPanel #side { width: 26; margin: 0 0 0 2; }
    """

    def __init__(self, most_rows: int, picture: Widget | None) -> None:
        super().__init__()
        self.most_rows = most_rows
        self.picture = picture

    def compose(self) -> ComposeResult:
        """From top to bottom."""
        yield Static(id="verdict")
        yield LineView(id="status")
        with Horizontal(id="table-row"):
            yield FigureTable(id="figures")
            yield FigureTable(id="side")
            if self.picture is not None:
                yield self.picture
        yield ChapterView()

    def show(self, shown: PanelData) -> None:
        """Bring everything up to date."""
        report = shown.sheet.report
        verdict = self.query_one("#verdict", Static)
        verdict.set_classes({True: "true", False: "not-true", None: "too-close"}[report.good])
        verdict.update(plain("\n".join(w for w in (report.verdict, report.summary) if w)))
        self.query_one("#status", LineView).show(shown.status(), "dim")
        self._show_tables(shown)
        self.query_one(ChapterView).show(shown.chapters())

    def _show_tables(self, shown: PanelData) -> None:
        table, side = self.query_one("#figures", FigureTable), self.query_one("#side", FigureTable)
        sheet = shown.sheet
        most = self.most_rows + (MORE_ROWS if self.screen.has_class("-high") else 0)
        height = min(max(len(sheet.rows), len(sheet.side_rows)), most) + 1
        table.styles.height = side.styles.height = height
        side.display = bool(sheet.side_rows)
        table.show(shown.grid(sheet.rows))
        side.show(shown.grid(sheet.side_rows, side=True))

    def turn_page(self) -> None:
        """All words, page by page, in place of the table; then the table again."""
        view = self.query_one(ChapterView)
        if view.page is not None and view.page + 1 < view.page_count:
            view.read_page(view.page + 1)
        else:
            self.read_words(view.page is None and not view.fits)

    def read_words(self, on: bool) -> None:
        """Give the words the room of the table, or the table its room back."""
        view = self.query_one(ChapterView)
        if on != (view.page is not None):
            self.query_one("#table-row").display = not on
            view.read_page(0 if on else None)
