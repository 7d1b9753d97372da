"""Deleting a customer's personal data on request: what goes, what stays, and the name typed."""

from __future__ import annotations

from functools import partial
from typing import ClassVar

from textual.app import ComposeResult
from textual.containers import VerticalScroll
from textual.widgets import Input, Static

from core.base.errors import ShaftlogError
from core.book import history, jobs
from core.book.connection import Book
from core.book.privacy import erase as privacy
from core.book.privacy.text import done_words, plan_words
from core.book.upkeep.backup import Progress
from tui.base.commands import Command
from tui.screens.base.screen import JobScreen
from tui.screens.base.scrolling import ScrollingScreen
from tui.screens.upkeep.background_job import ChoreScreen, refuse_read_only
from tui.widgets.number_input import LineInput
from tui.widgets.plain import paper, plain


class EraseScreen(ScrollingScreen, ChoreScreen, JobScreen):
    """What deleting would do; the customer's name and Enter does it."""

    HEADING = "Delete personal data"
    HOW_TO = (
        "For a customer who asks for it. The screen says what is deleted for good, what stays and "
        "what backups keep. Nothing happens until the name is typed in full and Enter pressed; "
        "Esc leaves everything as it is. All measurements stay, and the jobs are found by vessel, "
        "tag and size as before."
    )
    ACTIONS: ClassVar[tuple[Command, ...]] = (
        Command("scroll_up", ("pageup",), "Up", "Scroll up"),
        Command("scroll_down", ("pagedown",), "Down", "Scroll down"),
    )
    DEFAULT_CSS = """
    EraseScreen VerticalScroll { height: 1fr; }
    EraseScreen #to-type { height: auto; max-height: 2; text-style: bold; }
    """

    def body(self) -> ComposeResult:
        """The words, then the line."""
        with VerticalScroll(can_focus=False):
            yield Static(id="what-goes")
        yield Static(id="to-type")
        yield LineInput(max_length=200)

    def refresh_view(self) -> None:
        """What it would do as things stand."""
        plan = self._plan()
        self.query_one("#what-goes", Static).update(paper(plan_words(plan)))
        gone = plan.customer.forgotten_at is not None
        words = "" if gone else f"To delete it for good type: {plan.to_type}"
        self.query_one("#to-type", Static).update(plain(words))
        self.query_one(LineInput).display = not gone

    def _plan(self) -> privacy.ErasePlan:
        owner = history.owner_of(self.book, jobs.job(self.book, self.job_id))
        return privacy.erase_plan(self.book, owner.id)

    def on_input_submitted(self, event: Input.Submitted) -> None:
        """Enter: only the right name deletes."""
        with self.in_words():
            book, plan = self.book, self._plan()
            refuse_read_only(book, "deleted")
            if not plan.confirmed_by(event.value):
                raise ShaftlogError("Nothing was deleted: that is not the name above the line.")
            who = plan.customer.id
            delete = partial(_do, book, who, self.progress)
            self.chore("Deleting; the file is rewritten ...", delete, self._done)

    def _done(self, done: privacy.Erased) -> None:
        self.query_one(LineInput).value = ""
        self.refresh_view()
        self.say(done_words(done), "done")


def _do(book: Book, customer_id: str, progress: Progress) -> privacy.Erased:
    with book.reopen() as own:
        return privacy.erase_customer(own, customer_id, progress)
