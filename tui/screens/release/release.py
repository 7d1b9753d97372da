"""Release: what is done, what is in the way, the ticket to read, and the way to freeze it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import partial
from typing import ClassVar

from textual.app import ComposeResult
from textual.widgets import Static

from core.base.counting import many
from core.base.errors import ShaftlogError
from core.base.times import local_text
from core.book import jobs
from core.book.connection import Book
from core.book.releases import last_release, paper_in_force
from core.jobs.release import done_for_release, missing_for_release
from core.reports.paper import label_paper, ticket_paper
from core.reports.ticket_collect import ticket_of
from core.reports.ticket_data import Ticket
from tui.base.commands import Command, verb
from tui.screens.base.job_text import is_closed
from tui.screens.base.printing import print_or_write
from tui.screens.base.screen import JobScreen
from tui.screens.base.scrolling import ScrollingScreen
from tui.screens.release.release_page import PaperScroll
from tui.widgets.plain import plain

LETTER = "The letter to the owner: read, change, print"
MOST_LISTED = 5
"""Things in the way that are listed above the ticket; the ticket lists all."""


class ReleaseScreen(ScrollingScreen, JobScreen):
    """The ticket so far, and what is in the way of its release."""

    HEADING = "Release and ticket"
    HOW_TO = (
        "Read the ticket with PgUp and PgDn, or F6 on the whole screen. F4 releases: name of the "
        "person who releases, and where something is missing, a name and a reason of the person "
        "who overrules it. A released ticket is frozen and the job is closed. F12 prints the "
        "ticket or the label for the shaft, or writes them to files: text of 80 columns, a page "
        "for a browser, a PDF. The ticket is a record of measurement: class society, local codes "
        "and licensed people come first."
    )
    ACTIONS: ClassVar[tuple[Command, ...]] = (
        verb("act", "release", "Release", "Release the shaft: freeze the ticket, close the job"),
        verb(
            "more", "close", "Close", "Close without release: replaced or given back, with a paper"
        ),
        verb("data", "read", "Read", "Read the ticket on the whole screen"),
        verb("finish", "files", "Paper", "Print ticket or label, or write them to files"),
        Command("scroll_up", ("pageup",), "Up", "Scroll the ticket up", footer=False),
        Command("scroll_down", ("pagedown",), "Down", "Scroll the ticket down", footer=False),
    )
    SCROLLED = PaperScroll
    DEFAULT_CSS = """
    ReleaseScreen > .body { padding: 0; }
    ReleaseScreen #state { height: auto; max-height: 12; padding: 0 1; }
    ReleaseScreen PaperScroll { height: 1fr; border-top: solid $foreground; }
    ReleaseScreen.-wide > .body { layout: horizontal; }
    ReleaseScreen.-wide #state { width: 1fr; height: 1fr; max-height: 100%; }
    ReleaseScreen.-wide PaperScroll { width: 82; border-top: none; border-left: solid $foreground; }
    """
    HORIZONTAL_BREAKPOINTS = [(0, "-narrow"), (120, "-wide")]  # noqa: RUF012
    """From here on list and paper have room side by side."""

    def __init__(self, job_id: str) -> None:
        super().__init__(job_id)
        self.collected: Collected | None = None

    def body(self) -> ComposeResult:
        """State above, ticket below; side by side where there is room."""
        yield Static(id="state")
        yield PaperScroll()

    def refresh_view(self) -> None:
        """Collect the ticket on a thread; a frozen one is only read."""
        if self.collected is None:
            self.query_one("#state", Static).update(plain("Collecting the ticket ..."))
        self.in_background(partial(collect, job_id=self.job_id), self._show)

    def _show(self, found: Collected) -> None:
        self.collected = found
        self.query_one(PaperScroll).show(found.ticket.text)
        self._show_state()

    def on_resize(self) -> None:
        """More room shows more of the list."""
        if self.collected is not None:
            self._show_state()

    def _show_state(self) -> None:
        found, roomy = self._ready(), self.has_class("-wide")
        self.query_one("#state", Static).update(plain(found.in_full if roomy else found.words))

    def _ready(self) -> Collected:
        if self.collected is None:
            raise ShaftlogError("The ticket is still being collected: press again in a moment.")
        return self.collected

    # -- keys --------------------------------------------------------------------------------------

    def _may_close(self) -> None:
        if self.read_only:
            raise ShaftlogError("This job is closed already. F7 on its card opens it again.")

    def action_release(self) -> None:
        """F4."""
        with self.in_words():
            self._may_close()
            self.context.go("release_form", self.job_id, missing=self._ready().missing)

    def action_close(self) -> None:
        """F7."""
        with self.in_words():
            self._may_close()
            self.context.go("close", self.job_id)

    def action_files(self) -> None:
        """F12."""
        with self.in_words():
            tag = jobs.job(self.book, self.job_id).tag
            papers = (
                ticket_paper(tag, self._ready().ticket),
                label_paper(self.book, self.job_id),
            )
            letter = partial(self.context.go, "letter", self.job_id)
            print_or_write(self, self.job_id, papers, {LETTER: letter})

    def action_read(self) -> None:
        """F6."""
        self.context.go("ticket", self.job_id)


@dataclass(frozen=True)
class Collected:
    """What the screen shows."""

    ticket: Ticket
    missing: tuple[str, ...]
    """What a release would have to overrule."""
    words: str
    in_full: str
    """The same with everything that is in the way."""


def collect(book: Book, *, job_id: str) -> Collected:
    """The ticket of a job and what is in the way of its release (on any thread)."""
    missing = tuple(missing_for_release(book, job_id))
    closed = is_closed(book, job_id)
    words, in_full = (
        state_words(book, job_id, missing, closed=closed, most=most)
        for most in (MOST_LISTED, len(missing))
    )
    return Collected(ticket_of(book, job_id), missing, words, in_full)


def state_words(
    book: Book, job_id: str, missing: Sequence[str], *, closed: bool, most: int = MOST_LISTED
) -> str:
    """Released or not, what is done, what is in the way and why."""
    job = jobs.job(book, job_id)
    release = paper_in_force(book, job)
    if release is not None:
        at = local_text(release.at, "%d %b %Y %H:%M")
        if job.state != "released":
            paper = "the closing paper is frozen. F12 writes it to files."
            return f"NOT RELEASED. Closed as {job.state} by {release.by}, {at}: {paper}"
        words = f"RELEASED by {release.by}, {at}: the ticket is frozen. F12 writes it to files."
        if release.overrule_by:
            words += f"\nOverruled by {release.overrule_by}: {release.overrule_reason}"
        return words
    done = f"DONE: {'; '.join(done_for_release(book, job_id)) or 'nothing yet'}."
    if closed:
        return f"Closed as {job.state}; not released, and no paper frozen then.\n{done}"
    before = ""
    if (earlier := last_release(book, job_id)) is not None:
        at = local_text(earlier.at, "%d %b %Y")
        before = f"Ended once, {at}, with a paper that is kept; opened again.\n"
    return before + done + "\n" + missing_words(missing, "F4 releases.", most)


def missing_words(missing: Sequence[str], free: str, most: int = MOST_LISTED) -> str:
    """How many things are in the way, the first few in full; `free` when nothing is.

    The number comes first: on a small screen the end of the list may have no room.
    """
    if not missing:
        return f"NOTHING IS IN THE WAY. {free}"
    things = many(len(missing), "thing")
    lines = [f"IN THE WAY, {things} to be done or overruled with a name and a reason:"]
    lines += [f"- {line}" for line in missing[:most]]
    more = len(missing) - most
    return "\n".join([*lines, *([f"  and {more} more, see the ticket"] if more > 0 else [])])
