"""F2: the open jobs in a box; the two digits of a job open it at once."""

from __future__ import annotations

from typing import ClassVar

from textual import events
from textual.app import ComposeResult
from textual.containers import Vertical
from textual.content import Content
from textual.widgets import Static

from core.base.errors import ShaftlogError
from tui.base.commands import Command, commands_of, verb
from tui.screens.base.box import Box
from tui.screens.board.board_rows import NumberedJob, open_rows
from tui.widgets.footer import KeyLine
from tui.widgets.list_box import Column, ListBox, ListRow
from tui.widgets.plain import plain


class JumpScreen(Box[None]):
    """Opens the card of the job chosen."""

    HEADING = "Open jobs"
    HOW_TO = (
        "Type the two digits in front of a job: its card opens at once. Or choose the job with Up "
        "and Down and press Enter. Backspace takes a wrong digit back."
    )
    ACTIONS: ClassVar[tuple[Command, ...]] = (
        verb("back", "close", "Back", "Close this box and stay where you are", also=("f2",)),
    )
    AUTO_FOCUS = "ListBox"
    DEFAULT_CSS = """
    JumpScreen { align: center middle; }
    JumpScreen > Vertical {
        width: 74; max-width: 100%; height: 20; max-height: 100%;
        border: double $foreground; background: $background; padding: 0 1;
    }
    JumpScreen Static { height: 1; }
    """

    def __init__(self) -> None:
        super().__init__()
        self.typed = ""
        self.jobs: tuple[NumberedJob, ...] = ()

    def compose(self) -> ComposeResult:
        """Words, list, keys."""
        with Vertical():
            yield Static(Content("Type the two digits of a job, or choose it and press Enter."))
            yield ListBox(
                (Column("No", 2), Column("Tag", 8), Column("Vessel, shaft"), Column("Next", 24)),
                empty="No job is open. F4 on the board starts one.",
            )
            yield KeyLine(commands_of(type(self)))

    def on_mount(self) -> None:
        """Read the open jobs."""
        try:
            self.jobs = open_rows(self.context.book)
        except ShaftlogError as error:
            self._say(str(error))
        rows = [
            ListRow(r.line.job.id, (r.number, r.line.job.tag, r.where, r.line.next))
            for r in self.jobs
        ]
        self.query_one(ListBox).show(rows)

    def on_key(self, event: events.Key) -> None:
        """Collect two digits."""
        if event.character and event.character in "0123456789":
            event.stop()
            self._digit(event.character)
        elif event.key == "backspace":
            self.typed = ""
            self._say("Type the two digits of a job, or choose it and press Enter.")

    def _digit(self, digit: str) -> None:
        self.typed += digit
        if len(self.typed) < 2:
            self._say(f"Job {self.typed}_")
            return
        found = next((r.line.job.id for r in self.jobs if r.number == self.typed), None)
        if found is not None:
            self._open(found)
            return
        self._say(f"No open job has the number {self.typed}. Type two digits again.")
        self.typed = ""

    def _open(self, job_id: str) -> None:
        self.context.back()
        self.context.go("card", job_id)

    def _say(self, words: str) -> None:
        self.query_one(Static).update(plain(words))

    def on_list_box_chosen(self, event: ListBox.Chosen) -> None:
        """Enter on a row."""
        self._open(event.row.name)
