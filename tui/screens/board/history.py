"""F3: every job ever done, found as typed from the first letter, newest first."""

from __future__ import annotations

from collections.abc import Sequence
from typing import ClassVar

from core.base.records import OPEN_STATES
from core.book import jobs
from core.book.search import find as search
from core.jobs.next_visit import begin_next_visit, open_job_on
from tui.base.commands import Command, verb
from tui.screens.board.search_rows import COLUMNS, found_rows
from tui.screens.board.searching import SearchingScreen
from tui.widgets.list_box import ListBox, ListRow
from tui.widgets.menu import MenuItem


class HistoryScreen(SearchingScreen):
    """A search line, the jobs found, and a line on what was matched."""

    HEADING = "Find in history"
    HOW_TO = (
        "Type anything known about a job: customer, vessel, phone (the last four digits will do), "
        "tag, material, size, or a word of a note. The list follows each key. Up and Down choose, "
        "Enter opens. An old job opens for reading; or its shaft gets a new job."
    )
    ACTIONS: ClassVar[tuple[Command, ...]] = (
        verb("data", "visits", "Visits", "All visits of the chosen shaft"),
        verb("act", "same_shaft", "New job", "A new job on the chosen shaft"),
        verb("more", "more", "More", "Corrections on the chosen job; delete personal data"),
    )
    PLACEHOLDER = "customer, vessel, phone, tag, material, a word of a note"
    COLUMNS = COLUMNS

    def rows_for(self, words: str) -> Sequence[ListRow]:
        """Jobs for what has been typed so far."""
        found = search.find(self.book, words)
        if found and found[0].how == "nearly":
            self.say("Nothing is written just like that; these come near.")
        else:
            self.say("The newest jobs. Type to search." if found and not words.strip() else "")
        return found_rows(found)

    def on_list_box_chosen(self, event: ListBox.Chosen) -> None:
        """An open job opens; for an old one, ask what is wanted."""
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

    def action_visits(self) -> None:
        """F6."""
        chosen = self.chosen()
        if chosen is not None:
            self.context.go("visits", chosen)

    def action_same_shaft(self) -> None:
        """F4."""
        chosen = self.chosen()
        if chosen is not None:
            self._start_on(chosen)

    def action_more(self) -> None:
        """F7."""
        if self.chosen() is not None:
            self.ask_which("What about the chosen job?", _MORE, self._more)

    def _more(self, name: str | None) -> None:
        chosen = self.chosen()
        if name is not None and chosen is not None:
            self.context.go(name, chosen)

    def action_find(self) -> None:
        """F3 on the search empties it."""
        self.line.value = ""


_OLD = (
    MenuItem("read", "Read it (nothing can be changed)"),
    MenuItem("visits", "See all visits of this shaft"),
    MenuItem("new", "Start a new job on the same shaft"),
)
_MORE = (
    MenuItem("changes", "What was corrected on it, when, by whom"),
    MenuItem("erase", "Delete the customer's personal data"),
)
