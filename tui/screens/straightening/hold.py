"""Hold check: the sweep after a rest against the one before it, station by station."""

from __future__ import annotations

from datetime import timedelta
from typing import ClassVar

from textual.app import ComposeResult
from textual.widgets import Static

from core.base.errors import ShaftlogError
from core.base.records import Sweep
from core.base.times import local_text, moment, moment_text
from core.base.units import Unit, format_clock, format_in_unit, format_length
from core.book import hits, settings, sweeps
from core.book.connection import Book
from core.jobs.evidence import rest_hours, sweeps_that_count
from core.jobs.straightening import unused_words
from core.jobs.sweep.sweep_entry import dial_unit
from core.jobs.sweep.sweep_readings import readings_for_core
from core.runout.hold_check import HoldCheck, compare_readings
from tui.base.commands import Command, verb
from tui.screens.base.screen import JobScreen
from tui.widgets.list_box import Column, ListBox, ListRow
from tui.widgets.menu import MenuItem
from tui.widgets.plain import plain

_WHICH = (
    MenuItem("before_id", "The sweep before the rest"),
    MenuItem("after_id", "The sweep after the rest"),
)


class HoldScreen(JobScreen):
    """Two sweeps of one state."""

    HEADING = "Hold check"
    HOW_TO = (
        "A straightened shaft can creep back. Let it rest, roll it again at the same stations, and "
        "compare: held, or moved by how much and where, each station against its own uncertainty. "
        "A shaft that moved is hit again, or it moves in the boat. F6 chooses two other "
        "sweeps; both must show one state, with no hit between them. Keep fingers, sleeves and "
        "rags away from the rollers while the shaft turns."
    )
    ACTIONS: ClassVar[tuple[Command, ...]] = (
        verb("act", "sweep", "Sweep", "Set up the sweep after the rest, or go on with it"),
        verb("data", "sweeps", "Sweeps", "Choose the sweep before or after the rest"),
        verb("more", "plot", "Shape", "Shape of the shaft"),
    )
    DEFAULT_CSS = "HoldScreen #verdict { height: auto; max-height: 8; padding: 0 1; }"

    def __init__(self, job_id: str) -> None:
        super().__init__(job_id)
        self.before_id = ""
        self.after_id = ""

    def body(self) -> ComposeResult:
        """Verdict, then one line a station."""
        yield Static("Comparing ...", id="verdict")
        yield ListBox(
            (
                Column("Station", 10, right=True),
                Column("Moved", 12, right=True),
                Column("95 % from", 11, right=True),
                Column("to", 11, right=True),
                Column("Toward", 8, right=True),
                Column("TIR change", 11, right=True),
                Column("", 0),
            ),
            empty="Nothing to compare yet.",
        )

    @property
    def finished(self) -> list[Sweep]:
        """Finished full sweeps of this job that no hit fell into, oldest first."""
        return list(sweeps_that_count(self.book, self.job_id).full)

    def pair(self, book: Book) -> tuple[Sweep | None, Sweep | None]:
        """The sweeps to compare, the older first: as chosen, else the hold check of the state
        after the last hit (or the last one there is) and the full sweep before it."""
        counting = sweeps_that_count(book, self.job_id)
        found = {s.id: s for s in counting.full}
        after = found.get(self.after_id) or counting.hold_check
        before = found.get(self.before_id)
        if before is None and after is not None:
            hours = settings.load(book).hold_hours
            before = counting.before_rest(after, hours)
        elif before is None:
            before = counting.leaving
        if before is not None and after is not None and before.started_at > after.started_at:
            before, after = after, before
        return before, after

    def refresh_view(self) -> None:
        """Compare on a thread: two sweeps are fitted for it."""
        self.in_background(self._found, self._show)

    def _found(self, book: Book) -> tuple[str, list[ListRow]]:
        """Words of the verdict and the rows of the list."""
        before, after = self.pair(book)
        rows: list[ListRow] = []
        if before is not None and after is not None:
            words, rows = self._compared(book, before, after)
        elif after is not None:
            words = f"{_title(after)} has no full sweep before it to compare with. F6 chooses one."
        else:
            words = self._waiting_words(book)
        if mixed := unused_words(book, self.job_id):
            words = f"{mixed}\n{words}"
        return words, rows

    def _show(self, found: tuple[str, list[ListRow]]) -> None:
        words, rows = found
        self.query_one(ListBox).show(rows)
        self.query_one("#verdict", Static).update(plain(words))

    def _compared(self, book: Book, before: Sweep, after: Sweep) -> tuple[str, list[ListRow]]:
        """Verdict and one row a station; no verdict when the two do not show one state."""
        if before.id == after.id:
            return f"Twice the same sweep, {_title(before)}: F6 chooses another.", []
        pair = f"{_title(before)}  against  {_title(after)}"
        made = [h.at for h in hits.hits_of(book, self.job_id)]
        if any(before.started_at < at <= after.started_at for at in made):
            return (
                "A hit was made between these two sweeps; they cannot be compared. F6 chooses "
                f"others.\n{pair}",
                [],
            )
        try:
            read = [readings_for_core(book, sweep.id) for sweep in (before, after)]
            result = compare_readings(*read)
        except ShaftlogError as error:
            return f"{error}\n{pair}", []
        unit = dial_unit(settings.load(book))
        lines = [result.words, pair, self._rest_words(book, before, after)]
        if any(at > after.started_at for at in made):
            lines.insert(0, "IT WAS HIT AGAIN AFTER THIS CHECK: let it rest and check again.")
        elif result.word == "moved":
            lines.insert(1, "Straighten what moved, let it rest, and check again.")
        return "\n".join(lines), _rows(result, unit)

    def _rest_words(self, book: Book, before: Sweep, after: Sweep) -> str:
        """Hours of rest between the two sweeps; a short rest is named."""
        hours, asked = rest_hours(before, after), settings.load(book).hold_hours
        if hours >= asked:
            return f"Rested {hours:.1f} h between the two."
        return f"RESTED ONLY {hours:.1f} h of the {asked:g} h the shop asks for: this says little."

    def _waiting_words(self, book: Book) -> str:
        """What is missing, and whether the rest has been long enough."""
        before = sweeps_that_count(book, self.job_id).leaving
        if before is None:
            return "First a full sweep after the last hit, then the rest: F4 sets it up."
        hours = settings.load(book).hold_hours
        ready = moment(before.finished_at or before.started_at) + timedelta(hours=hours)
        now = self.now
        if now >= ready:
            rested = (now - ready).total_seconds() / 3600 + hours
            return f"Rested {rested:.0f} h since {_title(before)}: F4 sweeps it again."
        left = (ready - now).total_seconds() / 3600
        until = local_text(moment_text(ready), "%d %b %H:%M")
        return f"Let it rest {left:.1f} h more, until {until} (shop setting: {hours:g} h), then F4."

    # -- keys --------------------------------------------------------------------------------------

    def action_sweep(self) -> None:
        """F4: a hold check once a full sweep shows the state after the last hit."""
        with self.in_words():
            if self.read_only:
                raise ShaftlogError("This job is closed: nothing can be swept on it.")
            swept = sweeps_that_count(self.book, self.job_id).leaving is not None
            wanted = "hold check" if swept else "working"
            found = sweeps.sweeps_of(self.book, self.job_id)
            in_hand = [s for s in found if s.purpose == wanted and not s.finished_at]
            if in_hand:
                self._go_on(in_hand[-1].id)
                return
            self.before_id = self.after_id = ""
            self.context.go("sweep_setup", self.job_id, then=self._go_on, purpose=wanted)

    def _go_on(self, sweep_id: str) -> None:
        self.context.go("sweep", self.job_id, sweep_id=sweep_id)

    def on_list_box_chosen(self) -> None:
        """Enter on a station: the shape of the shaft."""
        self.action_plot()

    def action_sweeps(self) -> None:
        """F6."""
        self.ask_which("Which of the two sweeps do you want to choose?", _WHICH, self._choose)

    def _choose(self, name: str | None) -> None:
        if name is None:
            return
        items = tuple(MenuItem(s.id, _title(s)) for s in reversed(self.finished[-9:]))
        if not items:
            self.say("No full sweep is finished yet.")
            return

        def chosen(sweep_id: str | None) -> None:
            if sweep_id is not None:
                setattr(self, name, sweep_id)
                self.refresh_view()

        self.ask_which("Which sweep is it?", items, chosen)

    def action_plot(self) -> None:
        """F7."""
        self.context.go("plot", self.job_id)


def _title(sweep: Sweep) -> str:
    return f"{sweep.purpose} {local_text(sweep.started_at, '%d %b %y %H:%M')}"


def _signed(value_in: float, unit: Unit) -> str:
    """With its sign, unless it is shown as zero."""
    text = format_in_unit(value_in, unit)
    return f"+{text}" if float(text.split()[0]) > 0 else text


def _rows(result: HoldCheck, unit: Unit) -> list[ListRow]:
    return [
        ListRow(
            f"{move.station_in}",
            (
                f"{format_length(move.station_in, 2)}",
                format_in_unit(move.moved_in, unit),
                format_in_unit(move.low_in, unit),
                format_in_unit(move.high_in, unit),
                format_clock(move.toward_rad, unit=""),
                _signed(move.tir_change_in, unit),
                "MOVED" if move.real else "",
            ),
            strong=move.real,
        )
        for move in result.moves
    ]
