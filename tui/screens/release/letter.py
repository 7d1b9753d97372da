"""The letter to the owner: written from the facts, changed by hand, printed, frozen at the end."""

from __future__ import annotations

from dataclasses import dataclass
from functools import partial
from typing import ClassVar

from textual.app import ComposeResult
from textual.widgets import Static, TextArea

from core.base.errors import ShaftlogError
from core.book import drafts, jobs
from core.book.connection import Book
from core.book.releases import paper_in_force
from core.reports.letter import whole_letter
from core.reports.letter_job import LetterBody, body_of, save_body
from core.reports.paper import letter_paper
from core.reports.ticket_collect import collect_now, ticket_of
from core.reports.ticket_data import TicketData
from tui.base.commands import Command, verb
from tui.screens.base.printing import print_or_write
from tui.screens.base.screen import JobScreen
from tui.widgets.plain import plain

OPEN_WORDS = (
    "Type to change it. Head and foot (whose shaft, released or not, what is missing) are added on "
    "paper."
)
OUTDATED = "THE FIGURES HAVE CHANGED since this was changed by hand. F4 writes it again, F12 keeps."
FROZEN = "Frozen with the ticket."
NO_LETTER = "This job ended before letters were written."


class LetterScreen(JobScreen):
    """The body in a text area; a frozen letter is only read."""

    HEADING = "Letter to the owner"
    HOW_TO = (
        "Half a page in plain words, written from the same facts as the ticket. Change it as you "
        "like; what you type is kept. F12 keeps it and prints it or writes it to files. F4 writes "
        "it from the facts again, F5 takes that back. At the release it is frozen with the ticket."
    )
    ACTIONS: ClassVar[tuple[Command, ...]] = (
        verb("act", "rewrite", "From facts", "Write the letter from the facts again"),
        verb("undo", "undo", "Undo", "Take back the last change"),
        verb("finish", "paper", "Paper", "Keep the letter, then print it or write it to files"),
    )
    DEFAULT_CSS = """
    LetterScreen #letter-state { height: auto; padding: 0 1; text-style: bold; }
    LetterScreen TextArea { height: 1fr; }
    """

    def __init__(self, job_id: str) -> None:
        super().__init__(job_id)
        self.read: LetterRead | None = None

    def body(self) -> ComposeResult:
        """State above, text below."""
        yield Static(plain("Collecting the facts ..."), id="letter-state")
        area = TextArea(soft_wrap=True, compact=True, read_only=True, show_line_numbers=False)
        area.cursor_blink = False
        yield area

    def refresh_view(self) -> None:
        """Collect once; what is being typed is not touched by another bench."""
        if self.read is None:
            self.in_background(partial(read_letter, job_id=self.job_id), self._show)

    def _show(self, found: LetterRead) -> None:
        self.read = found
        area = self.query_one(TextArea)
        typed = drafts.draft(self.book, self._draft_name).get("text")
        area.load_text(found.text if found.body is None or typed is None else typed)
        area.read_only = found.body is None or self.read_only
        self._say_state()
        area.focus()

    def _say_state(self) -> None:
        if self.read is not None:
            words = self.read.words
            self.query_one("#letter-state", Static).update(plain(words))

    @property
    def _draft_name(self) -> str:
        return f"letter {self.job_id}"

    def on_text_area_changed(self, event: TextArea.Changed) -> None:
        """Every change outlives a power cut."""
        text = event.text_area.text
        if not event.text_area.read_only and self.read is not None and text != self.read.text:
            drafts.save_draft(self.book, self._draft_name, {"text": text})

    def settle(self) -> bool:
        """Keep what was changed; the screen is being left."""
        changed = self.read is not None and self.query_one(TextArea).text != self.read.text
        return self._kept() if changed else True

    def _kept(self) -> bool:
        """Store the letter; False = refused, and said why."""
        area = self.query_one(TextArea)
        if area.read_only or self.read is None or self.read.body is None:
            return True
        try:
            save_body(self.book, self.job_id, area.text, self.read.body)
            drafts.drop_draft(self.book, self._draft_name)
        except ShaftlogError as error:
            self.say(error, "stop")
            return False
        self.read = self.read.kept(body_of(self.book, self.job_id, self.read.facts))
        self._say_state()
        return True

    # -- keys --------------------------------------------------------------------------------------

    def action_rewrite(self) -> None:
        """F4."""
        area = self.query_one(TextArea)
        if area.read_only or self.read is None or self.read.body is None:
            self.say("This letter is frozen.", "stop")
            return
        area.replace(self.read.body.from_facts, area.document.start, area.document.end)
        self.say("Written from the facts. F5 takes it back.", "done")

    def action_undo(self) -> None:
        """F5."""
        self.query_one(TextArea).undo()

    def action_paper(self) -> None:
        """F12."""
        with self.in_words():
            if self.read is None:
                raise ShaftlogError("The letter is still being written: press again in a moment.")
            if not self._kept():
                return
            if not self.read.whole:
                raise ShaftlogError(NO_LETTER)
            tag = jobs.job(self.book, self.job_id).tag
            print_or_write(self, self.job_id, (letter_paper(tag, self.read.whole),))


@dataclass(frozen=True)
class LetterRead:
    """A letter as the screen found it."""

    whole: str
    """With head and foot, as printed."""
    facts: TicketData
    body: LetterBody | None
    """None = it is frozen."""

    @property
    def text(self) -> str:
        """What the text area shows."""
        return self.whole if self.body is None else self.body.text

    @property
    def words(self) -> str:
        """The state above it."""
        if self.body is None:
            return FROZEN if self.whole else NO_LETTER
        return OUTDATED if self.body.outdated else OPEN_WORDS

    def kept(self, body: LetterBody) -> LetterRead:
        """After it was stored."""
        return LetterRead(whole_letter(self.facts, body.text), self.facts, body)


def read_letter(book: Book, *, job_id: str) -> LetterRead:
    """The frozen letter of a closed job, else the one of now (on any thread)."""
    facts = collect_now(book, job_id)
    if paper_in_force(book, jobs.job(book, job_id)) is not None:
        return LetterRead(ticket_of(book, job_id).letter, facts, None)
    body = body_of(book, job_id, facts)
    return LetterRead(whole_letter(facts, body.text), facts, body)
