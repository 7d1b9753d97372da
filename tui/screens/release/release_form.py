"""The names and reasons of a release, or of a job that is closed without one."""

from __future__ import annotations

from collections.abc import Sequence
from typing import ClassVar

from textual.app import ComposeResult
from textual.widgets import Static

from core.base.errors import ShaftlogError
from core.book import drafts, settings
from core.jobs.release import missing_for_release
from core.reports.closing import close_unreleased, release_shaft
from tui.base.commands import Command, verb
from tui.screens.base.screen import JobScreen
from tui.screens.release.release import missing_words
from tui.widgets.form import FieldSpec, Form
from tui.widgets.plain import plain

LAST_RELEASED_BY = "last who released"
"""What the program remembers the name under."""


class EndingForm(JobScreen):
    """A form that ends a job; what was typed outlives Esc and a power cut."""

    DEFAULT_CSS = """
    EndingForm #missing { height: auto; max-height: 12; padding: 0 1 1 1; }
    """

    def __init__(self, job_id: str) -> None:
        super().__init__(job_id)
        self.values: dict[str, str] = {}

    @property
    def draft_name(self) -> str:
        """One unfinished form for each job."""
        return f"{type(self).__name__} {self.job_id}"

    def start_with(self, **usual: str) -> None:
        """The values the form opens with: as typed before, else the usual ones."""
        self.values = usual | drafts.draft(self.book, self.draft_name)

    def keep(self, name: str, value: object) -> str | None:
        """Save of the form: every field is stored as it is left."""
        self.values[name] = str(value).strip()
        if not self.book.read_only:
            drafts.save_draft(self.book, self.draft_name, self.values)
        return None

    def ended(self, by: str, words: str) -> None:
        """The job is closed: forget the draft, remember the name, go back."""
        drafts.drop_draft(self.book, self.draft_name)
        settings.remember(self.book, LAST_RELEASED_BY, by)
        self.context.back()
        self.context.say(words)

    def usual_name(self) -> str:
        """Whoever released last."""
        return str(settings.recall(self.book, LAST_RELEASED_BY, "") or "")


class ReleaseFormScreen(EndingForm):
    """Who releases; who overrules what is missing, and why."""

    HEADING = "Release"
    HOW_TO = (
        "F12 releases. What is missing can be overruled only with a name and a written reason; "
        "both stand on the ticket. The job can be opened again from its card, the ticket stays. "
        "Esc goes back; what was typed is kept."
    )
    ACTIONS: ClassVar[tuple[Command, ...]] = (
        verb("finish", "freeze", "Release", "Freeze the ticket and close the job"),
    )

    def __init__(self, job_id: str, missing: Sequence[str] | None = None) -> None:
        super().__init__(job_id)
        self.found = missing
        """What has to be overruled, as the release screen found it; None = look here."""
        self.missing: tuple[str, ...] = ()

    def body(self) -> ComposeResult:
        """What is missing, then the form."""
        found = missing_for_release(self.book, self.job_id) if self.found is None else self.found
        self.missing = tuple(found)
        self.start_with(by=self.usual_name())
        yield Static(plain(missing_words(self.missing, "F12 releases.")), id="missing")
        fields = [self._field("by", "Released by", "Name on the ticket.")]
        if self.missing:
            fields += [
                self._field("overrule_by", "Overruled by", "Who answers for it."),
                self._field("overrule_reason", "Reason", "Why it may go all the same."),
            ]
        yield Form(*fields, save=self.keep)

    def _field(self, name: str, label: str, hint: str) -> FieldSpec:
        return FieldSpec(name, label, "text", self.values.get(name, ""), hint)

    def on_form_finished(self) -> None:
        """Enter on the last field tells what to press; a release is never an accident."""
        self.say("F12 releases the shaft; Esc goes back without.")

    def action_freeze(self) -> None:
        """F12."""
        with self.in_words():
            if not self.settle():
                return
            by = self.values.get("by", "")
            # A draft may hold an overrule of what is no longer missing.
            over = self.values.get("overrule_by", "") if self.missing else ""
            reason = self.values.get("overrule_reason", "") if self.missing else ""
            if not by:
                raise ShaftlogError("Who releases? Type the name in the first line.")
            if self.missing and not (over and reason):
                raise ShaftlogError("Something is missing: a name and a reason must overrule it.")
            self._freeze(by, over, reason)
            self.ended(by, "Released: the ticket is frozen, the job is closed. F12 writes files.")

    def _freeze(self, by: str, over: str, reason: str) -> None:
        """Ask once more what is missing, then ticket and release in one transaction."""
        book = self.book
        with book.write():
            if self.read_only:
                raise ShaftlogError("This job was closed at another bench: Esc shows its ticket.")
            now = tuple(missing_for_release(book, self.job_id))
            if now != self.missing:
                raise ShaftlogError(
                    "What is missing has changed since this form was opened: Esc, then F4 again."
                )
            release_shaft(
                book,
                self.job_id,
                by=by,
                overrule_by=over,
                overrule_reason=reason,
                missing=now,
            )


class CloseFormScreen(EndingForm):
    """A job that ends without a release."""

    HEADING = "Close without release"
    HOW_TO = (
        "Say how it ended, who closes it and why, then F12. The closing paper tells what was "
        "found and what is open, says that the shaft is not released, and is frozen like a "
        "ticket. The job can be opened again from its card (F7 there); the paper stays."
    )
    ACTIONS: ClassVar[tuple[Command, ...]] = (
        verb("finish", "close", "Close", "Freeze the closing paper and close the job"),
    )
    ENDS = (("replaced", "a new shaft instead"), ("returned", "given back unrepaired"))

    def __init__(self, job_id: str, state: str = "", reason: str = "") -> None:
        super().__init__(job_id)
        self.state, self.reason = state, reason
        """How it ended and why, when whoever opens the form knows already."""

    def body(self) -> ComposeResult:
        """The form."""
        self.start_with(state="replaced", by=self.usual_name(), reason=self.reason)
        if self.state:
            self.values["state"] = self.state
        yield Static(
            plain("A shaft that is not released must not go back in service as if it were."),
            id="missing",
        )
        yield Form(
            FieldSpec("state", "It ended as", "choice", self.values["state"], choices=self.ENDS),
            FieldSpec("by", "Closed by", "text", self.values["by"], "Name on the closing paper."),
            FieldSpec(
                "reason", "Reason", "text", self.values["reason"],
                "Stands on the closing paper, and as a note on the job.",
            ),
            save=self.keep,
        )  # fmt: skip

    def on_form_finished(self) -> None:
        """Enter on the last field tells what to press."""
        self.say("F12 closes the job; Esc goes back without.")

    def action_close(self) -> None:
        """F12."""
        with self.in_words():
            if not self.settle():
                return
            state, by = self.values["state"], self.values["by"]
            if not self.values["reason"]:
                raise ShaftlogError("Why is it closed? Type a reason; it is printed on the paper.")
            if not by:
                raise ShaftlogError(
                    "Who closes the job? Type the name; it is printed on the paper."
                )
            book = self.book
            with book.write():
                if self.read_only:
                    raise ShaftlogError("This job was closed at another bench meanwhile.")
                close_unreleased(
                    book, self.job_id, state=state, by=by, reason=self.values["reason"]
                )
            self.ended(by, f"Closed: {state}. The closing paper is frozen; F12 writes files.")
