"""Shop figures: who waits for what, response, hours and forecasts, how the shafts left."""

from __future__ import annotations

from dataclasses import replace
from typing import ClassVar

from textual.app import ComposeResult
from textual.containers import VerticalScroll
from textual.message import Message
from textual.widgets import Static

from core.base.errors import ShaftlogError
from core.book.connection import Book
from core.jobs.statistics.gather import Known, ShopFigures, bench_figures_of, quick_figures
from core.reports.shop_csv import write_file
from core.reports.shop_pages import due_or_late
from tui.base.commands import Command, verb
from tui.screens.base.screen import ShopScreen
from tui.screens.statistics.statistics_pages import group_lines, page_lines
from tui.widgets.list_box import Column, ListBox, ListRow
from tui.widgets.plain import paper, plain

COLUMNS = (
    Column("Tag", 7),
    Column("Vessel, shaft"),
    Column("Waits for"),
    Column("Next step", 18, wide=True),
    Column("Idle", 6, right=True),
    Column("In shop", 7, right=True, wide=True),
    Column("Due", 15),
)

REST_S = 5.0
"""After it has worked the figures out it leaves the machine alone for so long, however much other
benches enter."""


class FiguresScreen(ShopScreen):
    """Four pages; the jobs waiting come first because they can be done something about."""

    HEADING = "Shop figures"
    HOW_TO = (
        "What all jobs say together. 1 shows the open jobs and what each waits for, those that "
        "wait for somebody outside first; Enter opens one. 2: how much of the angle asked for a "
        "hit takes out. 3: bench hours for a hit, and forecasts against what the jobs took. 4: "
        "repaired against replaced. PgUp and PgDn scroll. Each figure says how many cases it rests "
        "on and how it is measured; few cases are called few."
    )
    ACTIONS: ClassVar[tuple[Command, ...]] = (
        Command("waiting", ("1",), "Waits", "Jobs waiting, and for whom"),
        Command("response", ("2",), "Response", "What a hit takes out, by material and method"),
        Command("hours", ("3",), "Hours", "Hours per hit; forecast against what it took"),
        Command("outcome", ("4",), "Outcome", "How the shafts left: repaired against replaced"),
        verb("finish", "write", "File", "Write all figures to a CSV file beside the book"),
    )
    DEFAULT_CSS = """
    FiguresScreen #groups { height: auto; padding: 0 0 1 0; }
    FiguresScreen VerticalScroll { height: 1fr; }
    """

    class Counted(Message):
        """Figures from the thread; the bench figures may still be missing."""

        def __init__(self, shop: ShopFigures) -> None:
            super().__init__()
            self.shop = shop

    class Progress(Message):
        """So many jobs of so many have been followed."""

        def __init__(self, done: int, of: int) -> None:
            super().__init__()
            self.done, self.of = done, of

        def can_replace(self, message: Message) -> bool:
            """Only the newest counts."""
            return isinstance(message, FiguresScreen.Progress)

    class Ended(Message):
        """The thread is through; words if it could not."""

        def __init__(self, trouble: str = "") -> None:
            super().__init__()
            self.trouble = trouble

    def __init__(self) -> None:
        super().__init__()
        self.page = "waiting"
        self.shop: ShopFigures | None = None
        self.known: Known = {}
        self.busy = "Reading the book ..."
        """What is going on, in words; shown where figures are missing."""
        self.working = self.again = self.cancelled = False
        """`working` lasts until the rest after the work is over."""

    def body(self) -> ComposeResult:
        """Groups and list of the waiting, or a page of text."""
        yield Static(id="groups")
        yield ListBox(COLUMNS, empty="Reading the book ...")
        with VerticalScroll():
            yield Static(id="page")

    def refresh_view(self) -> None:
        """Work the figures out, on a thread; once more after that when the book has changed."""
        self._show()
        if self.working:
            self.again = True
            return
        self.working = True
        book, known = self.book, self.known
        self.run_worker(lambda: self._work(book, known), thread=True)

    # -- on the thread -----------------------------------------------------------------------------

    def _progress(self, done: int, of: int) -> None:
        self.post_message(self.Progress(done, of))

    def _work(self, book: Book, known: Known) -> None:
        try:
            with book.reopen(read_only=True) as own:
                quick = quick_figures(own)
                self.post_message(self.Counted(quick))
                bench = bench_figures_of(
                    own,
                    known,
                    progress=self._progress,
                    cancelled=lambda: self.cancelled,
                )
            if bench is not None:
                self.post_message(self.Counted(replace(quick, bench=bench)))
            self.post_message(self.Ended())
        except ShaftlogError as error:
            self.post_message(self.Ended(str(error)))

    def on_unmount(self) -> None:
        """Figures nobody waits for are not worked out."""
        self.cancelled = True

    # -- what it shows --------------------------------------------------------------------------

    def on_figures_screen_counted(self, event: Counted) -> None:
        """Show them; until new bench figures are there the earlier ones stay."""
        shop = event.shop
        if shop.bench is None and self.shop is not None:
            shop = replace(shop, bench=self.shop.bench)
        self.shop = shop
        self._show()

    def on_figures_screen_progress(self, event: Progress) -> None:
        """Words in the place of the figures that are missing."""
        self.busy = f"Following the jobs through their rounds: {event.done} of {event.of} ..."
        if self.shop is None or self.shop.bench is None:
            self._show_page()

    def on_figures_screen_ended(self, event: Ended) -> None:
        """Say what went wrong; after a rest begin again when the book has changed meanwhile."""
        self.busy = event.trouble
        if event.trouble:
            self.say(event.trouble, "stop")
            self._show()
        self.set_timer(REST_S, self._rested)

    def _rested(self) -> None:
        self.working = False
        if self.again and self.is_current:
            self.again = False
            self.refresh_view()

    # -- showing -----------------------------------------------------------------------------------

    def _show(self) -> None:
        waiting = self.page == "waiting"
        self.query_one("#groups").display = waiting
        box, scroll = self.query_one(ListBox), self.query_one(VerticalScroll)
        box.display, scroll.display = waiting, not waiting
        if self.focused is not (box if waiting else scroll):
            self.set_focus(box if waiting else scroll)
        if waiting:
            self._show_waiting()
        else:
            self._show_page()

    def _show_waiting(self) -> None:
        words, box = self.query_one("#groups", Static), self.query_one(ListBox)
        if self.shop is None:
            words.update(plain(self.busy))
            box.empty = ""
            return
        words.update(paper("\n".join(group_lines(self.shop.waiting, self.size))))
        box.empty = "F4 on the board starts a job."
        box.show(
            [
                ListRow(
                    job.job_id,
                    (
                        job.tag,
                        job.where,
                        job.waits_for,
                        job.step,
                        f"{job.idle_days:.0f} d",
                        f"{job.in_shop_days:.0f} d",
                        due_or_late(job),
                    ),
                    strong=job.outside,
                )
                for job in self.shop.waiting
            ]
        )

    def _show_page(self) -> None:
        if self.page == "waiting":
            return
        lines = page_lines(self.page, self.shop, self.size) or [self.busy]
        self.query_one("#page", Static).update(paper("\n".join(lines)))

    def on_resize(self) -> None:
        """Bars as long as the window allows."""
        if self.is_mounted:
            self._show()

    def on_list_box_chosen(self, event: ListBox.Chosen) -> None:
        """Open a job."""
        self.context.go("card", event.row.name)

    # -- keys --------------------------------------------------------------------------------------

    def action_waiting(self) -> None:
        """1."""
        self._turn_to("waiting")

    def action_response(self) -> None:
        """2."""
        self._turn_to("response")

    def action_hours(self) -> None:
        """3."""
        self._turn_to("hours")

    def action_outcome(self) -> None:
        """4."""
        self._turn_to("outcome")

    def _turn_to(self, page: str) -> None:
        self.page = page
        self.query_one(VerticalScroll).scroll_home(animate=False)
        self._show()

    def action_write(self) -> None:
        """F12."""
        with self.in_words():
            if self.shop is None or self.shop.bench is None:
                raise ShaftlogError(f"The figures are not ready yet. {self.busy}")
            place = write_file(self.shop, self.book.path.parent)
            self.say(f"Written: {place}", "done")
