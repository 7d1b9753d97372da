"""The board: all open jobs, what is next on each, search as typed, and the way to a new job."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from typing import ClassVar

from core.jobs.intake.due import by_due, day_of, due_words, is_late, short_due
from tui.base.commands import Command, verb
from tui.screens.board.board_rows import NumberedJob, open_rows
from tui.screens.board.searching import OLD_CARD, SearchingScreen
from tui.widgets.list_box import Column, ListBox, ListRow


class BoardScreen(SearchingScreen):
    """Open jobs with two-digit numbers and the next step of each."""

    HEADING = "Shaftlog: open jobs"
    HOW_TO = (
        "All shafts in the shop, each with the step that comes next. Type the two digits of the "
        "first column and Enter to open a job; from any other screen F2 and the two digits. Or "
        "type anything known about a job, old or new (customer, vessel, phone, tag): the list "
        "follows, Enter opens the marked row. 'If good' before a step: the card judges first."
    )
    ACTIONS: ClassVar[tuple[Command, ...]] = (
        verb("act", "new_job", "New job", "A shaft comes in: start its job"),
        verb("more", "order", "By due", "Earliest due first, or by number again"),
        verb("data", "figures", "Figures", "Figures of the shop: who waits, hours, response"),
        verb("setup", "settings", "Settings", "Limits, dial, press, prices"),
        verb("finish", "leave", "Leave", "Leave Shaftlog; everything is stored"),
        verb("back", "back", "Back", "Empty the search line", footer=False),
    )
    PLACEHOLDER = "No of a job, customer, vessel, phone or tag; Enter opens the row"
    COLUMNS = (
        Column("No", 2),
        Column("Tag", 7),
        Column("Vessel, shaft"),
        Column("Customer", 13, stretch=True),
        Column("Due", 6, narrow=True),
        Column("Due", 25, wide=True),
        Column("Next step"),
    )

    by_due = False
    """Whether the job due first is at the top."""
    planned = False
    """Whether the planned penetrant areas are counted: not in the very first picture."""

    def refresh_view(self) -> None:
        """The open jobs; their penetrant areas a moment later the first time."""
        super().refresh_view()
        if not self.planned:
            self.later(self._count_areas)

    def _count_areas(self) -> None:
        self.planned = True
        with self.in_words():
            super().refresh_view()

    def rows_for(self, words: str) -> Sequence[ListRow]:
        """The open jobs, or what was found among all jobs."""
        if words.strip():
            from core.jobs.find_jobs import find_cards, find_jobs
            from tui.screens.board.old_card import board_card_rows, cards_below
            from tui.screens.board.search_rows import board_rows

            page = find_jobs(self.book, words, counted=False)
            cards = find_cards(self.book, words)
            more = "There are more. F3 counts and lists them all." if page.at_least else ""
            self.say(f"{more} {cards_below(len(cards))}".strip())
            self.box.empty = "Nothing found. F4 starts a job for a new customer."
            own = self._numbered(words.strip())
            names = {row.name for row in own}
            others = (row for row in board_rows(page.found) if row.name not in names)
            return [*own, *others, *board_card_rows(cards)]
        self.box.empty = (
            "No job is open. F4 starts one when a shaft comes in; F8 has a practice shaft."
        )
        jobs = open_rows(self.book, planned=self.planned)
        today = day_of(self.book.now())
        if self.by_due:
            jobs = tuple(sorted(jobs, key=lambda one: by_due(one.line.job.due)))
        return [_row(job, today) for job in jobs]

    def _numbered(self, words: str) -> list[ListRow]:
        """Open jobs whose number in the first column begins with the digits typed."""
        if not words.isdecimal() or len(words) > 2:
            return []
        jobs = open_rows(self.book, planned=self.planned)
        today = day_of(self.book.now())
        return [_row(job, today) for job in jobs if job.number.startswith(words)]

    def on_list_box_chosen(self, event: ListBox.Chosen) -> None:
        """Open a job, or an old card."""
        if event.row.name.startswith(OLD_CARD):
            from tui.screens.board.old_card import open_card

            with self.in_words():
                open_card(self, event.row.name)
            return
        self.line.value = ""
        self.context.go("card", event.row.name)

    def action_new_job(self) -> None:
        """F4."""
        self.context.go("new_job")

    def action_order(self) -> None:
        """F7."""
        self.by_due = not self.by_due
        self.refresh_view()
        self.say("Earliest due first; F7: by number again." if self.by_due else "By number.")

    def action_figures(self) -> None:
        """F6."""
        self.context.go("figures")

    def action_settings(self) -> None:
        """F8."""
        self.context.go("settings")

    def action_leave(self) -> None:
        """F12."""
        self.app.exit()

    def action_back(self) -> None:
        """Esc empties the search line; it has nowhere to go from here."""
        if self.line.value:
            self.line.value = ""
        else:
            self.say("This is the board. F12 leaves Shaftlog.")


def _row(job: NumberedJob, today: date) -> ListRow:
    line = job.line
    due, in_full = short_due(line.job.due, today), due_words(line.job.due, today)
    return ListRow(
        line.job.id,
        (job.number, line.job.tag, job.where, line.customer_name, due, in_full, line.next),
        strong=is_late(line.job.due, today),
    )
