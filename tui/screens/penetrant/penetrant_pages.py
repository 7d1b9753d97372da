"""Beside the penetrant check: the standard in words, a note, and the overrule of a crack."""

from __future__ import annotations

from textual.app import ComposeResult
from textual.widgets import Static

from core.base.errors import ShaftlogError
from core.base.quantities import in_shop_figures
from core.base.units import in_shop_unit
from core.book import drafts, penetrant_checks
from core.penetrant.clock import Standard
from tui.screens.base.screen import JobScreen
from tui.widgets.form import FieldSpec, Form
from tui.widgets.plain import plain


def standard_lines(chosen: Standard) -> tuple[str, ...]:
    """All that the chosen standard asks, each line with its source."""
    return (
        chosen.title,
        *(f"- {in_shop_figures(in_shop_unit(said))}" for said in chosen.said),
        "This program keeps the time. The standard itself, the maker's sheet, class society, local "
        "codes and a qualified inspector come first.",
    )


class AreaNoteScreen(JobScreen):
    """One line about what is seen at an area."""

    HEADING = "Note on this area"
    HOW_TO = "Where it shows, how long, how it bleeds out. Enter stores it; Esc goes back."
    DEFAULT_CSS = "AreaNoteScreen #area { height: auto; padding: 1; }"

    def __init__(self, job_id: str, check_id: str) -> None:
        super().__init__(job_id)
        self.check_id = check_id

    def body(self) -> ComposeResult:
        """The area, one field."""
        check = penetrant_checks.check(self.book, self.check_id)
        yield Static(
            plain(f"{in_shop_unit(check.area)}: {check.result or 'no result yet'}"), id="area"
        )
        yield self.shared_form(self._specs, self._save)

    def _specs(self) -> tuple[FieldSpec, ...]:
        notes = penetrant_checks.check(self.book, self.check_id).notes
        return (FieldSpec("note", "Note", "text", notes, "Where it shows; empty is fine."),)

    def _save(self, name: str, value: object) -> str | None:
        if self.read_only:
            raise ShaftlogError("This job is closed: nothing can be noted on it.")
        penetrant_checks.note_area(self.book, self.check_id, str(value).strip())
        return None

    def on_form_finished(self) -> None:
        """Stored: back to the areas."""
        self.context.back()


class OverruleScreen(JobScreen):
    """A crack let go on: a name and a reason, both kept with the check and on the ticket."""

    HEADING = "Overrule a crack"
    HOW_TO = (
        "Only a person who may decide it and answers for it. Name and reason are in the book and "
        "on the ticket. A cracked shaft can part under way and let water in. What is typed here "
        "waits if you leave; the crack counts until both lines are given."
    )
    DEFAULT_CSS = """
    OverruleScreen Form { height: 4; }
    OverruleScreen #warning { height: auto; padding: 1; }
    """

    def __init__(self, job_id: str, check_id: str) -> None:
        super().__init__(job_id)
        self.check_id = check_id
        self.typed = {"by": "", "reason": ""}

    @property
    def _draft_name(self) -> str:
        return f"overrule {self.check_id}"

    def body(self) -> ComposeResult:
        """Warning and form."""
        self.crack = penetrant_checks.check(self.book, self.check_id)
        area = in_shop_unit(self.crack.area)
        self.typed |= drafts.draft(self.book, self._draft_name)
        yield Static(
            plain(
                f"A crack is noted at: {area}.\nA cracked shaft can part under way, lose the "
                "propeller and flood the boat. The class society, the insurer and local rules may "
                "forbid its use. Esc leaves the crack standing."
            ),
            id="warning",
        )
        by, reason = self.typed["by"], self.typed["reason"]
        yield Form(
            FieldSpec("by", "Who decides", "text", by, "Full name of the person who answers."),
            FieldSpec("reason", "Reason", "text", reason, "Why the job may go on all the same."),
            save=self._save,
        )

    def _save(self, name: str, value: object) -> str | None:
        if self.read_only:
            raise ShaftlogError("This job is closed: nothing can be overruled on it.")
        self.typed[name] = str(value).strip()
        drafts.save_draft(self.book, self._draft_name, self.typed)
        return None

    def on_form_finished(self) -> None:
        """Both given: store."""
        with self.in_words():
            with self.book.write():
                now = penetrant_checks.check(self.book, self.check_id)
                if now.overrule_by != self.crack.overrule_by:
                    raise ShaftlogError(f"Another bench let it go on: by {now.overrule_by}.")
                penetrant_checks.overrule(self.book, self.check_id, **self.typed)
            drafts.drop_draft(self.book, self._draft_name)
            self.context.back()
            self.context.say(f"Overruled by {self.typed['by']}; the ticket says so.")
