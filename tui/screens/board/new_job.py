"""A shaft comes in: three letters of anything known bring its old data; or it is a new one."""

from __future__ import annotations

from collections.abc import Sequence
from typing import ClassVar

from core.base.shop_records import OPEN_STATES
from core.base.times import local_text
from core.base.units import format_shop_size
from core.book import shafts
from core.book.search.find import Found
from core.jobs.find_jobs import find_cards, find_jobs
from core.jobs.intake import new_shaft
from core.jobs.next_visit import begin_next_visit, open_job_on, scrapped_in
from tui.base.commands import Command, verb
from tui.screens.base.job_text import shaft_words
from tui.screens.board.old_card import cards_below, is_card, open_card, shaft_rows
from tui.screens.board.searching import SearchingScreen
from tui.widgets.list_box import Column, ListBox, ListRow
from tui.widgets.menu import MenuItem


class NewJobScreen(SearchingScreen):
    """Known shafts as typed; Enter takes one, F4 goes on with a new customer."""

    HEADING = "New job"
    HOW_TO = (
        "Type three letters of the customer, the vessel, the phone number or an old tag. Shafts "
        "that were here before are listed; Enter takes the chosen one with all its data. When it "
        "is a new one, F4 asks for its size."
    )
    ACTIONS: ClassVar[tuple[Command, ...]] = (
        verb("act", "new_customer", "New shaft", "None of these: a new shaft"),
    )
    PROMPT = "Whose shaft? "
    PLACEHOLDER = "customer, vessel, phone or old tag"
    COLUMNS = (
        Column("Customer", 15, stretch=True),
        Column("Phone", 12),
        Column("Vessel, shaft"),
        Column("Diameter", 9),
        Column("Last visit", 16),
    )
    EMPTY = "Not known here. F4: a shaft that was never here."
    NOTHING_TYPED = "No shaft in the book yet. F4: a shaft that was never here."

    def __init__(self) -> None:
        super().__init__()
        self.found: dict[str, Found] = {}

    def refresh_view(self) -> None:
        """Search again; remind of an intake that was left half-way."""
        super().refresh_view()
        draft = new_shaft.load(self.book)
        if any(draft.values()):
            who = draft.get("customer") or draft.get("vessel") or "no name yet"
            self.say(f"An intake was left half-way ({who}): F4 goes on with it.")

    def rows_for(self, words: str) -> Sequence[ListRow]:
        """Known shafts for what has been typed so far."""
        found = find_jobs(self.book, words, one_per_shaft=True, counted=False).found
        self.found = {one.job_id: one for one in found}
        cards = shaft_rows(find_cards(self.book, words))
        self.say(cards_below(len(cards)))
        return [*(_row(one) for one in found), *cards]

    def take_line(self) -> None:
        """Enter takes the row under the cursor; with none it is a new customer."""
        if self.box.rows:
            self.box.action_choose()
        else:
            self.action_new_customer()

    def on_list_box_chosen(self, event: ListBox.Chosen) -> None:
        """Ask which shaft of this customer it is; an old card brings what it says."""
        if is_card(event.row.name):
            with self.in_words():
                open_card(self, event.row.name)
            return
        one = self.found[event.row.name]
        question = f"{one.customer_name}, {shaft_words(one.vessel_name, one.position)}"
        self.ask_which(question, self._answers(one), self._answer)

    def _answers(self, one: Found) -> tuple[MenuItem, ...]:
        here, scrapped = open_job_on(self.book, one.shaft_id), scrapped_in(self.book, one.shaft_id)
        words = "This shaft again: new job with all its data"
        if here:
            words = f"This shaft: its job {here.tag} is open, go to it"
        elif scrapped:
            words = f"A new bar in its place: the old one is scrap since {scrapped.tag}"
        return (
            MenuItem("same", words),
            MenuItem("shaft", "Another shaft of the same vessel"),
            MenuItem("vessel", "Another vessel of the same customer"),
        )

    def _answer(self, name: str | None) -> None:
        chosen = self.chosen()
        if name is None or chosen is None:
            return
        one = self.found[chosen]
        with self.in_words():
            if name == "same":
                self._same_shaft(one)
                return
            vessel_id = shafts.shaft(self.book, one.shaft_id).vessel_id
            known = new_shaft.for_same_customer(self.book, vessel_id, with_vessel=name == "shaft")
            self.context.go("new_customer", known=known)

    def _same_shaft(self, one: Found) -> None:
        here = open_job_on(self.book, one.shaft_id)
        words = ""
        if here is None:
            here, words = begin_next_visit(self.book, one.job_id)
        self.context.back_to_board()
        self.context.go("card", here.id)
        if words:
            self.context.go("intake", here.id)
            self.context.say(words)

    def action_new_customer(self) -> None:
        """F4: go on with the draft, or a new one with what was typed as the beginning of a name."""
        draft, start_at = new_shaft.load(self.book), ""
        if not any(draft.values()):
            typed = self.line.value.strip()
            if typed and not self.box.rows and not typed[0].isdigit():
                draft, start_at = {"customer": typed}, "customer"
        self.context.go("new_customer", known=draft, start_at=start_at)


def _row(one: Found) -> ListRow:
    last = f"{one.tag}, {local_text(one.opened_at, '%b %Y')}"
    where = shaft_words(one.vessel_name, one.position)
    cells = (one.customer_name, one.phone, where, format_shop_size(one.diameter_in), last)
    return ListRow(one.job_id, cells, strong=one.state in OPEN_STATES)
