"""Paper cards of earlier years from a CSV file: its columns, a look, then all of them."""

from __future__ import annotations

from dataclasses import dataclass
from functools import partial
from pathlib import Path
from typing import ClassVar

from textual.app import ComposeResult
from textual.containers import VerticalScroll
from textual.widgets import Static

from core.base.errors import ShaftlogError
from core.book.connection import Book
from core.book.upkeep.backup import Progress
from core.book.upkeep.stoppable import share
from core.jobs.card_import.card_words import first_cards
from core.jobs.card_import.read_cards import (
    COLUMNS,
    CardFile,
    first_columns,
    headings_of,
    read_card_file,
)
from core.jobs.card_import.store_cards import (
    CardPlan,
    plan_cards,
    remembered_card_columns,
    store_cards,
)
from core.jobs.sweep_import.csv_rows import MAX_BYTES
from tui.base.commands import Command, verb
from tui.screens.base.scrolling import ScrollingScreen
from tui.screens.upkeep.background_job import ChoreScreen, files_near, path_of, refuse_read_only
from tui.widgets.form import FieldSpec, Form
from tui.widgets.plain import paper, plain

ONE_CARD_A_LINE = (
    "Each line of the file is one card. Type part of the file's name and Enter, then which of its "
    "columns is which; leave out what it has not. F4 looks, F12 takes the cards in."
)


@dataclass(frozen=True)
class LookedAt:
    """A file as it was read, and what taking it in would do."""

    place: Path
    columns: dict[str, str]
    file: CardFile
    plan: CardPlan


class CardsScreen(ScrollingScreen, ChoreScreen):
    """The file and its columns above, what would come in below."""

    HEADING = "Take in paper cards"
    HOW_TO = (
        "Cards that were typed into a spreadsheet come into the history, where the search finds "
        "them beside the jobs. A customer or a vessel is enough; a year or a size that cannot be "
        "read for sure stays as it is written. A card that is there already is left out. F4 shows "
        "what would come in and stores nothing; F12 stores all of it or, when F5 stops it, none."
    )
    ACTIONS: ClassVar[tuple[Command, ...]] = (
        verb("act", "look", "Look", "See what would come in; nothing is stored"),
        verb("finish", "take", "Take in", "Store the cards, after looking"),
    )
    DEFAULT_CSS = """
    CardsScreen VerticalScroll { height: 1fr; border-top: solid $foreground; }
    """

    def __init__(self) -> None:
        super().__init__()
        self.values = dict.fromkeys(("path", *COLUMNS), "")
        self.looked: LookedAt | None = None
        """What was looked at and not yet taken in."""

    def body(self) -> ComposeResult:
        """Form above, report below."""
        files = files_near(self.context.book_path, ".csv")
        yield Form(
            FieldSpec("path", "File", "pick", hint="Part of its name, or the whole path.",
                      choices=files),
            *self._column_specs(()), save=self._save, label_width=14, box_width=50,
        )  # fmt: skip
        with VerticalScroll(can_focus=False):
            yield Static(plain(ONE_CARD_A_LINE), id="report")

    def _column_specs(self, headings: tuple[str, ...]) -> tuple[FieldSpec, ...]:
        choices = tuple((heading, "") for heading in headings)
        hint = "Part of a heading of the file; empty: the file has no such column."
        return tuple(
            FieldSpec(name, f"{name.capitalize()} is", "pick", self.values[name], hint, choices)
            for name in COLUMNS
        )

    def _save(self, name: str, value: object) -> str | None:
        typed = str(value or "").strip()
        if name == "path" and typed != self.values["path"]:
            place, data = _read(typed)
            headings = headings_of(data, place.name)
            self.values = {"path": typed} | first_columns(
                headings, remembered_card_columns(self.book)
            )
            self.query_one(Form).set_fields(self._column_specs(headings), force=True)
            self._show(f"Headings of the file: {', '.join(headings)}")
        elif name in COLUMNS:
            self._check_heading(name, typed)
            self.values[name] = typed
        self.looked = None
        return None

    def _check_heading(self, name: str, typed: str) -> None:
        known = [heading for heading, _ in self.query_one(Form).fields[name].choices]
        if typed and typed not in known:
            raise ShaftlogError(f"There is no heading {typed!r} in the file.")

    def on_form_finished(self) -> None:
        """Enter on the last field looks at once."""
        self.action_look()

    def action_look(self) -> None:
        """F4."""
        with self.in_words():
            if not self.settle():
                return
            place, data = _read(self.values["path"])
            columns = {name: self.values[name] for name in COLUMNS if self.values[name]}
            if not columns.keys() & {"customer", "vessel"}:
                raise ShaftlogError("Which column holds the customer, or the vessel? Fill one in.")
            look = partial(_look, self.book, place, data, columns, self.progress)
            self.chore(f"Looking at {place.name} ...", look, self._looked)

    def _looked(self, looked: LookedAt) -> None:
        self.looked = looked
        words = looked.plan.words(done=False)
        self._show(f"LOOKED ONLY, nothing is stored.\n{words}\n{first_cards(looked.file)}")
        self.say("F12 takes them in." if looked.plan.cards else "There is nothing to take in.")

    def action_take(self) -> None:
        """F12."""
        with self.in_words():
            if not self.settle():
                return
            refuse_read_only(self.book)
            if self.looked is None:
                raise ShaftlogError("Look first: F4 shows what would come in.")
            take = partial(_take, self.book, self.looked, self.progress)
            self.chore(f"Taking in {self.looked.place.name} ...", take, self._taken)

    def _taken(self, plan: CardPlan) -> None:
        self.looked = None
        self._show(f"TAKEN IN.\n{plan.words(done=True)}")
        self.say("The search finds them now, below the jobs.", "done")

    def _show(self, words: str) -> None:
        self.query_one("#report", Static).update(paper(words))
        self.query_one(VerticalScroll).scroll_home(animate=False)


def _read(typed: str) -> tuple[Path, bytes]:
    place = path_of(typed, "the CSV file")
    try:
        if place.stat().st_size > MAX_BYTES:
            raise ShaftlogError(f"{place.name} is too large. Split it into smaller files.")
        return place, place.read_bytes()
    except OSError as error:
        raise ShaftlogError(f"{place} cannot be read: {error.strerror}.") from error


def _look(
    book: Book, place: Path, data: bytes, columns: dict[str, str], progress: Progress
) -> LookedAt:
    file = read_card_file(data, place.name, columns, share(progress, 0.0, 0.5))
    with book.reopen(read_only=True) as own:
        plan = plan_cards(own, file, place.name, share(progress, 0.5, 1.0))
    return LookedAt(place, columns, file, plan)


def _take(book: Book, looked: LookedAt, progress: Progress) -> CardPlan:
    """Planned again with the book as it is now, then stored."""
    with book.reopen() as own:
        plan = plan_cards(own, looked.file, looked.place.name, share(progress, 0.0, 0.2))
        store_cards(own, plan, looked.columns, share(progress, 0.2, 1.0))
    return plan
