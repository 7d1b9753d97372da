"""A closed job is opened again by somebody: one line for the name, kept in the event log."""

from __future__ import annotations

from textual.app import ComposeResult
from textual.widgets import Static

from core.base.errors import ShaftlogError
from core.book import jobs, settings
from tui.screens.base.screen import JobScreen
from tui.widgets.form import FieldSpec, Form
from tui.widgets.plain import plain

LAST_OPENED_BY = "last who opened a job again"
"""What the program remembers the name under."""


class OpenAgainScreen(JobScreen):
    """The name; Enter opens the job."""

    HEADING = "Open again"
    HOW_TO = (
        "Type who opens the job again and press Enter. The paper it was closed with stays as it "
        "is; entries can be made again, and the job is closed again with a new paper. Esc leaves "
        "it closed."
    )
    DEFAULT_CSS = "OpenAgainScreen #closed { height: auto; padding: 1; }"

    def body(self) -> ComposeResult:
        """What is opened, and the field."""
        job = jobs.job(self.book, self.job_id)
        name = self.book.by or str(settings.recall(self.book, LAST_OPENED_BY, "") or "")
        words = f"Job {job.tag} is closed ({job.state}). Its paper stays; entries are taken again."
        yield Static(plain(words), id="closed")
        hint = "Your name; Enter opens the job, Esc leaves it closed."
        field = FieldSpec("by", "Opened again by", value=name, hint=hint)
        yield Form(field, save=lambda _name, _value: None)

    def on_form_finished(self) -> None:
        """Enter."""
        with self.in_words():
            by = self.query_one(Form).text_of("by").strip()
            if not by:
                raise ShaftlogError("Type your name first.")
            jobs.set_state(self.book, self.job_id, "open", by=by)
            settings.remember(self.book, LAST_OPENED_BY, by)
            self.context.back()
            self.context.say(f"The job is open again, by {by}. F7 closes or moves it.")
