"""The sweeps of a job: choose one to look at or to read on."""

from __future__ import annotations

from collections.abc import Callable

from textual.app import ComposeResult

from core.base.records import Sweep
from core.base.times import local_text
from core.book import sweeps
from core.book.readings import readings_of
from tui.screens.base.screen import JobScreen
from tui.widgets.list_box import Column, ListBox, ListRow

COLUMNS = (
    Column("Started", 17),
    Column("Purpose", 13),
    Column("Read", 9, right=True),
    Column("State", 10),
    Column("By, gauge"),
)


class SweepListScreen(JobScreen):
    """Newest first; Enter opens."""

    HEADING = "Sweeps of this job"
    HOW_TO = "Choose a sweep with Up and Down; Enter opens it where it stopped."

    def __init__(self, job_id: str, then: Callable[[str], None]) -> None:
        super().__init__(job_id)
        self.then = then
        """Called with the id of the sweep chosen."""

    def body(self) -> ComposeResult:
        """The list."""
        yield ListBox(COLUMNS, empty="No sweep yet. Esc goes back; F12 there starts one.")

    def refresh_view(self) -> None:
        """Read the sweeps."""
        book = self.book
        found = sweeps.sweeps_of(book, self.job_id)
        rows = [_row(s, len(readings_of(book, s.id))) for s in reversed(found)]
        self.query_one(ListBox).show(rows)

    def on_list_box_chosen(self, event: ListBox.Chosen) -> None:
        """Open it."""
        self.context.back()
        self.then(event.row.name)


def _row(sweep: Sweep, taken: int) -> ListRow:
    state = "finished" if sweep.finished_at else "open"
    who = ", ".join(part for part in (sweep.measured_by, sweep.gauge) if part)
    return ListRow(sweep.id, (local_text(sweep.started_at), sweep.purpose, str(taken), state, who))
