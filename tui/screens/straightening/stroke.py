"""One stroke at the press, led by what the dial under the ram stays at."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from typing import ClassVar

from textual.app import ComposeResult
from textual.widgets import Static

from core.base.counting import many
from core.base.errors import ShaftlogError
from core.base.quantities import FORCE
from core.base.records import Hit
from core.base.units import format_angle, format_clock, format_length, format_station
from core.book import hits
from core.book.errors import Overtaken
from core.jobs import strokes
from core.jobs.hit_actions import HitEntry, HitsChanged
from core.jobs.press_setup import press_setup
from core.jobs.strokes import LedStroke
from core.straightening.press import PLASTIC_RATIO, room_for_blocks_in, warnings
from tui.base.commands import Command, verb
from tui.screens.base.screen import JobScreen
from tui.screens.straightening.hit_choice import ask_one_more
from tui.screens.straightening.straighten_text import PRESS_SAFETY, small
from tui.widgets.canvas import Canvas, GridView
from tui.widgets.form import FieldSpec, Form
from tui.widgets.plain import plain

LOADS = "Load asked to  stayed at"


class LoadsView(GridView):
    """The loads so far, newest last, in as many columns as they need; the oldest have no room."""

    def __init__(self) -> None:
        super().__init__(id="list")
        self.rows: tuple[str, ...] = ()

    def show(self, rows: Sequence[str]) -> None:
        """Show these loads."""
        self.rows = tuple(rows)
        self.redraw()

    def draw(self, width: int, height: int) -> Canvas:
        """Columns below their headings."""
        canvas = Canvas(width, height, ascii_only=self.ascii_only)
        cells, room = len(LOADS) + 3, height - 1
        most = max(room, 0) * max(width // cells, 1)
        for at, row in enumerate(self.rows[-most:] if most else ()):
            column, line = divmod(at, room)
            canvas.put(column * cells, 0, LOADS)
            canvas.put(column * cells, 1 + line, row)
        return canvas


class StrokeScreen(JobScreen):
    """Load, release, read, the next load; every reading is stored as it is typed."""

    HEADING = "Stroke"
    HOW_TO = (
        "Set the dial under the ram to zero on the shaft as it lies. Load until it shows the "
        "figure, release, type what it stays at. Each Enter is stored; the first one notes the "
        "hit. Go on until it stays where asked. Load and travel are a caution and a ceiling: real "
        "steel hardens and remembers an earlier bend, and only what stays is sure. The first load "
        "is on the safe side. F4 makes one more stroke while the blocks stand, for what still "
        "lacks: set the dial to zero first. F5 takes the last reading back. On a taper or step "
        "type the diameter under the ram."
    )
    ACTIONS: ClassVar[tuple[Command, ...]] = (
        verb("act", "again", "Once more", "One more stroke where the blocks stand"),
        verb("undo", "undo", "Undo", "Take the last reading back"),
        verb("setup", "press", "Press", "Blocks, who works, the stroke in full"),
        verb("finish", "done", "Done", "Back to the round"),
    )
    DEFAULT_CSS = """
    StrokeScreen #what { height: auto; padding: 0 1; text-style: bold; }
    StrokeScreen #loads { height: auto; padding: 1 1 0 1; }
    StrokeScreen #list { height: 1fr; margin: 0 1; }
    StrokeScreen #next { height: auto; padding: 0 1 1 1; text-style: bold; }
    StrokeScreen #safety { height: auto; padding: 1 1 0 1; }
    """

    def __init__(
        self,
        job_id: str,
        entry: HitEntry,
        *,
        seen: tuple[str, ...] = (),
        hit_id: str | None = None,
        stored: Callable[[], None] | None = None,
    ) -> None:
        super().__init__(job_id)
        self.entry = entry
        self.seen = seen
        """Ids of the hits that counted when this was opened."""
        self.hit_id = hit_id
        """The hit as noted; None = no load has been read yet."""
        self.stored = stored
        """Called once anything is stored or taken back."""
        self.loads = 0
        """Loads of this hit that are shown."""
        self.unit = "thou"

    def body(self) -> ComposeResult:
        """What is asked, the loads so far, the next one, the reading."""
        self.unit = press_setup(self.book, self.job_id).shop.unit
        yield Static(id="what")
        yield Static(id="loads")
        yield LoadsView()
        yield Static(id="next")
        fields = [
            FieldSpec("stays_in", f"Stays at, {self.unit}", "length", "",
                      "The dial under the ram after release, from its zero.", unit=self.unit,
                      least=-2.0, most=20.0)
        ]  # fmt: skip
        if self.entry.diameter_in is None:
            hint = "Under the ram, as miked: the load goes with its cube."
            fields.insert(
                0,
                FieldSpec(
                    "diameter_in", "Diameter there", "length", "", hint, least=0.05, most=60.0
                ),
            )
        yield Form(*fields, save=self._save)
        yield Static(plain(PRESS_SAFETY), id="safety")

    def refresh_view(self) -> None:
        """The stroke as it is now."""
        setup = press_setup(self.book, self.job_id)
        if self.hit_id is None:
            self.entry = replace(self.entry, blocks_in=setup.blocks_in, by=setup.worker)
        entry = self.entry
        across = "diameter not known"
        if entry.diameter_in is not None:
            across = f"{format_length(entry.diameter_in)} across"
        what = (
            f"Ram at {format_length(entry.station_in, 2)}, clock "
            f"{format_clock(entry.high_side_rad)}; blocks {format_station(entry.blocks_in or 0.0)} "
            f"apart; {across}. Take out {format_angle(entry.asked_rad, 2)}."
        )
        self.query_one("#what", Static).update(plain(what))
        try:
            state = self.led_now()
        except ShaftlogError as error:
            self._show(str(error), (), "")
            return
        self.loads = len(state.tried)
        rows = [
            f"{number:>4} {self._small(one.travel_in):>8} {self._small(one.stays_in):>10}"
            for number, one in enumerate(state.tried, start=1)
        ]
        self._show("\n".join(self._mind_lines(state)), rows, self._next_text(state))

    def _show(self, mind: str, rows: Sequence[str], following: str) -> None:
        self.query_one("#loads", Static).update(plain(mind))
        self.query_one(LoadsView).show(rows)
        self.query_one("#next", Static).update(plain(following))

    def _small(self, value_in: float) -> str:
        return small(value_in, self.unit, with_unit=False)

    def led_now(self) -> LedStroke:
        made = self._made()
        stroke = strokes.stroke_of_entry(press_setup(self.book, self.job_id).shaft, self.entry)
        return strokes.led(stroke, strokes.loads_of(self.book, made) if made else ())

    def _made(self) -> Hit | None:
        return hits.hit(self.book, self.hit_id) if self.hit_id is not None else None

    def _mind_lines(self, state: LedStroke) -> list[str]:
        """Caution and ceiling."""
        setup, stroke = press_setup(self.book, self.job_id), state.stroke
        lines = [
            f"By theory {small(stroke.travel_in, self.unit)} and {FORCE.text(stroke.load_lbf)}; "
            f"CEILING {FORCE.text(stroke.yields_at_lbf * PLASTIC_RATIO)}: there it folds as a "
            "hinge."
        ]
        room_in = room_for_blocks_in(self.entry.station_in, setup.shaft.length_in)
        said = warnings(stroke, capacity_lbf=setup.shop.press_capacity_lbf, room_in=room_in)
        lines += [f"MIND: {text}" for text in said[:1]]
        if not state.tried:
            lines.append("Nothing loaded yet. Set the dial under the ram to zero.")
        return lines

    def _next_text(self, state: LedStroke) -> str:
        goal = small(state.stroke.stays_in, self.unit)
        if state.next.travel_in is not None:
            to = small(state.next.travel_in, self.unit)
            return f"NEXT: load until the dial shows {to}, release, read. It must stay at {goal}."
        loads = many(len(state.tried), "load")
        return (
            f"{state.next.text} Asked {goal}; {format_angle(state.next.set_rad, 2)} out after "
            f"{loads}. F12: back to the round."
        )

    def _save(self, name: str, value: object) -> str | None:
        if not isinstance(value, float | int):
            return None
        if name == "diameter_in":
            self.entry = replace(self.entry, diameter_in=float(value))
            self.refresh_view()
            return None
        self._take(float(value))
        return None

    def _take(self, stays_in: float, confirmed: bool = False) -> None:
        """Store one reading; another bench's hit in between is asked about first."""
        self.led_now()
        try:
            made = strokes.read_load(
                self.book,
                self.job_id,
                self.entry,
                self.hit_id,
                stays_in,
                seen=self.seen,
                loads=self.loads,
                confirmed=confirmed,
            )
        except Overtaken:
            self.later(self.refresh_view)
            raise
        except HitsChanged as changed:
            ask_one_more(self, changed, lambda: self._take(stays_in, confirmed=True))
            return
        self.hit_id = made.id
        if self.stored is not None:
            self.stored()
        self.later(self._read_on)

    def _read_on(self) -> None:
        """An empty field for the next reading."""
        self.query_one(Form).set_field("stays_in", "")
        self.refresh_view()

    def action_undo(self) -> None:
        """F5."""
        with self.in_words():
            made = self._made()
            if made is None:
                raise ShaftlogError("Nothing was read at this stroke yet.")
            if strokes.undo_load(self.book, made):
                self.hit_id = None
            if self.stored is not None:
                self.stored()
            self.refresh_view()
            self.say("Taken back: the last reading. It stays in the log.", "done")

    def action_again(self) -> None:
        """F4."""
        with self.in_words():
            if self.hit_id is None:
                raise ShaftlogError("Read what this stroke stays at first.")
            self.entry = strokes.once_more(self.entry, self.led_now())
            self.seen = tuple(made.id for made in hits.hits_of(self.book, self.job_id))
            self.hit_id = None
            self.refresh_view()
            self.say("One more stroke here: set the dial to zero before the load.")

    def action_press(self) -> None:
        """F8."""
        self.context.go("press", self.job_id)

    def action_done(self) -> None:
        """F12."""
        self.context.back()
