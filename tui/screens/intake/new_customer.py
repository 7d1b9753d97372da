"""A shaft nobody knows yet: the few fields a job needs, each kept as soon as it is entered."""

from __future__ import annotations

from typing import ClassVar

from textual.app import ComposeResult
from textual.widgets import Static

from core.base.errors import ShaftlogError
from tui.base.commands import Command, verb
from tui.screens.base.screen import ShopScreen
from tui.screens.intake import intake_draft
from tui.screens.intake.intake_fields import (
    LENGTH_HINT,
    LIFTING_HINT,
    MOST_DIAMETER_IN,
    MOST_LENGTH_IN,
    position_choices,
    understood,
)
from tui.screens.intake.material_list import material_choices, material_words
from tui.widgets.form import FieldSpec, Form
from tui.widgets.plain import plain


class NewCustomerScreen(ShopScreen):
    """The draft of a job; it becomes a job when customer, vessel, diameter and length are there."""

    HEADING = "New job: new shaft"
    HOW_TO = (
        "Fill in what is known; Enter stores a field and goes on. As soon as customer, vessel, "
        "diameter and length are there, F12 makes the job and gives it a tag; so does Enter on the "
        "last field. You may leave with Esc at any time and go on later where you stopped."
    )
    ACTIONS: ClassVar[tuple[Command, ...]] = (
        verb("finish", "make_job", "Make job", "Give it a tag and go on to the whole intake"),
        verb("undo", "wipe", "Empty", "Empty all fields; F5 again brings them back"),
    )
    DEFAULT_CSS = """
    NewCustomerScreen #missing { height: auto; margin: 1 0 0 0; }
    """

    def __init__(self, known: dict[str, str] | None = None, start_at: str = "") -> None:
        super().__init__()
        self.start_at = start_at
        """The field to begin with; empty = the first empty one."""
        self.known = known
        """Fields to start with; None = the draft of this bench, if there is one."""
        self.typed: dict[str, str] = {}
        self.wiped: dict[str, str] = {}

    def body(self) -> ComposeResult:
        """The form, and what is missing."""
        if self.known is not None:
            self.typed = dict(self.known)
            intake_draft.keep(self.book, self.typed)
        else:
            self.typed = intake_draft.load(self.book)
        yield Form(*_specs(self.typed), save=self._save)
        yield Static(id="missing")

    def on_mount(self) -> None:
        """Start where asked, else at the first empty field."""
        form = self.query_one(Form)
        empty = [name for name in intake_draft.NAMES if not self.typed.get(name)]
        first = self.start_at or (empty or ["customer"])[0]
        form.focus_field(first)

    def refresh_view(self) -> None:
        """Say what is missing."""
        lacking = intake_draft.missing(self.typed)
        words = f"Still needed: {', '.join(lacking)}." if lacking else "F12 makes the job."
        self.query_one("#missing", Static).update(plain(words))

    def _save(self, name: str, value: object) -> str | None:
        text = self.query_one(Form).text_of(name) if isinstance(value, float) else str(value or "")
        typed = {**self.typed, name: text}
        if name in ("customer", "vessel") and text != self.typed.get(name):
            typed.pop(f"{name}_id", None)
        intake_draft.keep(self.book, typed)
        self.typed = typed
        self.refresh_view()
        if name == "material":
            return material_words(str(value))
        return understood(value) if isinstance(value, float) else None

    def on_form_finished(self) -> None:
        """Enter on the last field."""
        self.action_make_job()

    def action_make_job(self) -> None:
        """F12."""
        if not self.settle():
            return
        with self.in_words():
            lacking = intake_draft.missing(self.typed)
            if lacking:
                self.query_one(Form).focus_field(lacking[0], quiet=True)
                raise ShaftlogError(f"A job still needs: {', '.join(lacking)}.")
            job_id = intake_draft.make_job(self.book, self.typed)
            self.context.back_to_board()
            self.context.go("card", job_id)
            self.context.go("intake", job_id)

    def action_wipe(self) -> None:
        """F5: empty everything, or bring it back."""
        self.typed, self.wiped = ({}, self.typed) if self.typed else (self.wiped, {})
        with self.in_words():
            intake_draft.keep(self.book, self.typed)
            form = self.query_one(Form)
            form.set_fields(_specs(self.typed), force=True)
            form.focus_field("customer", quiet=True)
            self.refresh_view()
            self.say("Emptied; F5 brings it back." if self.wiped else "Brought back.", "done")


def _specs(typed: dict[str, str]) -> tuple[FieldSpec, ...]:
    """The fields with what has been typed so far."""

    def length(name: str, label: str, most: float) -> FieldSpec:
        spec = FieldSpec(
            name, label, "length", typed.get(name, ""), LENGTH_HINT, least=0, most=most
        )
        return _with_echo(spec)

    position = typed.get("position", "")
    return (
        FieldSpec("customer", "Customer", value=typed.get("customer", ""), hint=LIFTING_HINT),
        FieldSpec("phone", "Phone", value=typed.get("phone", "")),
        FieldSpec("vessel", "Vessel", value=typed.get("vessel", "")),
        FieldSpec(
            "position", "Place in the boat", "choice", position,
            choices=position_choices(position),
        ),
        length("diameter", "Diameter", MOST_DIAMETER_IN),
        length("length", "Length", MOST_LENGTH_IN),
        FieldSpec(
            "material", "Material", "pick", typed.get("material", ""),
            "Part of the UNS number or the name; leave empty when it is not known.",
            choices=material_choices(),
        ),
        FieldSpec("complaint", "Complaint", value=typed.get("complaint", "")),
    )  # fmt: skip


def _with_echo(spec: FieldSpec) -> FieldSpec:
    from dataclasses import replace

    try:
        value = spec.parse(spec.value)
    except ShaftlogError:
        return spec
    return replace(spec, echo=understood(value)) if isinstance(value, float) else spec
