"""Looking the book over for damage, and what can be done about it."""

from __future__ import annotations

from functools import partial
from typing import ClassVar

from textual.app import ComposeResult
from textual.containers import VerticalScroll
from textual.widgets import Static

from core.base.counting import many
from core.base.times import local_text, moment_text, utc_now
from core.book.upkeep import check
from core.book.upkeep.check import CheckReport
from core.book.upkeep.salvage import SalvageReport, salvage
from tui.base.commands import Command, verb
from tui.screens.base.scrolling import ScrollingScreen
from tui.screens.upkeep.background_job import ChoreScreen, refuse_read_only
from tui.widgets.plain import paper


class CheckScreen(ScrollingScreen, ChoreScreen):
    """The report, and the ways on."""

    HEADING = "Look the book over"
    HOW_TO = (
        "Every page of the book is read and every rule tested; nothing is changed. A book that is "
        "not sound is left as it is: put the last good backup in place (F6), or save what can "
        "still be read into a new book (F12)."
    )
    ACTIONS: ClassVar[tuple[Command, ...]] = (
        verb("act", "again", "Again", "Look the book over again"),
        verb("finish", "save_rest", "Save rest", "Save what can be read into a new book"),
        verb("data", "backups", "Backups", "Put a backup in place of the book"),
        verb("more", "mend", "Mend index", "Build the search index again"),
    )
    DEFAULT_CSS = "CheckScreen VerticalScroll { height: 1fr; }"

    def __init__(self) -> None:
        super().__init__()
        self.report: CheckReport | None = None

    def body(self) -> ComposeResult:
        """The report."""
        with VerticalScroll(can_focus=False):
            yield Static(id="report")

    def on_mount(self) -> None:
        """Look at once."""
        self.action_again()

    def action_again(self) -> None:
        """F4."""
        place = self.context.book_path
        self.chore(
            "Reading every page of the book ...",
            lambda: check.check_book(place, self.progress),
            self._show,
        )

    def _show(self, report: CheckReport) -> None:
        self.report = report
        head = "SOUND: no damage found." if report.sound else "NOT SOUND."
        words = report.words.replace("run `shaftlog check --mend-index`", "press F7")
        self.query_one("#report", Static).update(paper(f"{head}\n{words}"))

    def action_save_rest(self) -> None:
        """F12."""
        place = self.context.book_path
        if self.report is None or self.report.sound:
            self.say("The book is sound: there is nothing to save. F4 on the page before backs up.")
            return
        stamp = local_text(moment_text(utc_now()), "%Y%m%d-%H%M%S")
        target = place.with_name(f"{place.stem}-saved-{stamp}.db")
        save = partial(salvage, place, target, self.progress)
        self.chore("Saving what can be read ...", save, self._saved)

    def _saved(self, saved: SalvageReport) -> None:
        count, lost = (sum(rows for _, rows in some) for some in (saved.saved, saved.left_out))
        broken = f" Not read wholly: {', '.join(saved.broken)}." if saved.broken else ""
        self.say(
            f"{many(count, 'row')} saved to {saved.path}; {lost} hang on something lost.{broken}",
            "done",
        )

    def action_backups(self) -> None:
        """F6."""
        self.context.go("backups")

    def action_mend(self) -> None:
        """F7."""
        place = self.context.book_path
        with self.in_words():
            refuse_read_only(self.book, "mended")
            mend = partial(check.mend_index, place, self.progress)
            self.chore("Building the index again ...", mend, self._mended)

    def _mended(self, count: int) -> None:
        self.action_again()
        self.say(f"{many(count, 'job')} in the new search index.", "done")
