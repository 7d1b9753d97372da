"""F9: notes on a job, as many as wanted, each with its time and the screen it was written on."""

from __future__ import annotations

from typing import ClassVar

from textual.app import ComposeResult
from textual.containers import VerticalScroll
from textual.content import Content
from textual.widgets import Input, Static

from core.base.shop_records import Note
from core.base.times import local_text
from core.book import jobs
from tui.base.commands import Command, verb
from tui.screens.base.screen import JobScreen
from tui.screens.base.scrolling import ScrollingScreen
from tui.widgets.number_input import LineInput
from tui.widgets.plain import clean


class NotesScreen(ScrollingScreen, JobScreen):
    """The notes so far and a line for the next one."""

    HEADING = "Notes"
    HOW_TO = "Write what the next person should know, then Enter. Notes are kept with the job."
    ACTIONS: ClassVar[tuple[Command, ...]] = (
        verb("data", "changes", "Changes", "What was corrected on this job, when, by whom"),
        Command("scroll_up", ("pageup",), "Older", "Scroll up through the notes", footer=False),
        Command("scroll_down", ("pagedown",), "Newer", "Scroll down", footer=False),
    )
    DEFAULT_CSS = """
    NotesScreen VerticalScroll { height: 1fr; }
    NotesScreen .prompt { height: 1; text-style: bold; }
    """

    def __init__(self, job_id: str, topic: str = "") -> None:
        super().__init__(job_id)
        self.topic = topic

    def body(self) -> ComposeResult:
        """Old notes, then the line."""
        with VerticalScroll(can_focus=False):
            yield Static(id="old-notes")
        yield Static(Content("New note, then Enter:"), classes="prompt")
        yield LineInput(max_length=2000)

    def refresh_view(self) -> None:
        """Read the notes."""
        found = jobs.notes_of(self.book, self.job_id)
        lines = [_note_words(note) for note in found]
        shown = Content("\n").join(lines) if lines else Content("No note on this job yet.")
        self.query_one("#old-notes", Static).update(shown)
        self.later(lambda: self.query_one(VerticalScroll).scroll_end(animate=False))

    def on_input_submitted(self, event: Input.Submitted) -> None:
        """Store the note."""
        text = event.value.strip()
        if not text:
            return
        with self.in_words():
            jobs.add_note(self.book, job_id=self.job_id, text=text, topic=self.topic)
            event.input.value = ""
            self.refresh_view()
            self.say("Noted.", "done")

    def settle(self) -> bool:
        """Store a note that was typed but not yet entered."""
        box = self.query_one(LineInput)
        if box.value.strip():
            with self.in_words():
                jobs.add_note(
                    self.book, job_id=self.job_id, text=box.value.strip(), topic=self.topic
                )
                box.value = ""
        return True

    def action_note(self) -> None:
        """F9 on the notes goes back to the work."""
        self.action_back()

    def action_changes(self) -> None:
        """F6."""
        if self.settle():
            self.context.go("changes", self.job_id)


def _note_words(note: Note) -> Content:
    head = f"{local_text(note.at, '%d %b %Y %H:%M')}  {clean(note.by)}  {clean(note.topic)}"
    return Content.assemble((head.rstrip(), "bold"), f"\n  {clean(note.text)}")
