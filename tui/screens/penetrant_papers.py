"""Beside the penetrant check: the standard in words, and the overrule of a crack."""

from __future__ import annotations

from textual.app import ComposeResult
from textual.widgets import Static

from core.book import penetrant_checks
from core.penetrant import Standard
from tui.screens.base import JobScreen
from tui.widgets.form import FieldSpec, Form
from tui.widgets.plain import plain


def standard_lines(chosen: Standard) -> tuple[str, ...]:
    """All that the chosen standard asks, each line with its source."""
    return (
        chosen.title,
        *(f"- {said}" for said in chosen.said),
        "This program keeps the time. The standard itself, the maker's sheet and a qualified "
        "inspector come first.",
    )


class OverruleScreen(JobScreen):
    """A crack let go on: a name and a reason, both kept with the check and on the ticket."""

    HEADING = "Overrule a crack"
    HOW_TO = (
        "Only a person who may decide it and answers for it. Name and reason stand in the book and "
        "on the ticket. A cracked shaft can part under way and let water in."
    )
    DEFAULT_CSS = """
    OverruleScreen Form { height: 4; }
    OverruleScreen #warning { height: auto; padding: 1; }
    """

    def __init__(self, job_id: str, check_id: str) -> None:
        super().__init__(job_id)
        self.check_id = check_id
        self.typed = {"by": "", "reason": ""}

    def body(self) -> ComposeResult:
        """Warning and form."""
        area = penetrant_checks.check(self.app.book, self.check_id).area
        yield Static(
            plain(
                f"A crack is noted at: {area}.\nA cracked shaft can part under way, lose the "
                "propeller and flood the boat. The class society, the insurer and local rules may "
                "forbid its use. Esc leaves the crack standing."
            ),
            id="warning",
        )
        yield Form(
            FieldSpec("by", "Who decides", "text", "", "Full name of the person who answers."),
            FieldSpec("reason", "Reason", "text", "", "Why the job may go on all the same."),
            save=self._save,
        )

    def _save(self, name: str, value: object) -> str | None:
        self.typed[name] = str(value).strip()
        return None

    def on_form_finished(self) -> None:
        """Both given: store."""
        with self.in_words():
            penetrant_checks.overrule(self.app.book, self.check_id, **self.typed)
            self.app.back()
            self.app.say(f"Overruled by {self.typed['by']}; it stands on the ticket.")
