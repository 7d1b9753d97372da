"""The shape of the shaft: verdicts in words first, then TIR, bend planes, end view, figures."""

from __future__ import annotations

from dataclasses import replace
from functools import partial
from typing import ClassVar

from textual.app import ComposeResult
from textual.containers import VerticalScroll
from textual.message import Message
from textual.widgets import Input, Static

from core.base.errors import ShaftlogError
from core.base.units import format_station, length_unit, parse_place_in
from tui.base.commands import Command, verb
from tui.screens.shape import plot_data
from tui.screens.shape import plot_views as views
from tui.screens.shape.plot_choices import PlotChoices
from tui.screens.shape.plot_data import Choice, PlotData, PlotRequest
from tui.widgets.canvas import Canvas, GridView, LineView
from tui.widgets.chart import ChartView
from tui.widgets.end_view import EndViewer
from tui.widgets.list_box import Column, ListBox, ListRow
from tui.widgets.message import MessageLine
from tui.widgets.number_input import LENGTH, NumberInput
from tui.widgets.plain import plain

TABLE = (
    Column("Station", 8, right=True),
    Column("TIR", 7, right=True),
    Column("95 % interval", 16, right=True),
    Column("Bend part", 9, right=True),
    Column("High", 5, right=True),
    Column("Dial", 6, right=True),
    Column("Oval", 6, right=True),
    Column("Verdict"),
)
MANY = 10_000


