"""Intake of a job: whose shaft, what shaft, what is wanted. Each Enter is stored."""

from __future__ import annotations

from typing import ClassVar

from textual.app import ComposeResult

from core.base.errors import ShaftlogError
from core.book import history
from core.book.connection import Book
from core.jobs.intake.due import day_of
from tui.base.commands import Command, verb
from tui.screens.base.screen import JobScreen
from tui.screens.intake.intake_fields import (
    Whole,
    job_specs,
    name_of,
    read_whole,
    shaft_specs,
    store,
    store_as_meant,
    what_is_meant,
    whose_specs,
)
from tui.screens.intake.material_list import material_choices
from tui.widgets.form import FieldSpec, Form
from tui.widgets.shaft_picture import PictureArea, ShaftPicture, ShaftSketch


class IntakeScreen(JobScreen):
    """All facts of the job in one form, the shaft drawn below."""

    HEADING = "Intake"
    HOW_TO = (
        "Enter stores a field and goes to the next. Lengths may be typed in any unit; the value as "
        "understood shows on the right. F4 goes on to the riding areas: the taper, the "
        "bearings, the shaft log, the coupling. Lift long shafts with two slings or two people, "
        "and keep hands out from under a shaft that hangs."
    )
    ACTIONS: ClassVar[tuple[Command, ...]] = (
        verb("act", "areas", "Riding areas", "Areas that ride in something, with limits"),
    )
    DEFAULT_CSS = """
    IntakeScreen Form { height: 1fr; }
    IntakeScreen ShaftPicture { height: 7; }
    """

    def body(self) -> ComposeResult:
        """Form above, shaft below."""
        yield self.shared_form(self._specs, self._save)
        yield ShaftPicture()

    def _specs(self) -> tuple[FieldSpec, ...]:
        whole = read_whole(self.book, self.job_id)
        return (
            *whose_specs(whole),
            *shaft_specs(whole, material_choices()),
            *job_specs(whole, day_of(self.book.now())),
        )

    def refresh_view(self) -> None:
        """Draw the shaft."""
        whole = read_whole(self.book, self.job_id)
        self.query_one(ShaftPicture).show(sketch_of(self.book, whole))

    def _save(self, name: str, value: object) -> str | None:
        if self.read_only:
            raise ShaftlogError("This job is closed: nothing can be changed. Esc goes back.")
        whole = read_whole(self.book, self.job_id)
        answers = what_is_meant(self.book, whole, name, value)
        if answers:
            self.ask_which(
                f"{name_of(name)}: what does the change mean?",
                answers,
                lambda meant: self._store_as_meant(whole, name, value, meant),
            )
            raise ShaftlogError("Not stored yet: what the change means is asked first.")
        echo = store(self.book, whole, name, value)
        self.on_screen_resume()
        return echo

    def _store_as_meant(self, seen: Whole, name: str, value: object, meant: str | None) -> None:
        """Store a changed owner or size as the person answered; Esc stores nothing."""
        form = self.query_one(Form)
        with self.in_words():
            if meant is not None:
                store_as_meant(self.book, seen, name, value, meant)
            self.say("Not stored." if meant is None else f"{name_of(name)}: stored.", "done")
        form.set_fields(self._specs(), force=True)
        self.refresh_view()

    def on_form_finished(self) -> None:
        """After the last field come the riding areas."""
        self.action_areas()

    def action_areas(self) -> None:
        """F4."""
        if self.settle():
            self.context.go("areas", self.job_id)


def sketch_of(book: Book, whole: Whole, cursor_in: float | None = None) -> ShaftSketch:
    """The shaft with its riding areas and rollers, for the picture."""
    areas = history.areas_of(book, whole.job)
    rollers = (whole.job.roller_a_in, whole.job.roller_b_in)
    return ShaftSketch(
        whole.shaft.length_in,
        whole.shaft.zero_end,
        tuple(PictureArea(area.name, area.from_in, area.to_in) for area in areas),
        tuple(station for station in rollers if station is not None),
        cursor_in=cursor_in,
    )
