"""A shaft nobody knows yet: the sizes its sweep needs, then what can wait; each Enter is kept."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import ClassVar

from textual.app import ComposeResult
from textual.widgets import Static

from core.base.errors import ShaftlogError
from core.base.units import length_unit
from core.jobs.intake import new_shaft
from tui.base.commands import Command, verb
from tui.screens.base.screen import ShopScreen
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

ROLLER_HINT = "Where this pair of rollers is: its distance from the coupling end."
FROM_CARD = "From an old card: measure the diameter again."
CAN_WAIT = "can wait"
"""Name of the heading over the fields that no sweep needs."""


class NewCustomerScreen(ShopScreen):
    """The draft of a job; it becomes a job as soon as diameter and length are there."""

    HEADING = "New job: new shaft"
    HOW_TO = (
        "Measure the shaft on its rollers and type the four sizes; Enter stores a field and goes "
        "on. F12 then makes the job, gives it a tag and starts the sweep; so does Enter on the "
        "last field. All below the sizes can wait: F4 on the job card brings it back, and a shaft "
        "without a customer and a vessel is not released. F4 here makes the job and opens the "
        "whole intake first, with riding areas. You may leave with Esc at any time and go on later "
        "where you stopped."
    )
    ACTIONS: ClassVar[tuple[Command, ...]] = (
        verb("finish", "start_sweep", "Read", "Make the job and start its sweep"),
        verb("act", "make_job", "All fields", "Make the job, then the whole intake"),
        verb("undo", "wipe", "Empty", "Empty all fields; F5 again brings them back"),
    )
    DEFAULT_CSS = """
    NewCustomerScreen #missing { height: auto; margin: 1 0 0 0; text-style: bold; }
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
            new_shaft.keep(self.book, self.typed)
        else:
            self.typed = new_shaft.load(self.book)
        yield Form(*_specs(self.typed), save=self._save)
        yield Static(id="missing")

    def on_mount(self) -> None:
        """Start where asked, else at the first empty field."""
        form = self.query_one(Form)
        empty = [name for name in new_shaft.NAMES if not self.typed.get(name)]
        form.focus_field(self.start_at or (empty or ["customer"])[0])

    def refresh_view(self) -> None:
        """Say what is missing, and which key goes on."""
        job, sweep = new_shaft.missing(self.typed), new_shaft.missing_for_sweep(self.typed)
        if sweep:
            words = f"Still needed for the sweep: {', '.join(sweep)}."
            words += "" if job else " F4 makes the job without."
        else:
            words = "F12, or Enter on the last line, starts the sweep. All that is empty can wait."
        if self.typed.get("card_id"):
            words = f"{FROM_CARD} {words}"
        self.query_one("#missing", Static).update(plain(f"{words}\n\n{LIFTING_HINT}"))

    def _save(self, name: str, value: object) -> str | None:
        text = self.query_one(Form).text_of(name) if isinstance(value, float) else str(value or "")
        if name in new_shaft.SWEEP_SIZES:
            text = new_shaft.with_unit(text, length_unit())
        typed = {**self.typed, name: text}
        if name in new_shaft.SWEEP_SIZES:
            new_shaft.check_sizes(typed)
        if name in ("customer", "vessel") and text != self.typed.get(name):
            typed.pop(f"{name}_id", None)
        new_shaft.keep(self.book, typed)
        self.typed = typed
        self.refresh_view()
        if name == "material":
            return material_words(str(value))
        return understood(value) if isinstance(value, float) else None

    def on_form_finished(self) -> None:
        """Enter on the last field."""
        self.action_start_sweep()

    def action_start_sweep(self) -> None:
        """F12: the sweep at once."""
        with self.in_words():
            if self._complete(new_shaft.missing_for_sweep):
                sweep = new_shaft.start_sweep(self.book, self.typed)
                self._go(sweep.job_id, "sweep", sweep_id=sweep.id)

    def action_make_job(self) -> None:
        """F4: the whole intake."""
        with self.in_words():
            if self._complete(new_shaft.missing):
                self._go(new_shaft.make_job(self.book, self.typed), "intake")

    def _complete(self, missing: Callable[[dict[str, str]], list[str]]) -> bool:
        """Whether nothing is missing; False = a field was refused, and said why."""
        if not self.settle():
            return False
        if lacking := missing(self.typed):
            name = next(one for one in new_shaft.SWEEP_SIZES if not self.typed.get(one, "").strip())
            self.query_one(Form).focus_field(name, quiet=True)
            raise ShaftlogError(f"Still needed: {', '.join(lacking)}. Measure and type it.")
        return True

    def _go(self, job_id: str, place: str, **options: object) -> None:
        self.context.back_to_board()
        self.context.go("card", job_id)
        self.context.go(place, job_id, **options)

    def action_wipe(self) -> None:
        """F5: empty everything, or bring it back."""
        self.typed, self.wiped = ({}, self.typed) if self.typed else (self.wiped, {})
        with self.in_words():
            new_shaft.keep(self.book, self.typed)
            form = self.query_one(Form)
            form.set_fields(_specs(self.typed), force=True)
            form.focus_field("diameter", quiet=True)
            self.refresh_view()
            self.say("Emptied; F5 brings it back." if self.wiped else "Brought back.", "done")


def _specs(typed: dict[str, str]) -> tuple[FieldSpec, ...]:
    """The fields with what has been typed so far."""

    def length(name: str, label: str, most: float, hint: str = LENGTH_HINT) -> FieldSpec:
        text, unit = typed.get(name, ""), length_unit()
        spec = FieldSpec(name, label, "length", text, hint, unit=unit, least=0, most=most)
        return _with_echo(spec)

    position = typed.get("position", "")
    return (
        length("diameter", "Diameter", MOST_DIAMETER_IN),
        length("length", "Length", MOST_LENGTH_IN),
        length("roller_a", "Roller pair A at", MOST_LENGTH_IN, ROLLER_HINT),
        length("roller_b", "Roller pair B at", MOST_LENGTH_IN, ROLLER_HINT),
        FieldSpec(CAN_WAIT, "Can wait until the release", "heading"),
        FieldSpec("customer", "Customer", value=typed.get("customer", "")),
        FieldSpec("vessel", "Vessel", value=typed.get("vessel", "")),
        FieldSpec("phone", "Phone", value=typed.get("phone", "")),
        FieldSpec(
            "position", "Place in the boat", "choice", position,
            choices=position_choices(position),
        ),
        FieldSpec(
            "material", "Material", "pick", typed.get("material", ""),
            "Part of the UNS number or the name; leave empty when it is not known.",
            choices=material_choices(),
        ),
        FieldSpec("complaint", "Complaint", value=typed.get("complaint", "")),
    )  # fmt: skip


def _with_echo(spec: FieldSpec) -> FieldSpec:
    try:
        value = spec.parse(spec.value)
    except ShaftlogError:
        return spec
    return replace(spec, echo=understood(value)) if isinstance(value, float) else spec
