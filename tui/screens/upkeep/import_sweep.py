"""A sweep from a CSV file into a job: which file, which job, which column is which."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import ClassVar

from textual.app import ComposeResult
from textual.widgets import Static

from core.base.dial_unit import shown_dial_unit
from core.base.errors import ShaftlogError
from core.base.records import FULL_SWEEPS, OPEN_STATES, Job
from core.base.units import format_dial, format_length, format_shop_size
from core.book import jobs
from core.book.connection import Book
from core.jobs.sweep_import.csv_rows import HEADER, SweepFileError
from core.jobs.sweep_import.csv_stations import FileStation
from core.jobs.sweep_import.store_sweep import (
    SweepTerms,
    read_stations,
    remembered_columns,
    store_stations,
)
from tui.base.commands import Command, verb
from tui.screens.intake.intake_fields import size_text
from tui.screens.upkeep.background_job import ChoreScreen, files_near, path_of
from tui.screens.upkeep.export import last_tag
from tui.widgets.form import FieldSpec, Form
from tui.widgets.plain import plain


class ImportScreen(ChoreScreen):
    """The file is read and checked wholly before anything is stored."""

    HEADING = "Take in a sweep"
    HOW_TO = (
        f"The file has one reading a line and a header such as {HEADER}; blank or 'blocked' is a "
        "blocked plunger. F8 says which column of a gauge logger's file is which; that is "
        "remembered for the next file. F4 reads and checks, F12 stores the sweep, whole or not at "
        "all."
    )
    ACTIONS: ClassVar[tuple[Command, ...]] = (
        verb("act", "look", "Check", "Read and check the file; nothing is stored"),
        verb("finish", "store", "Store", "Store the sweep in the job"),
        verb("setup", "columns", "Columns", "Say which column is which"),
    )
    DEFAULT_CSS = """
    ImportScreen #found { height: 1fr; border-top: solid $foreground; }
    """

    def __init__(self) -> None:
        super().__init__()
        self.values: dict[str, object] = {"purpose": FULL_SWEEPS[0]}
        self.mapping: dict[str, str] = {}
        """Our column names to those of the file; empty = ours, or those remembered."""

    def body(self) -> ComposeResult:
        """Form above, what was found below."""
        book = self.book
        tag = last_tag(book, self.context.last_job_id)
        self.values["tag"] = tag
        rollers = self._rollers_of_job(tag)
        yield Form(
            FieldSpec("path", "File", "pick", hint="Part of its name, or the whole path.",
                      choices=files_near(self.context.book_path, ".csv")),
            FieldSpec("tag", "Tag of the job", "text", tag, "Such as 26-014."),
            FieldSpec("purpose", "Purpose", "choice", FULL_SWEEPS[0],
                      choices=tuple((p, p) for p in FULL_SWEEPS)),
            FieldSpec("by", "Measured by", "text", "", "Stands on the ticket."),
            FieldSpec("gauge", "Gauge", "text", "", "Empty: the shop's dial."),
            FieldSpec("resolution_in", "Graduation", "length", "",
                      f"Of the dial, {shown_dial_unit()}; empty: the shop's.",
                      unit=shown_dial_unit(), least=1e-6, most=0.05),
            FieldSpec("a_in", "Roller A", "length", rollers[0],
                      "Where the rollers stood; empty: as in the job.", least=0),
            FieldSpec("b_in", "Roller B", "length", rollers[1], least=0),
            save=self._save, label_width=16, box_width=30,
        )  # fmt: skip
        yield Static(id="found")

    def _rollers_of_job(self, tag: str) -> tuple[str, str]:
        if not tag:
            return "", ""
        job = jobs.job_by_tag(self.book, tag)
        self.values |= {"a_in": job.roller_a_in, "b_in": job.roller_b_in}
        return size_text(job.roller_a_in), size_text(job.roller_b_in)

    def refresh_view(self) -> None:
        """Which columns are looked for."""
        self._show([])

    def _save(self, name: str, value: object) -> str | None:
        self.values[name] = value
        if name == "path":
            self._show([])
        return f"= {format_shop_size(value)}" if isinstance(value, float) else None

    def on_form_finished(self) -> None:
        """Enter on the last field checks the file."""
        self.action_look()

    def _show(self, lines: Sequence[str]) -> None:
        mapping = self.mapping or remembered_columns(self.book)
        columns = ", ".join(f"{theirs} = {ours}" for ours, theirs in mapping.items())
        known = f"Columns looked for: {HEADER}"
        known += f"; else {columns}" if columns and not self.mapping else ""
        if self.mapping:
            known = f"Columns: {columns}"
        self.query_one("#found", Static).update(plain("\n".join((known, *lines))))

    # -- reading and storing -----------------------------------------------------------------------

    def _file(self) -> tuple[Path, bytes]:
        place = path_of(str(self.values.get("path") or ""), "the CSV file")
        try:
            return place, place.read_bytes()
        except OSError as error:
            raise ShaftlogError(f"{place} cannot be read: {error.strerror}.") from error

    def _read(self) -> tuple[Path, list[FileStation]]:
        """The stations of the file; trouble with the header says which key helps."""
        place, data = self._file()
        try:
            return place, read_stations(self.book, data, place.name, self.mapping)
        except SweepFileError as error:
            if "no column" in error.what:
                words = f"{place.name}: its columns are not known. F8 says which is which."
                raise ShaftlogError(words) from error
            raise

    def action_look(self) -> None:
        """F4."""
        with self.in_words():
            if self.settle():
                place, stations = self._read()
                self._show(found_words(place, stations))
                self.say("The file is in order. F12 stores the sweep in the job.")

    def action_store(self) -> None:
        """F12."""
        with self.in_words():
            if not self.settle():
                return
            job = open_job(self.book, str(self.values.get("tag") or ""))
            terms = terms_of(self.values, job)
            place, stations = self._read()
            number, count = store_stations(
                self.book, job, stations, place.name, terms, self.mapping
            )
            self._show(found_words(place, stations))
            self.say(f"Stored: sweep {number} of job {job.tag}, {count} readings.", "done")

    def action_columns(self) -> None:
        """F8."""
        with self.in_words():
            if self.settle():
                place, data = self._file()
                known = self.mapping or remembered_columns(self.book)
                self.context.go(
                    "columns", file_name=place.name, data=data, known=known, then=self._mapped
                )

    def _mapped(self, mapping: dict[str, str]) -> None:
        self.mapping = mapping


def open_job(book: Book, tag: str) -> Job:
    """The job a sweep may go into; a closed one is refused."""
    job = jobs.job_by_tag(book, tag.strip())
    if job.state not in OPEN_STATES:
        raise ShaftlogError(f"Job {job.tag} is closed ({job.state}): open it again on its card.")
    return job


def terms_of(values: dict[str, object], job: Job) -> SweepTerms:
    """What was typed; rollers that were typed for this sweep come first."""
    a_in, b_in = (
        typed if isinstance(typed, float) else of_job
        for typed, of_job in (
            (values.get("a_in"), job.roller_a_in),
            (values.get("b_in"), job.roller_b_in),
        )
    )
    if a_in is None or b_in is None:
        raise ShaftlogError("Where did the rollers stand? Fill in Roller A and Roller B.")
    resolution = values.get("resolution_in")
    return SweepTerms(
        rollers_in=(a_in, b_in),
        purpose=str(values.get("purpose") or FULL_SWEEPS[0]),
        measured_by=str(values.get("by") or "").strip(),
        gauge=str(values.get("gauge") or "").strip(),
        resolution_in=resolution if isinstance(resolution, float) else None,
    )


def found_words(place: Path, stations: Sequence[FileStation]) -> list[str]:
    """What the file holds, in a few lines."""
    readings = [row for station in stations for row in station.taken]
    blocked = sum(len(station.marks) for station in stations) - len(readings)
    values_in = [row.reading_in for row in readings if row.reading_in is not None]
    first, last = stations[0].station_in, stations[-1].station_in
    return [
        f"{place.name}: {len(stations)} stations from {format_length(first, 2, unit=False)} to "
        f"{format_length(last, 2)}, {len(readings)} readings, {blocked} blocked.",
        f"Readings from {format_dial(min(values_in), unit=False)} to "
        f"{format_dial(max(values_in))}: "
        "is that the unit you meant?",
    ]
