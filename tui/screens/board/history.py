"""F3: every job ever done, found as typed from the first letter, newest first."""

from __future__ import annotations

from collections.abc import Sequence
from functools import partial
from typing import TYPE_CHECKING, ClassVar

from textual.app import ComposeResult
from textual.timer import Timer
from textual.widgets import Static

from core.base.shop_records import OPEN_STATES
from core.book import jobs
from core.book.cards.card_search import FoundCard
from core.book.search.find import Found, Page
from core.book.settings import load
from core.jobs.about_job import TirInOut, about_job, tir_words
from core.jobs.find_jobs import find_cards, find_jobs
from core.jobs.next_visit import begin_next_visit, open_job_on
from core.jobs.sweep.sweep_entry import dial_unit
from tui.base.commands import Command, verb
from tui.screens.board.old_card import about_found, cards_below, finding_rows, is_card, open_card
from tui.screens.board.search_rows import COLUMNS, count_words, found_rows
from tui.screens.board.searching import SearchingScreen
from tui.widgets.list_box import ListBox, ListRow
from tui.widgets.menu import MenuItem
from tui.widgets.plain import plain

if TYPE_CHECKING:
    from core.book.connection import Book

PAUSE_S = 0.2
"""Without a key for so long what takes more time is worked out."""


class HistoryScreen(SearchingScreen):
    """A search line, the jobs found, and a line on what was matched."""

    HEADING = "Find in history"
    HOW_TO = (
        "Type anything known, in any order: customer, vessel, phone (the last four digits will "
        "do), tag, year or month (2019, Feb 2026), size (1-3/4, 2.5, 30 mm), side (port, stbd), "
        "outcome (released, replaced), alloy (UNS number or common name), a word of a note. For "
        "example: smith 2019 stbd. A slip or two in a name is forgiven. The list follows each "
        "key; below it is what was done on the chosen job. Up and Down choose, Enter opens. An "
        "old job opens for reading; or its shaft gets a new job."
    )
    ACTIONS: ClassVar[tuple[Command, ...]] = (
        verb("data", "visits", "Visits", "All visits of the chosen shaft"),
        verb("act", "same_shaft", "New job", "A new job on the chosen shaft"),
        verb("more", "more", "More", "Corrections on the chosen job; delete personal data"),
    )
    PLACEHOLDER = "name, vessel, phone, tag, year, size, side, outcome, alloy, a word"
    COLUMNS = COLUMNS
    DEFAULT_CSS = """
    HistoryScreen #about { height: 5; border-top: solid $foreground; }
    """

    def __init__(self) -> None:
        super().__init__()
        self.found: list[Found] = []
        self.cards: dict[str, FoundCard] = {}
        """By the name of their row."""
        self.more = False
        """Whether there are jobs beyond those listed."""
        self.tir: dict[str, TirInOut] = {}
        """By the id of the job, as far as it was computed."""
        self._pause: Timer | None = None

    def body(self) -> ComposeResult:
        """Search line, list, and what is known of the chosen job."""
        yield from super().body()
        yield Static(id="about")

    def rows_for(self, words: str) -> Sequence[ListRow]:
        """Jobs for what has been typed so far."""
        page = find_jobs(self.book, words, counted=False)
        self.found, self.more = list(page.found), page.at_least
        newest = "The newest jobs. Type to search." if page.found and not words.strip() else ""
        cards = find_cards(self.book, words)
        card_rows = finding_rows(cards)
        self.cards = {row.name: one for row, one in zip(card_rows, cards, strict=True)}
        self.say(newest or self._count_words(page))
        return [*found_rows(self.found), *card_rows]

    def _count_words(self, page: Page) -> str:
        said = count_words(page, len(self.found))
        return f"{said} {cards_below(len(self.cards))}".strip()

    def _show(self, words: str, *, keep: bool = True) -> None:
        super()._show(words, keep=keep)
        self._show_about()

    def on_list_box_moved(self) -> None:
        """Another job is chosen; at the end of the list more of them are listed."""
        if self.more and self.box.chosen is self.box.rows[len(self.found) - 1]:
            page = find_jobs(self.book, self.line.value, first=len(self.found), counted=False)
            self.found += page.found
            self.more = page.at_least
            self.box.show([*found_rows(self.found), *finding_rows(self.cards.values())])
        self._show_about()

    def _show_about(self) -> None:
        """What was done on the chosen job; count and runout follow when the keys pause."""
        chosen = self.box.chosen
        self.query_one("#about", Static).update(plain("\n".join(self._about(chosen))))
        if self._pause is not None:
            self._pause.stop()
        self._pause = self.set_timer(PAUSE_S, self._on_pause)

    def _about(self, chosen: ListRow | None) -> list[str]:
        one = next((one for one in self.found if chosen and one.job_id == chosen.name), None)
        if one is None:
            card = self.cards.get(chosen.name) if chosen else None
            return [] if card is None else about_found(card)
        tir = self.tir.get(one.job_id)
        words = ".." if tir is None else tir_words(tir, dial_unit(load(self.book)))
        who = ", ".join(text for text in (one.customer_name, one.phone) if text)
        return [who, *about_job(self.book, one.job_id).lines(words)]

    def _on_pause(self) -> None:
        if self.more and not self.was_left and self.line.value.strip():
            page = find_jobs(self.book, self.line.value, limit=len(self.found))
            self.say(self._count_words(page))
        chosen = self.box.chosen
        if chosen is not None and not is_card(chosen.name) and chosen.name not in self.tir:
            self.in_background(partial(_worked_out, job_id=chosen.name), self._show_tir)

    def _show_tir(self, found: tuple[str, TirInOut]) -> None:
        self.tir[found[0]] = found[1]
        self.query_one("#about", Static).update(plain("\n".join(self._about(self.box.chosen))))

    def on_list_box_chosen(self, event: ListBox.Chosen) -> None:
        """An open job opens; for an old one, or an old card, ask what is wanted."""
        if is_card(event.row.name):
            with self.in_words():
                open_card(self, event.row.name)
            return
        job = jobs.job(self.book, event.row.name)
        if job.state in OPEN_STATES:
            self.context.go("card", job.id)
            return
        question = f"{job.tag} was closed ({job.state}). What do you want?"
        self.ask_which(question, _OLD, self._open_old)

    def _open_old(self, name: str | None) -> None:
        chosen = self.chosen()
        if name is None or chosen is None:
            return
        if name == "read":
            self.context.go("card", chosen)
        elif name == "visits":
            self.context.go("visits", chosen)
        else:
            self._start_on(chosen)

    def _start_on(self, old_job_id: str) -> None:
        """A new job on the same shaft; an open one on it is opened instead."""
        with self.in_words():
            here = open_job_on(self.book, jobs.job(self.book, old_job_id).shaft_id)
            words = "This shaft is in the shop already: here is its open job."
            if here is None:
                here, words = begin_next_visit(self.book, old_job_id)
            self.context.back_to_board()
            self.context.go("card", here.id)
            self.context.say(words)

    def chosen_job(self) -> str | None:
        """Id of the chosen job; None when there is none, or a card is chosen (and said so)."""
        chosen = self.chosen()
        if chosen is not None and is_card(chosen):
            self.say("This is a paper card. Enter starts a job with what it says.")
            return None
        return chosen

    def action_visits(self) -> None:
        """F6."""
        chosen = self.chosen_job()
        if chosen is not None:
            self.context.go("visits", chosen)

    def action_same_shaft(self) -> None:
        """F4."""
        chosen = self.chosen()
        if chosen is not None and is_card(chosen):
            with self.in_words():
                open_card(self, chosen)
        elif chosen is not None:
            self._start_on(chosen)

    def action_more(self) -> None:
        """F7."""
        if self.chosen_job() is not None:
            self.ask_which("What about the chosen job?", _MORE, self._more)

    def _more(self, name: str | None) -> None:
        chosen = self.chosen()
        if name is not None and chosen is not None:
            self.context.go(name, chosen)

    def action_find(self) -> None:
        """F3 on the search empties it."""
        self.line.value = ""


def _worked_out(book: Book, *, job_id: str) -> tuple[str, TirInOut]:
    """The runout of a job as it came and as it left (on any thread)."""
    from core.jobs.tir_in_out import tir_in_out

    return job_id, tir_in_out(book, job_id)


_OLD = (
    MenuItem("read", "Read it (nothing can be changed)"),
    MenuItem("visits", "See all visits of this shaft"),
    MenuItem("new", "Start a new job on the same shaft"),
)
_MORE = (
    MenuItem("changes", "What was corrected on it, when, by whom"),
    MenuItem("erase", "Delete the customer's personal data"),
)
