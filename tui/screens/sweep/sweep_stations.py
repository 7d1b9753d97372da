"""The list of stations of a sweep: add, remove, move, make a new list, read from the other end."""

from __future__ import annotations

from typing import ClassVar

from textual.app import ComposeResult
from textual.widgets import Input

from core.base.errors import ShaftlogError
from core.base.records import Reading, Sweep
from core.base.units import format_station, length_unit, parse_place_in
from core.book import sweeps
from core.book.readings import readings_of
from core.jobs.sweep.sweep_entry import move_station, sweep_job
from core.runout.stations import with_station
from tui.base.commands import Command, verb
from tui.screens.base.screen import JobScreen
from tui.widgets.canvas import LineView
from tui.widgets.list_box import Column, ListBox, ListRow
from tui.widgets.menu import MenuItem
from tui.widgets.number_input import LENGTH, NumberInput
from tui.widgets.shaft_picture import PictureArea, ShaftPicture, ShaftSketch

COLUMNS = (
    Column("No", 4, right=True),
    Column("Station", 12, right=True),
    Column("Read", 12, right=True),
    Column("Where"),
)

_MORE = (
    MenuItem("remove", "Remove the chosen station (its readings stay in the book)"),
    MenuItem("turn", "Read from the other end"),
)


class StationsScreen(JobScreen):
    """Stations in the order in which they are read."""

    HEADING = "Stations"
    HOW_TO = (
        "Type a station (from the zero end; 36, 36.5, 1-3/4, 900mm) and Enter: it is put in "
        "its place. Up and Down choose a station. F6 moves it: type the new place and Enter; its "
        "readings move with it. F7 removes it; its readings stay in the book and come back with "
        "it. F7 can also turn the order round, to begin at the other end. F8 makes a new list from "
        "a spacing."
    )
    ACTIONS: ClassVar[tuple[Command, ...]] = (
        verb("more", "more", "More", "Remove the chosen station; read from the other end"),
        verb("data", "move", "Move", "Give the chosen station another place"),
        verb("setup", "new_list", "New list", "Make the list from a spacing"),
        verb("act", "add", "Add", "Type stations to add (the usual state)", footer=False),
        Command("up", ("up",), "Up", "Choose the station above", footer=False),
        Command("down", ("down",), "Down", "Choose the station below", footer=False),
        Command("page_up", ("pageup",), "Page up", "A page up", footer=False),
        Command("page_down", ("pagedown",), "Page down", "A page down", footer=False),
    )
    DEFAULT_CSS = """
    StationsScreen #question { width: 34; }
    StationsScreen ListBox { height: 1fr; }
    """
    QUESTIONS: ClassVar[dict[str, str]] = {
        "add": "Add station",
        "move": "Move it to",
        "new_list": "Spacing of a new list",
    }

    def __init__(self, job_id: str, sweep_id: str) -> None:
        super().__init__(job_id)
        self.sweep_id = sweep_id
        self.asking = "add"
        """What the field asks: 'add', 'move' or 'new_list'."""

    def body(self) -> ComposeResult:
        """Picture, list, field."""
        yield ShaftPicture()
        box = ListBox(COLUMNS, empty="No stations: F8 makes a list from a spacing.")
        box.can_focus = False
        yield box
        yield LineView(id="question")
        yield NumberInput(id="station", restrict=LENGTH, arrows_move=True)

    def refresh_view(self) -> None:
        """Read the list and draw it."""
        book = self.book
        sweep = sweeps.sweep(book, self.sweep_id)
        readings = readings_of(book, self.sweep_id)
        job = sweep_job(book, self.job_id)
        areas = tuple(PictureArea(a.name, a.from_in, a.to_in) for a in job.areas)
        rows = [_row(n, s, readings, sweep, areas) for n, s in enumerate(sweep.stations_in)]
        box = self.query_one(ListBox)
        box.show(rows)
        sketch = ShaftSketch(
            job.shaft.length_in,
            job.shaft.zero_end,
            areas,
            (sweep.roller_a_in, sweep.roller_b_in),
            cursor_in=float(box.chosen.name) if box.chosen is not None else None,
        )
        self.query_one(ShaftPicture).show(sketch)
        self._ask(self.asking)

    def _ask(self, what: str) -> None:
        self.asking = what
        self.query_one("#question", LineView).show(
            f"{self.QUESTIONS[what]} ({length_unit()}):", "strong"
        )

    def on_input_submitted(self, event: Input.Submitted) -> None:
        """Add, move, or make a new list."""
        with self.in_words():
            self._check_open()
            typed_in = parse_place_in(event.value)
            with self.book.write():  # no other bench changes the list in between
                self._store(getattr(self, f"_{self.asking}")(typed_in))
            self.query_one(NumberInput).value = ""
            self.asking = "add"
            self.refresh_view()
            self._choose(typed_in)

    def _check_open(self) -> None:
        if self.read_only:
            raise ShaftlogError("This job is closed: its stations stay as they are.")

    def _stations(self) -> tuple[float, ...]:
        return sweeps.sweep(self.book, self.sweep_id).stations_in

    def _store(self, stations: tuple[float, ...]) -> None:
        sweeps.change_sweep(self.book, self.sweep_id, stations_in=stations)
        self.say(f"{len(stations)} stations.", "done")

    def _add(self, typed_in: float) -> tuple[float, ...]:
        length_in = sweep_job(self.book, self.job_id).shaft.length_in
        return with_station(self._stations(), typed_in, length_in)

    def _new_list(self, typed_in: float) -> tuple[float, ...]:
        job = sweep_job(self.book, self.job_id)
        sweep = sweeps.sweep(self.book, self.sweep_id)
        stations = job.stations_in(typed_in, (sweep.roller_a_in, sweep.roller_b_in))
        read = {r.station_in for r in readings_of(self.book, self.sweep_id)}
        for station_in in sorted(read - set(stations)):
            stations = with_station(stations, station_in, job.shaft.length_in)
        return stations

    def _move(self, typed_in: float) -> tuple[float, ...]:
        chosen = self.query_one(ListBox).chosen
        if chosen is None:
            raise ShaftlogError("No station to move: the list is empty.")
        old_in = float(chosen.name)
        length_in = sweep_job(self.book, self.job_id).shaft.length_in
        return move_station(self.book, self.sweep_id, old_in, typed_in, length_in)

    def _choose(self, station_in: float) -> None:
        box = self.query_one(ListBox)
        names = [float(row.name) for row in box.rows]
        if station_in in names:
            box.cursor = names.index(station_in)

    def action_more(self) -> None:
        """F7."""
        self.ask_which("What else about the list?", _MORE, self._more)

    def _more(self, name: str | None) -> None:
        if name == "remove":
            self._remove()
        elif name == "turn":
            self._turn()

    def _remove(self) -> None:
        box = self.query_one(ListBox)
        if box.chosen is None:
            return
        with self.in_words():
            self._check_open()
            gone_in = float(box.chosen.name)
            with self.book.write():
                self._store(tuple(s for s in self._stations() if s != gone_in))
            words = f"Station {format_station(gone_in)} is off the list. Type it to bring it back."
            self.refresh_view()
            self.say(words, "done")

    def action_move(self) -> None:
        """F6."""
        if self.query_one(ListBox).rows:
            self._ask("move")

    def action_new_list(self) -> None:
        """F8."""
        self._ask("new_list")

    def action_add(self) -> None:
        """F4."""
        self._ask("add")

    def _turn(self) -> None:
        with self.in_words():
            self._check_open()
            with self.book.write():
                self._store(tuple(reversed(self._stations())))
            self.refresh_view()
            self.say("The order is turned round.", "done")

    def action_up(self) -> None:
        """Up."""
        self._step(-1)

    def action_down(self) -> None:
        """Down."""
        self._step(1)

    def action_page_up(self) -> None:
        """PgUp."""
        self._step(-8)

    def action_page_down(self) -> None:
        """PgDn."""
        self._step(8)

    def _step(self, by: int) -> None:
        self.query_one(ListBox).move(by)
        self.refresh_view()

    def action_back(self) -> None:
        """Esc: out of a question first."""
        if self.asking != "add":
            self._ask("add")
        else:
            super().action_back()


def _row(
    number: int,
    station_in: float,
    readings: tuple[Reading, ...],
    sweep: Sweep,
    areas: tuple[PictureArea, ...],
) -> ListRow:
    taken = sum(1 for r in readings if r.station_in == station_in)
    where = [a.name for a in areas if a.from_in <= station_in <= a.to_in]
    rollers = (sweep.roller_a_in, sweep.roller_b_in)
    where += ["on a roller" for r in rollers if abs(r - station_in) < 0.01]
    words = f"{taken} read" if taken else "-"
    cells = (str(number + 1), f"{format_station(station_in)}", words, ", ".join(where))
    return ListRow(repr(station_in), cells)
