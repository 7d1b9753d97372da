"""All visits of one shaft in one view: how it came, what was done, and what comes back."""

from __future__ import annotations

from collections.abc import Sequence
from functools import partial
from typing import TYPE_CHECKING, ClassVar

from textual.app import ComposeResult
from textual.containers import Vertical

from core.base.shop_records import Job
from core.book import jobs
from core.book.cards.old_cards import cards_of_shaft
from core.book.settings import load
from core.jobs.card_import.card_words import visit_on_card
from core.jobs.next_visit import begin_next_visit, open_job_on
from core.jobs.sweep.sweep_entry import dial_unit
from tui.base.commands import HIGH_ROWS, WIDE_COLUMNS, Command, verb
from tui.screens.base.screen import JobScreen
from tui.screens.board.visit_text import chapters_of, clock_words, columns, row_of
from tui.widgets.canvas import LineView
from tui.widgets.chapters import ChapterView, ShownChapter
from tui.widgets.chart import ChartView
from tui.widgets.list_box import ListBox
from tui.widgets.menu import MenuItem

if TYPE_CHECKING:
    from core.book.connection import Book
    from core.jobs.visits import Returned, VisitSummary
    from tui.screens.shape.plot_data import Choice, PlotData

MOST_ROWS = 8
Pair = tuple["VisitSummary", "VisitSummary"]
"""The visit of now and one of then."""
_LOOK = (
    MenuItem("then", "Runout of the chosen visit laid over that of the newest"),
    MenuItem("plot", "Shape of the shaft at the chosen visit"),
    MenuItem("wear", "Diameters and wear at the riding areas"),
)


class VisitsScreen(JobScreen):
    """The visits, newest first, and all about the chosen one."""

    HEADING = "Visits of this shaft"
    HOW_TO = (
        "Every visit of this shaft, the newest first: the worst TIR as it came and as it left, the "
        "hits, the bends it came with. Below, the chosen visit is compared with those before "
        "it: a bend at an old place, how often chance alone would do that, what it usually means, "
        "and the wear at the riding areas. F6, 1 lays the runout of the chosen visit under that of "
        "the newest one (on the newest: of its best match), on its supports. Enter opens a visit: "
        "an old one for reading only. F4 starts a new job with size, areas and rollers as last "
        "time."
    )
    ACTIONS: ClassVar[tuple[Command, ...]] = (
        verb("act", "same_shaft", "New job", "A new job on this shaft"),
        verb("data", "look", "Look", "Shape of the chosen visit, then and now, wear"),
        verb("more", "more", "Words", "All about the chosen visit, page by page"),
    )
    AUTO_FOCUS = "ListBox"
    DEFAULT_CSS = """
    VisitsScreen ChapterView { border-top: solid $foreground; }
    VisitsScreen #laid-over { display: none; height: 2fr; border-top: solid $foreground; }
    VisitsScreen.-wide.-high #laid-over { display: block; }
    VisitsScreen #laid-over ChartView { height: 1fr; }
    """

    def __init__(self, job_id: str) -> None:
        super().__init__(job_id)
        self.visits: dict[str, Job] = {}
        self.returned: dict[str, Returned] = {}
        """Each visit compared with those before it, by the id of its job."""
        self.laid_over: Choice | None = None
        """The picture asked for since the visits were read."""

    def body(self) -> ComposeResult:
        """List and words; where there is room the runout of then over that of now."""
        yield ListBox(columns())
        with Vertical(id="laid-over"):
            yield LineView()
            yield ChartView()
        yield ChapterView()

    def refresh_view(self) -> None:
        """Read the visits; what their sweeps say comes from another thread."""
        shaft_id = jobs.job(self.book, self.job_id).shaft_id
        self.visits = {job.id: job for job in jobs.jobs_of_shaft(self.book, shaft_id)}
        self._show_rows()
        draw = self.roomy
        self.in_background(
            partial(look_back, visits=tuple(self.visits), chosen=self._chosen_name, draw=draw),
            self._show_returned,
        )

    @property
    def roomy(self) -> bool:
        """Whether there is room for a picture; known before the first layout."""
        return self.app.size.width >= WIDE_COLUMNS and self.app.size.height >= HIGH_ROWS

    @property
    def _chosen_name(self) -> str:
        chosen = self.query_one(ListBox).chosen
        return "" if chosen is None else chosen.name

    def _show_returned(self, found: tuple[dict[str, Returned], PlotData | None]) -> None:
        self.returned, drawn = found
        if drawn is not None:
            self.laid_over = drawn.asked.choice
            self._show_laid_over(drawn)
        self._show_rows()
        if drawn is None:
            self._lay_over()

    def _show_rows(self) -> None:
        unit = dial_unit(load(self.book))
        box = self.query_one(ListBox)
        box.styles.height = min(len(self.visits), MOST_ROWS) + 1
        box.show([row_of(job, self._itself(job.id), unit) for job in self.visits.values()])
        self._show_words()

    def _itself(self, job_id: str) -> VisitSummary | None:
        found = self.returned.get(job_id)
        return None if found is None else found.summaries[-1]

    def on_list_box_moved(self) -> None:
        """Another visit is under the cursor."""
        self._show_words()
        self._lay_over()

    def on_resize(self) -> None:
        """There may be room for the picture now."""
        self._lay_over()

    def _lay_over(self) -> None:
        """The runout of the chosen visit over that of the newest, where there is room for it."""
        if not self.roomy:
            return
        picture = picture_choice(tuple(self.visits), self.returned, self._chosen_name)
        self.query_one("#laid-over").visible = picture is not None
        if picture is not None:
            job_id, choice = picture
            if choice != self.laid_over:
                self.laid_over = choice
                draw = partial(picture_of, job_id=job_id, choice=choice)
                self.in_background(draw, self._show_laid_over)

    def _show_laid_over(self, shown: PlotData) -> None:
        from tui.screens.shape.plot_views import tir_chart, title_words

        self.query_one("#laid-over").visible = True
        self.query_one("#laid-over LineView", LineView).show(f"TIR: {title_words(shown)}", "dim")
        self.query_one("#laid-over ChartView", ChartView).show(tir_chart(shown, None))

    def _show_words(self) -> None:
        chosen = self.query_one(ListBox).chosen
        found_visit = None if chosen is None else self.returned.get(chosen.name)
        shown = [ShownChapter("Working it out ...", ())]
        if chosen is not None and found_visit is not None:
            from core.jobs.wear import read_wear

            book = self.book
            places = read_wear(book, chosen.name).places
            notes = jobs.notes_of(book, chosen.name)
            shown = chapters_of(found_visit, places, notes, dial_unit(load(book)))
            cards = cards_of_shaft(book, jobs.job(book, chosen.name).shaft_id)
            if cards:
                shown.append(ShownChapter("Old cards", tuple(map(visit_on_card, cards))))
        self.query_one(ChapterView).show(shown)

    def on_list_box_chosen(self, event: ListBox.Chosen) -> None:
        """Open a visit."""
        self.context.go("card", event.row.name)

    # -- keys --------------------------------------------------------------------------------------

    def action_look(self) -> None:
        """F6."""
        self.ask_which("What do you want to see?", _LOOK, self._look)

    def _look(self, name: str | None) -> None:
        chosen = self.query_one(ListBox).chosen
        if name == "then":
            self._then_and_now()
        elif name == "wear":
            self.context.go("wear", self.job_id)
        elif name == "plot" and chosen is not None:
            self.context.go("plot", chosen.name)

    def _then_and_now(self) -> None:
        pair = self._pair()
        if pair is None:
            self.say("It takes two visits that were swept to the end to lay one over the other.")
            return
        job_id, choice = _choice(*pair)
        self.context.go("plot", job_id, choice=choice)
        self.context.say(clock_words(*pair))

    def _pair(self) -> Pair | None:
        return pair_of(tuple(self.visits), self.returned, self._chosen_name)

    def action_more(self) -> None:
        """F7: all words, page by page, in place of the list; then the list again."""
        view = self.query_one(ChapterView)
        if view.page is not None and view.page + 1 < view.page_count:
            view.read_page(view.page + 1)
            return
        reading = view.page is None and not view.fits
        self.query_one(ListBox).display = not reading
        view.read_page(0 if reading else None)

    def action_same_shaft(self) -> None:
        """F4."""
        with self.in_words():
            here = open_job_on(self.book, jobs.job(self.book, self.job_id).shaft_id)
            words = "This shaft is in the shop already: here is its open job."
            if here is None:
                here, words = begin_next_visit(self.book, self.job_id)
            self.context.back_to_board()
            self.context.go("card", here.id)
            self.context.say(words)