class VerdictView(GridView):
    """Verdicts side by side, as many columns as fit."""

    DEFAULT_CSS = "VerdictView { height: 3; }"

    def __init__(self) -> None:
        super().__init__(id="verdicts")
        self.cells: tuple[tuple[str, str], ...] = ()

    def show(self, cells: tuple[tuple[str, str], ...]) -> None:
        """Show other verdicts."""
        self.cells = cells
        self.styles.height = max(-(-len(cells) // self._columns()), 1)
        self.redraw()

    def _columns(self) -> int:
        return max(self.size.width // 39, 1)

    def draw(self, width: int, height: int) -> Canvas:
        """Down the first column, then the next."""
        canvas = Canvas(width, height, ascii_only=self.ascii_only)
        for n, (words, style) in enumerate(self.cells):
            column, row = divmod(n, max(height, 1))
            canvas.put(column * 39, row, words, style)
        return canvas


class PlotScreen(PlotChoices):
    """One sweep of the job, perhaps with another laid over it."""

    HEADING = "Shape and bends"
    HOW_TO = (
        "The verdict of each riding area comes first: TIR over limit. Digits change the picture: "
        "1 TIR along the shaft, 2 the two bend planes (o towards clock 0, * towards 90, dots the "
        "bends as fitted), 3 the shaft from its end, 4 everything in words, 5 the figures. Left "
        "and Right walk along the stations, Home and End go to the ends. In the pictures = is the "
        "limit of a riding area, - the limit between, : a support, | a bend with its number and "
        "the clock of its high side, ! the cursor, H a hit, ^ a point off the picture. F4 lays "
        "another sweep over it (x, its bends with their clocks too), before and after or an "
        "earlier visit; F6 shows another sweep; F8 "
        "sees the shaft from other supports, as in the boat. True here is about runout only: it "
        "does not say that the shaft is sound. Cracks are looked for by the penetrant check, and "
        "class rules and local codes come first."
    )
    ACTIONS: ClassVar[tuple[Command, ...]] = (
        Command("view_1", ("1",), "TIR", "TIR along the shaft", footer=False),
        Command("view_2", ("2",), "Planes", "Both bend planes", footer=False),
        Command("view_3", ("3",), "End view", "The shaft from its end", footer=False),
        Command("view_4", ("4",), "In words", "Everything in words", footer=False),
        Command("view_5", ("5",), "Table", "The figures of every station", footer=False),
        verb("more", "next_view", "View", "The next picture", also=("space",), footer=False),
        Command("left", ("left",), "Left", "Cursor to the station before", footer=False),
        Command("right", ("right",), "Right", "Cursor to the next station", footer=False),
        Command("first", ("home",), "First", "Cursor to the first station", footer=False),
        Command("last", ("end",), "Last", "Cursor to the last station", footer=False),
        Command("up", ("up", "pageup"), "Up", "Scroll words and figures up", footer=False),
        Command("down", ("down", "pagedown"), "Down", "Scroll them down", footer=False),
    )
    AUTO_FOCUS = ""
    DEFAULT_CSS = """
    PlotScreen #picture { height: 1fr; }
    PlotScreen ChartView, PlotScreen EndViewer, PlotScreen ListBox { height: 1fr; }
    PlotScreen #all-words { height: 1fr; }
    PlotScreen #all-words Static { height: auto; }
    """

    class WorkedOut(Message):
        """The picture is ready, or the words why there is none."""

        def __init__(self, asked: PlotRequest, shown: PlotData | None, trouble: str = "") -> None:
            super().__init__()
            self.asked = asked
            self.shown = shown
            self.trouble = trouble

    def __init__(self, job_id: str, choice: Choice | None = None) -> None:
        super().__init__(job_id)
        self.choice = choice or Choice()
        self.shown: PlotData | None = None
        self.view = "tir"
        self.cursor_in: float | None = None
        self.first_in: float | None = None
        """The first of two supports being typed."""

    # -- frame -----------------------------------------------------------------------------------

    def body(self) -> ComposeResult:
        """Verdicts, picture, figures of the cursor, the menu of pictures."""
        yield VerdictView()
        yield LineView(id="title")
        yield ChartView(id="chart")
        yield EndViewer(id="end")
        with VerticalScroll(id="all-words", can_focus=False):
            yield Static()
        table = ListBox(TABLE, id="table")
        table.can_focus = False
        yield table
        yield LineView(id="station")
        yield LineView(id="station-more")
        yield LineView(id="bend")
        yield LineView(id="views")
        field = NumberInput(id="supports", restrict=LENGTH, allow_empty=True)
        field.display = field.can_focus = False
        yield field

    def refresh_view(self) -> None:
        """Read the book and compute on another thread."""
        self._show_view()
        if self.shown is None:
            self.query_one("#title", LineView).show("Working it out ...")
        asked = plot_data.read(self.book, self.job_id, self.choice)
        self.run_worker(partial(self._compute, asked), thread=True, exclusive=True)

    def _compute(self, asked: PlotRequest) -> None:
        """On a thread; a fault in the figures shows in words."""
        try:
            self.post_message(self.WorkedOut(asked, plot_data.work_out(asked)))
        except ShaftlogError as error:
            self.post_message(self.WorkedOut(asked, None, str(error)))
        except Exception:
            if self.app.is_headless:
                raise
            words = "The figures cannot be worked out (a fault). The readings are stored."
            self.post_message(self.WorkedOut(asked, None, words))

    def on_plot_screen_worked_out(self, event: WorkedOut) -> None:
        """Draw what came back, if it is still what is wanted."""
        if event.asked.choice != self.choice:
            return
        if event.shown is None:
            self.say(event.trouble, "stop")
            if self.shown is not None and self.choice != self.shown.asked.choice:
                self.choice = self.shown.asked.choice
            return
        if self.query_one(MessageLine).tone == "stop":
            self.say("")
        self.shown = event.shown
        places = [s.station_in for s in event.shown.seen.stations]
        if self.cursor_in not in places:
            worst = max(event.shown.seen.stations, key=lambda s: s.tir_in)
            self.cursor_in = worst.station_in
        self.query_one(VerdictView).show(views.verdict_cells(event.shown))
        words = plain("\n".join(views.all_words(event.shown)))
        self.query_one("#all-words Static", Static).update(words)
        self._show_table(event.shown)
        self.paint()

    def _show_table(self, shown: PlotData) -> None:
        rows = views.table_rows(shown.seen, shown.unit)
        self.query_one(ListBox).show([ListRow(row[0], row) for row in rows])

    # -- painting --------------------------------------------------------------------------------

    def paint(self) -> None:
        """Draw the picture in view and the words of the cursor."""
        shown = self.shown
        if shown is None:
            return
        if self.view in ("tir", "planes"):
            make = views.tir_chart if self.view == "tir" else views.plane_chart
            self.query_one(ChartView).show(make(shown, self.cursor_in))
        elif self.view == "end":
            self.query_one(EndViewer).show(views.end_view(shown, self.cursor_in))
        elif self.view == "table":
            places = [s.station_in for s in shown.seen.stations]
            if self.cursor_in in places:
                self.query_one(ListBox).cursor = places.index(self.cursor_in)
        planes = self.view == "planes"
        words = views.planes_title(shown) if planes else views.title_words(shown)
        self.query_one("#title", LineView).show(words)
        first, second = views.station_words(shown, self.cursor_in)
        self.query_one("#station", LineView).show(first, "strong")
        self.query_one("#station-more", LineView).show(second)
        self.query_one("#bend", LineView).show(views.nearest_bend(shown, self.cursor_in))

    def _show_view(self) -> None:
        """Let one of the pictures be seen, and say which."""
        wanted = {"tir": "chart", "planes": "chart", "words": "all-words"}.get(self.view, self.view)
        for name in ("chart", "end", "all-words", "table"):
            self.query_one(f"#{name}").display = name == wanted
        for name in ("station", "station-more", "bend"):
            self.query_one(f"#{name}").display = self.view != "words"
        menu = [
            f"[{n} {words}]" if name == self.view else f" {n} {words} "
            for n, (name, words) in enumerate(views.VIEWS, 1)
        ]
        self.query_one("#views", LineView).show("  ".join(menu))
        self.later(self.paint)

    def _see(self, number: int) -> None:
        self.view = views.VIEWS[number - 1][0]
        self._show_view()

    # -- commands --------------------------------------------------------------------------------

    def action_view_1(self) -> None:
        """1."""
        self._see(1)

    def action_view_2(self) -> None:
        """2."""
        self._see(2)

    def action_view_3(self) -> None:
        """3."""
        self._see(3)

    def action_view_4(self) -> None:
        """4."""
        self._see(4)

    def action_view_5(self) -> None:
        """5."""
        self._see(5)

    def action_next_view(self) -> None:
        """F7 or space."""
        names = [name for name, _ in views.VIEWS]
        self._see((names.index(self.view) + 1) % len(names) + 1)

    def _walk(self, by: int) -> None:
        """Move the cursor along the stations; it stops at the ends."""
        if self.shown is None:
            return
        places = [s.station_in for s in self.shown.seen.stations]
        at = places.index(self.cursor_in) if self.cursor_in in places else 0
        self.cursor_in = places[max(0, min(at + by, len(places) - 1))]
        self.paint()

    def action_left(self) -> None:
        """Left."""
        self._walk(-1)

    def action_right(self) -> None:
        """Right."""
        self._walk(1)

    def action_first(self) -> None:
        """Home."""
        self._walk(-MANY)

    def action_last(self) -> None:
        """End."""
        self._walk(MANY)

    def action_up(self) -> None:
        """Up: words scroll, in the table the cursor walks."""
        self._scroll(-1)

    def action_down(self) -> None:
        """Down."""
        self._scroll(1)

    def _scroll(self, by: int) -> None:
        if self.view == "words":
            self.query_one("#all-words").scroll_relative(y=by * 5, animate=False)
        else:
            self._walk(by)

    # -- two supports typed ------------------------------------------------------------------------

    def ask_supports(self) -> None:
        """Show the field for two stations, one after the other."""
        self.first_in = None
        field = self.query_one("#supports", NumberInput)
        field.value, field.display, field.can_focus = "", True, True
        field.focus()
        self.query_one("#views", LineView).show(
            f"First support at station ({length_unit()}):", "strong"
        )

    def on_input_submitted(self, event: Input.Submitted) -> None:
        """The first station, then the second; nothing typed leaves it as it is."""
        event.stop()
        if not event.value.strip():
            self._end_supports()
            return
        with self.in_words():
            place_in = parse_place_in(event.value, what="The support")
            event.input.value = ""
            if self.first_in is None:
                self.first_in = place_in
                words = f"First {format_station(place_in)}; second support ({length_unit()}):"
                self.query_one("#views", LineView).show(words, "strong")
                return
            supports = (self.first_in, place_in)
            self._end_supports()
            self.choose(replace(self.choice, supports_in=supports))

    def _end_supports(self) -> None:
        field = self.query_one("#supports", NumberInput)
        field.display = field.can_focus = False
        self.set_focus(None)
        self._show_view()

    def action_back(self) -> None:
        """Esc: out of the field first."""
        if self.query_one("#supports").display:
            self._end_supports()
        else:
            super().action_back()
