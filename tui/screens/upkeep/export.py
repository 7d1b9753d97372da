"""A job or the whole book written to a file for a spreadsheet or another program."""

from __future__ import annotations

from pathlib import Path
from typing import ClassVar

from textual.app import ComposeResult
from textual.widgets import Static

from core.base.times import local_text
from core.book import jobs
from core.book.connection import Book
from core.book.upkeep.backup import Progress
from core.reports.export_file import FOLDER, new_export
from tui.base.commands import Command, verb
from tui.screens.upkeep.background_job import ChoreScreen
from tui.widgets.form import FieldSpec, Form
from tui.widgets.plain import plain

JOB, BOOK, TABLES = "job", "book", "tables"
WORDS = (
    "CSV holds the readings, one a line; it can be taken in again. JSON holds everything on record "
    "about a job. A file a table holds the whole book for any other program, with a description of "
    "every column. Customers' phone, mail, address and notes leave the shop only when asked for "
    "here. The file can be read by its owner only."
)


class ExportScreen(ChoreScreen):
    """What, in which form, with or without phone numbers."""

    HEADING = "Write to a file"
    HOW_TO = (
        "Choose what is written and F12 writes it beside the book, in the folder 'exports'. A file "
        "that is there already is never written over: the new one gets a number."
    )
    ACTIONS: ClassVar[tuple[Command, ...]] = (verb("finish", "write", "Write", "Write the file"),)
    DEFAULT_CSS = "ExportScreen #words { height: auto; margin: 0 0 1 0; }"

    def __init__(self) -> None:
        super().__init__()
        self.values: dict[str, str] = {"what": JOB, "form": "csv", "contact": "no", "tag": ""}

    def body(self) -> ComposeResult:
        """Words and form."""
        self.values["tag"] = last_tag(self.book, self.context.last_job_id)
        yield Static(plain(WORDS), id="words")
        yield Form(
            FieldSpec("what", "What", "choice", JOB,
                      choices=((JOB, "one job"), (BOOK, "whole book"))),
            FieldSpec("tag", "Tag of the job", "text", self.values["tag"], "Such as 26-014."),
            FieldSpec("form", "Form", "choice", "csv",
                      choices=(("csv", "CSV: readings"), ("json", "JSON: everything"),
                               (TABLES, "CSV: a file a table"))),
            FieldSpec("contact", "With phone numbers", "choice", "no",
                      "CSV of readings has none.", choices=(("no", "no"), ("yes", "yes"))),
            save=self._save,
        )  # fmt: skip

    def _save(self, name: str, value: object) -> str | None:
        self.values[name] = str(value).strip()
        return None

    def on_form_finished(self) -> None:
        """Enter on the last field tells what to press."""
        self.say("F12 writes the file.")

    def action_write(self) -> None:
        """F12."""
        with self.in_words():
            if not self.settle():
                return
            asked = dict(self.values)
            if asked["what"] == JOB and asked["form"] != TABLES:
                jobs.job_by_tag(self.book, asked["tag"])
            book = self.book
            self.chore("Writing ...", lambda: write_file(book, asked, self.progress), self._written)

    def _written(self, place: Path) -> None:
        self.say(f"Written: {place}", "done")


def last_tag(book: Book, job_id: str | None) -> str:
    """The tag of the job last worked on; empty when there is none."""
    return jobs.job(book, job_id).tag if job_id is not None else ""


def write_file(book: Book, asked: dict[str, str], progress: Progress | None = None) -> Path:
    """Write what was asked for, with a connection of its own; the file or folder.

    What `progress` raises ends it, and nothing is left.
    """
    from core.cli.export import all_jobs, write_csv, write_json

    whole = asked["what"] == BOOK
    if asked["form"] == TABLES:
        from core.reports.data_export.tables import write_tables

        at = local_text(book.now(), "%Y-%m-%d-%H%M%S")
        folder = book.path.parent / FOLDER / f"book-{at}"
        with book.reopen(read_only=True) as own:
            contact = asked["contact"] == "yes"
            write_tables(own, folder, "csv", contact=contact, progress=progress)
        return folder
    name = "book" if whole else f"job-{asked['tag']}"
    with (
        book.reopen(read_only=True) as own,
        new_export(book.path.parent, name, asked["form"]) as (file, place),
    ):
        chosen = all_jobs(own) if whole else (jobs.job_by_tag(own, asked["tag"]),)
        if asked["form"] == "csv":
            write_csv(own, chosen, file, progress=progress)
        else:
            contact = asked["contact"] == "yes"
            write_json(own, chosen, file, whole=whole, contact=contact, progress=progress)
    return place
