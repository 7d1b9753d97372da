"""Taking another book in: look first, then take, then settle what both have changed."""

from __future__ import annotations

from functools import partial
from pathlib import Path
from typing import ClassVar

from textual.app import ComposeResult
from textual.containers import VerticalScroll
from textual.widgets import Static

from core.base.errors import ShaftlogError
from core.book.connection import Book
from core.book.upkeep import backup
from core.book.upkeep.conflicts import open_conflicts
from core.book.upkeep.merge import MergeReport, merge_book
from tui.base.commands import Command, verb
from tui.screens.base.scrolling import ScrollingScreen
from tui.screens.upkeep.background_job import ChoreScreen, files_near, path_of, refuse_read_only
from tui.widgets.form import FieldSpec, Form
from tui.widgets.plain import paper, plain

FIRST = (
    "Type the path of the other book, or part of its name, and Enter. F4 then looks what would "
    "come in; nothing is changed by looking. The other book is never changed."
)


class MergeScreen(ScrollingScreen, ChoreScreen):
    """The path, the report, the keys."""

    HEADING = "Take in another book"
    HOW_TO = (
        "Jobs, readings and all else the other book has and this one has not come in; taking the "
        "same book in twice changes nothing. Where only one side changed a field, that change "
        "counts; where both did, the later one counts and F6 lists both. A backup is "
        "made just before."
    )
    ACTIONS: ClassVar[tuple[Command, ...]] = (
        verb("act", "look", "Look", "See what would come in; nothing is changed"),
        verb("finish", "take", "Take in", "Take it in, after looking"),
        verb("data", "conflicts", "Settle", "Settle what both books have changed"),
    )
    DEFAULT_CSS = """
    MergeScreen VerticalScroll { height: 1fr; border-top: solid $foreground; }
    """

    def __init__(self) -> None:
        super().__init__()
        self.typed = ""
        self.looked: Path | None = None
        """The book that was looked at and not yet taken in."""
        self.report: MergeReport | None = None

    def body(self) -> ComposeResult:
        """Path above, report below."""
        yield Form(
            FieldSpec("path", "The other book", "pick", hint="Such as a file on a stick.",
                      choices=files_near(self.context.book_path, ".db")),
            save=self._save, label_width=16, box_width=30,
        )  # fmt: skip
        with VerticalScroll(can_focus=False):
            yield Static(plain(FIRST), id="report")

    def _save(self, name: str, value: object) -> str | None:
        if str(value) != self.typed:
            self.typed, self.looked, self.report = str(value), None, None
        return None

    def on_form_finished(self) -> None:
        """Enter after the path looks at once."""
        self.action_look()

    def action_look(self) -> None:
        """F4."""
        with self.in_words():
            if not self.settle():
                return
            place, book = path_of(self.typed, "the other book"), self.book
            refuse_read_only(book)
            self.chore(
                f"Looking at {place.name} ...",
                lambda: _merge(book, place, self.progress, dry_run=True),
                lambda report: self._looked(place, report),
            )

    def _looked(self, place: Path, report: MergeReport) -> None:
        self.looked, self.report = place, report
        self._show("LOOKED ONLY, nothing was changed. F12 takes it in.", report)

    def action_take(self) -> None:
        """F12."""
        with self.in_words():
            if not self.settle():
                return
            if self.looked is None:
                raise ShaftlogError("Look first: F4 shows what would come in.")
            place, book = self.looked, self.book
            take = partial(_take, book, place, self.progress)
            self.chore(f"Taking in {place.name} ...", take, self._taken)

    def _taken(self, report: MergeReport) -> None:
        self.looked, self.report = None, report
        self._show("TAKEN IN.", report)
        if report.conflicts:
            self.say(f"{len(report.conflicts)} entries differ between the books: F6 settles them.")
        else:
            self.say("Taken in; a backup made just before lies with the others.", "done")

    def _show(self, head: str, report: MergeReport) -> None:
        self.query_one("#report", Static).update(paper(f"{head}\n{report.words}"))
        self.query_one(VerticalScroll).scroll_home(animate=False)

    def action_conflicts(self) -> None:
        """F6."""
        taken = self.report is not None and not self.report.dry_run
        found = self.report.conflicts if self.report and taken else open_conflicts(self.book)
        if not found and not taken:
            self.say("Nothing is left to settle. Take the other book in first (F4, F12).")
        elif not found:
            self.say("Nothing was changed on both sides: there is nothing to settle.")
        else:
            self.context.go("conflicts", conflicts=found)


def _merge(book: Book, place: Path, progress: backup.Progress, *, dry_run: bool) -> MergeReport:
    with book.reopen() as own:
        return merge_book(own, place, dry_run=dry_run, progress=progress)


def _take(book: Book, place: Path, progress: backup.Progress) -> MergeReport:
    """The way back first, then the merge."""
    backup.before_merge(book.path, progress)
    return _merge(book, place, progress, dry_run=False)
