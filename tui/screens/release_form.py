"""The names and reasons of a release, or of a job that is closed without one."""

from __future__ import annotations

from typing import ClassVar

from textual.app import ComposeResult
from textual.widgets import Static

from core.book import jobs, releases, settings
from core.errors import ShaftlogError
from core.ticket.collect import make_ticket, missing_for_release
from tui.keys import Command
from tui.screens.base import JobScreen
from tui.screens.release import missing_words
from tui.widgets.form import FieldSpec, Form
from tui.widgets.plain import plain

WHO = "last who released"
"""What the program remembers the name under."""


class ReleaseFormScreen(JobScreen):
    """Who releases; who overrules what is missing, and why."""

    HEADING = "Release"
    HOW_TO = (
        "F12 releases. What is missing can be overruled only with a name and a written reason; "
        "both stand on the ticket. The job can be opened again from its card, the ticket stays."
    )
    COMMANDS: ClassVar[tuple[Command, ...]] = (
        Command("freeze", ("f12",), "Release", "Freeze the ticket and close the job"),
    )
    DEFAULT_CSS = """
    ReleaseFormScreen #missing, CloseFormScreen #missing {
        height: auto; max-height: 12; padding: 0 1 1 1;
    }
    """

    def __init__(self, job_id: str) -> None:
        super().__init__(job_id)
        self.values: dict[str, str] = {}

    def body(self) -> ComposeResult:
        """What is missing, then the form."""
        self.missing = missing_for_release(self.app.book, self.job_id)
        self.values = {"by": str(settings.recall(self.app.book, WHO, "") or "")}
        yield Static(plain(missing_words(self.missing, "F12 releases.")), id="missing")
        fields = [FieldSpec("by", "Released by", "text", self.values["by"], "Name on the ticket.")]
        if self.missing:
            fields += [
                FieldSpec("overrule_by", "Overruled by", "text", "", "Who answers for it."),
                FieldSpec("overrule_reason", "Reason", "text", "", "Why it may go all the same."),
            ]
        yield Form(*fields, save=self._save)

    def _save(self, name: str, value: object) -> str | None:
        self.values[name] = str(value).strip()
        return None

    def on_form_finished(self) -> None:
        """Enter on the last field tells what to press; a release is never an accident."""
        self.say("F12 releases the shaft; Esc goes back without.")

    def action_freeze(self) -> None:
        """F12."""
        with self.in_words():
            if not self.settle():
                return
            by, over = self.values.get("by", ""), self.values.get("overrule_by", "")
            reason = self.values.get("overrule_reason", "")
            if not by:
                raise ShaftlogError("Who releases? Type the name in the first line.")
            if self.missing and not (over and reason):
                raise ShaftlogError("Something is missing: a name and a reason must overrule it.")
            self._freeze(by, over, reason)
            settings.remember(self.app.book, WHO, by)
            self.app.back()
            self.app.say("Released: the ticket is frozen, the job is closed. F8 writes the files.")

    def _freeze(self, by: str, over: str, reason: str) -> None:
        """Ask once more what is missing, then ticket and release in one transaction."""
        book = self.app.book
        with book.write():
            if self.read_only:
                raise ShaftlogError("This job was closed at another bench: Esc shows its ticket.")
            now = missing_for_release(book, self.job_id)
            if now != self.missing:
                raise ShaftlogError(
                    "What is missing has changed since this form was opened: Esc, then F4 again."
                )
            ticket = make_ticket(
                book,
                self.job_id,
                released_by=by,
                overrule_by=over,
                overrule_reason=reason,
                missing=now,
            )
            releases.release_job(
                book,
                job_id=self.job_id,
                by=by,
                ticket_text=ticket.text,
                ticket_html=ticket.html,
                overrule_by=over,
                overrule_reason=reason,
            )


class CloseFormScreen(JobScreen):
    """A job that ends without a release."""

    HEADING = "Close without release"
    HOW_TO = "Say how it ended and why, then F12. The job can be opened again from its card (F8)."
    COMMANDS: ClassVar[tuple[Command, ...]] = (
        Command("close", ("f12",), "Close", "Close the job"),
    )
    ENDS = (("replaced", "a new shaft instead"), ("returned", "given back unrepaired"))

    def __init__(self, job_id: str, state: str = "replaced") -> None:
        super().__init__(job_id)
        self.values = {"state": state, "reason": ""}

    def body(self) -> ComposeResult:
        """The form."""
        yield Static(
            plain("A shaft that is not released must not go back in service as if it were."),
            id="missing",
        )
        yield Form(
            FieldSpec("state", "It ended as", "choice", self.values["state"], choices=self.ENDS),
            FieldSpec("reason", "Reason", "text", "", "Kept as a note on the job."),
            save=self._save,
        )

    def _save(self, name: str, value: object) -> str | None:
        self.values[name] = str(value).strip()
        return None

    def on_form_finished(self) -> None:
        """Enter on the last field tells what to press."""
        self.say("F12 closes the job; Esc goes back without.")

    def action_close(self) -> None:
        """F12."""
        with self.in_words():
            if not self.settle():
                return
            if not self.values["reason"]:
                raise ShaftlogError("Why is it closed? Type a reason; it is kept as a note.")
            book = self.app.book
            with book.write():
                if self.read_only:
                    raise ShaftlogError("This job was closed at another bench meanwhile.")
                reason = self.values["reason"]
                jobs.add_note(book, job_id=self.job_id, text=reason, topic=self.HEADING)
                jobs.set_state(book, self.job_id, self.values["state"])
            self.app.back()
            self.app.say(f"Closed: {self.values['state']}.")
