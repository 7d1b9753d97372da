"""What was corrected on a job, its shaft and its owner: when, by whom, old and new."""

from __future__ import annotations

from typing import ClassVar

from textual.app import ComposeResult
from textual.widgets import Static

from core.base.counting import many
from core.base.times import local_text
from core.book import changes
from core.book.changes import LoggedChange
from tui.base.commands import Command, verb
from tui.screens.base.screen import JobScreen
from tui.widgets.list_box import Column, ListBox, ListRow
from tui.widgets.plain import plain

COLUMNS = (
    Column("When", 16),
    Column("Who", 9, stretch=True),
    Column("What", 19, stretch=True),
    Column("Old"),
    Column("New"),
)
GROUPS = {
    "": "Job, shaft, vessel and customer",
    "job": "This job",
    "shaft": "The shaft and its riding areas",
    "owner": "Customer and vessel",
    "shop": "The shop's settings (limits, rule, gauge)",
}
"""What F4 goes through."""
VALUE_LENGTH = 300
"""Characters of a value shown in full below the list."""


class ChangesScreen(JobScreen):
    """The list, newest first, and the chosen change in full."""

    HEADING = "Changes"
    HOW_TO = (
        "Every change of what was entered before: when, at which bench, what it was and what it "
        "is now. Nothing here can be changed or deleted; a mistake is put right where it was "
        "entered, and that shows here too. Readings that were mended keep their first value. F4 "
        "shows less: the job, the shaft, the owner, or the shop's settings, such as limits."
    )
    ACTIONS: ClassVar[tuple[Command, ...]] = (
        verb("act", "about", "About", "Job, shaft, owner or the shop's settings only"),
        verb("more", "erase", "Delete data", "Delete the customer's personal data"),
    )
    DEFAULT_CSS = """
    ChangesScreen #about { height: 1; text-style: bold; }
    ChangesScreen ListBox { height: 1fr; }
    ChangesScreen #in-full { height: 6; border-top: solid $foreground; }
    """

    def __init__(self, job_id: str) -> None:
        super().__init__(job_id)
        self.group = ""
        self.found: dict[str, LoggedChange] = {}

    def body(self) -> ComposeResult:
        """What it is about, list, the chosen one."""
        yield Static(id="about")
        yield ListBox(COLUMNS, empty="Nothing was changed.")
        yield Static(id="in-full")

    def refresh_view(self) -> None:
        """Read the log."""
        found = changes.changes_of(self.book, self.job_id, self.group)
        self.found = {change.id: change for change in found}
        count = "no change" if not found else f"{many(len(found), 'change')}, the newest first"
        self.query_one("#about", Static).update(plain(f"{GROUPS[self.group]}: {count}"))
        self.query_one(ListBox).show([_row(change) for change in self.found.values()])
        self._show_in_full()

    def on_list_box_moved(self) -> None:
        """Another change is under the cursor."""
        self._show_in_full()

    def _show_in_full(self) -> None:
        row = self.query_one(ListBox).chosen
        words = in_full(self.found[row.name]) if row is not None else ""
        self.query_one("#in-full", Static).update(plain(words))

    def on_list_box_chosen(self) -> None:
        """Enter: nothing opens; where to go instead."""
        self.say("A change is put right where it was entered: F10 shows the steps of the job.")

    def action_about(self) -> None:
        """F4."""
        names = list(GROUPS)
        self.group = names[(names.index(self.group) + 1) % len(names)]
        with self.in_words():
            self.refresh_view()

    def action_erase(self) -> None:
        """F7."""
        self.context.go("erase", self.job_id)


def _row(change: LoggedChange) -> ListRow:
    what = f"{change.thing} {change.field}" if change.group != "shop" else change.field
    at = local_text(change.at, "%d %b %y %H:%M")
    return ListRow(change.id, (at, change.by, what, change.old, change.new))


def in_full(change: LoggedChange) -> str:
    """All words of one change."""
    who = f", {change.by}" if change.by else ""
    return "\n".join(
        (
            f"{local_text(change.at, '%d %b %Y %H:%M:%S')}{who}",
            f"{change.thing}: {change.field}",
            f"Old: {_shown(change.old)}",
            f"New: {_shown(change.new)}",
        )
    )


def _shown(text: str) -> str:
    """A long text cut, and said so; an empty one said too."""
    line = " / ".join(text.splitlines())
    return f"{line[:VALUE_LENGTH]} ..." if len(line) > VALUE_LENGTH else line or "(empty)"
