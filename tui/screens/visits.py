"""All visits of one shaft: when it came, why, and how it left."""

from __future__ import annotations

from typing import ClassVar

from textual.app import ComposeResult
from textual.widgets import Static

from core.book import jobs
from core.book.ids import local_text
from core.book.records import OPEN_STATES, Job
from core.units import format_thou
from tui.keys import Command
from tui.screens.base import JobScreen
from tui.visit_rows import VisitFigures, figures_of
from tui.widgets.list_box import Column, ListBox, ListRow
from tui.widgets.plain import plain

COLUMNS = (
    Column("Tag", 8),
    Column("Came in", 11),
    Column("Left", 11),
    Column("State", 8),
    Column("TIR came", 10, right=True),
    Column("TIR left", 10, right=True),
    Column("Complaint"),
)


class VisitsScreen(JobScreen):
    """The visits, newest first, and the notes of the chosen one."""

    HEADING = "Visits of this shaft"
    HOW_TO = (
        "Every visit of this shaft, the newest first, with the greatest TIR of its first and of "
        "its last full sweep. Enter opens a visit: an old one for reading "
        "only. F4 starts a new job on this shaft with size, areas and rollers as last time."
    )
    COMMANDS: ClassVar[tuple[Command, ...]] = (
        Command("same_shaft", ("f4",), "New job", "A new job on this shaft"),
        Command("shape", ("f5",), "Shape", "The shape of the shaft at the chosen visit"),
    )
    DEFAULT_CSS = """
    VisitsScreen #visit-notes { height: 8; border-top: solid $foreground; }
    """

    def __init__(self, job_id: str) -> None:
        super().__init__(job_id)
        self.visits: dict[str, Job] = {}
        self.figures: dict[str, VisitFigures] = {}

    def body(self) -> ComposeResult:
        """List and notes."""
        yield ListBox(COLUMNS)
        yield Static(id="visit-notes")

    def refresh_view(self) -> None:
        """Read the visits."""
        shaft_id = jobs.job(self.app.book, self.job_id).shaft_id
        self.visits = {job.id: job for job in jobs.jobs_of_shaft(self.app.book, shaft_id)}
        self._show_rows()
        self._show_notes()
        self.later(self._work_out_next)

    def _show_rows(self) -> None:
        rows = [_row(job, self.figures.get(job.id)) for job in self.visits.values()]
        self.query_one(ListBox).show(rows)

    def _work_out_next(self) -> None:
        """The figures of one visit after the other, so that no key has to wait for all."""
        left = next((job_id for job_id in self.visits if job_id not in self.figures), None)
        if left is not None and self.is_current:
            self.figures[left] = figures_of(self.app.book, left)
            self._show_rows()
            self.later(self._work_out_next)

    def on_list_box_moved(self) -> None:
        """Another visit is under the cursor."""
        self._show_notes()

    def _show_notes(self) -> None:
        chosen = self.query_one(ListBox).chosen
        if chosen is None:
            return
        job = self.visits[chosen.name]
        notes = jobs.notes_of(self.app.book, job.id)
        lines = [f"{local_text(n.at, '%d %b %Y')}  {n.text}" for n in notes[-6:]]
        head = f"{job.tag}: {len(notes)} notes" if notes else f"{job.tag}: no notes"
        self.query_one("#visit-notes", Static).update(plain("\n".join([head, *lines])))

    def on_list_box_chosen(self, event: ListBox.Chosen) -> None:
        """Open a visit."""
        self.app.open_job(event.row.name)

    def action_shape(self) -> None:
        """F5."""
        chosen = self.query_one(ListBox).chosen
        if chosen is not None:
            self.app.go("plot", chosen.name)

    def action_same_shaft(self) -> None:
        """F4."""
        from tui.intake_draft import job_on_same_shaft

        with self.in_words():
            here = next((j for j in self.visits.values() if j.state in OPEN_STATES), None)
            job_id = here.id if here else job_on_same_shaft(self.app.book, self.job_id)
            self.app.back_to_board()
            self.app.open_job(job_id)
            if here:
                self.app.say("This shaft is in the shop already: here is its open job.")


def _row(job: Job, figures: VisitFigures | None) -> ListRow:
    left = local_text(job.closed_at, "%d %b %Y") if job.closed_at else ""
    cells = (
        job.tag,
        local_text(job.opened_at, "%d %b %Y"),
        left,
        job.state,
        _thou(figures.came_in) if figures else "..",
        _thou(figures.left_in) if figures else "..",
        job.complaint,
    )
    return ListRow(job.id, cells, strong=job.state in OPEN_STATES)


def _thou(tir_in: float | None) -> str:
    return "" if tir_in is None else format_thou(tir_in)
