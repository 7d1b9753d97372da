"""Fields that both books changed, settled one by one."""

from __future__ import annotations

from collections.abc import Sequence
from typing import ClassVar

from textual.app import ComposeResult
from textual.widgets import Static

from core.book.upkeep.conflicts import Conflict, settle
from tui.base.commands import Command
from tui.screens.base.screen import ShopScreen
from tui.widgets.list_box import Column, ListBox, ListRow
from tui.widgets.menu import MenuItem
from tui.widgets.plain import plain

COLUMNS = (
    Column("What", 18),
    Column("Field", 12),
    Column("Counts"),
    Column("The other"),
    Column("Settled", 8),
)


class ConflictsScreen(ShopScreen):
    """The list; Enter asks which of the two counts."""

    HEADING = "Changed in both books"
    HOW_TO = (
        "So far the entry made later counts. Enter on a line asks which of the two shall count. "
        "A field left unsettled is listed again the next time a book is taken in. Both entries "
        "stay in the log either way."
    )
    ACTIONS: ClassVar[tuple[Command, ...]] = ()
    DEFAULT_CSS = """
    ConflictsScreen ListBox { height: 1fr; }
    ConflictsScreen #both { height: 6; border-top: solid $foreground; }
    """

    def __init__(self, conflicts: Sequence[Conflict]) -> None:
        super().__init__()
        self.conflicts = tuple(conflicts)
        self.settled: dict[int, str] = {}
        """Number of the conflict -> 'counts' or 'other'."""

    def body(self) -> ComposeResult:
        """List, and the chosen one in full."""
        yield ListBox(COLUMNS)
        yield Static(id="both")

    def refresh_view(self) -> None:
        """Show which are settled."""
        self.query_one(ListBox).show([self._row(n) for n in range(len(self.conflicts))])
        self._explain()

    def _row(self, number: int) -> ListRow:
        one, answer = self.conflicts[number], self.settled.get(number, "")
        what = f"{one.table.replace('_', ' ')} {one.name}"
        cells = (what, one.field.replace("_", " "), one.counts, one.other, answer)
        return ListRow(str(number), cells, strong=not answer)

    def on_list_box_moved(self) -> None:
        """The one under the cursor, in full."""
        self._explain()

    def _explain(self) -> None:
        row = self.query_one(ListBox).chosen
        if row is not None:
            one = self.conflicts[int(row.name)]
            left = len(self.conflicts) - len(self.settled)
            words = f"Counts: {one.counts[:300]}\nOther:  {one.other[:300]}\n{left} to settle."
            self.query_one("#both", Static).update(plain(words))

    def on_list_box_chosen(self, event: ListBox.Chosen) -> None:
        """Ask which counts."""
        number = int(event.row.name)
        one = self.conflicts[number]
        if number in self.settled:
            self.say("Settled already. It can be changed where it is entered.")
            return
        items = (
            MenuItem("counts", f"Leave it: {one.counts[:60]}"),
            MenuItem("other", f"Take the other: {one.other[:60]}"),
        )
        question = f"{one.table.replace('_', ' ')} {one.name}: which {one.field.replace('_', ' ')}?"
        self.ask_which(question, items, lambda take: self._settle(number, take))

    def _settle(self, number: int, take: str | None) -> None:
        if take is None:
            return
        with self.in_words():
            settle(self.book, self.conflicts[number], take=take)
            self.settled[number] = take
            self.refresh_view()
            done = "All are settled." if len(self.settled) == len(self.conflicts) else "Settled."
            self.say(done, "done")