def _choice(now: VisitSummary, then: VisitSummary) -> tuple[str, Choice]:
    """The job and the two sweeps of the picture of then over now."""
    from tui.screens.shape.plot_data import Choice

    assert now.raw.came is not None
    assert then.raw.came is not None
    return now.raw.job.id, Choice(now.raw.came.id, then.raw.came.id)


def picture_of(book: Book, *, job_id: str, choice: Choice) -> PlotData:
    """Two sweeps worked out on the supports of the first one (on any thread)."""
    from tui.screens.shape import plot_data

    return plot_data.work_out(plot_data.read(book, job_id, choice))


def pair_of(visits: Sequence[str], returned: dict[str, Returned], chosen: str) -> Pair | None:
    """The newest visit that was swept, and the chosen one or its best match."""
    swept = [
        returned[job_id]
        for job_id in visits
        if job_id in returned and returned[job_id].summaries[-1].raw.came is not None
    ]
    if not swept:
        return None
    now = swept[0]
    other = next((t for t in swept[1:] if t.summaries[-1].raw.job.id == chosen), None)
    then = now.then if other is None else other.summaries[-1]
    return None if then is None else (now.summaries[-1], then)


def picture_choice(
    visits: Sequence[str], returned: dict[str, Returned], chosen: str
) -> tuple[str, Choice] | None:
    """The job and the sweeps to draw: then over now, or the chosen visit when there is no other."""
    from tui.screens.shape.plot_data import Choice

    pair = pair_of(visits, returned, chosen)
    if pair is not None:
        return _choice(*pair)
    alone = returned.get(chosen or next(iter(visits), ""))
    came = None if alone is None else alone.summaries[-1].raw.came
    return None if came is None else (came.job_id, Choice(came.id))


def look_back(
    book: Book, *, visits: Sequence[str], chosen: str, draw: bool
) -> tuple[dict[str, Returned], PlotData | None]:
    """What the sweeps of each visit say, beside those before it; the picture of then over now if it
    is to be drawn (on any thread). `visits`: ids of their jobs, newest first."""
    from core.jobs.visits import read_visits, tell_each

    returned = tell_each(read_visits(book, visits[0]))
    picture = picture_choice(visits, returned, chosen) if draw else None
    if picture is None:
        return returned, None
    job_id, choice = picture
    return returned, picture_of(book, job_id=job_id, choice=choice)
