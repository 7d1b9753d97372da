"""A hit with figures of its own: other place, other angle, a heat spot, or a correction."""

from __future__ import annotations

from collections.abc import Callable
from typing import ClassVar

from textual.app import ComposeResult
from textual.widgets import Static

from core.base.errors import ShaftlogError
from core.base.quantities import FORCE, TEMPERATURE
from core.base.records import Hit
from core.base.units import format_clock, format_length
from core.book import drafts, history, jobs, settings
from core.jobs import hit_actions
from core.jobs.hit_actions import HitEntry, HitsChanged
from core.jobs.straightening import HitToMake
from tui.base.commands import Command, verb
from tui.screens.base.screen import JobScreen
from tui.screens.straightening import straighten_text as texts
from tui.screens.straightening.hit_choice import ask_one_more
from tui.widgets.form import FieldSpec, Form
from tui.widgets.plain import plain

METHODS = (("press", "press"), ("heat", "heat spot"))
WORDS = ("method", "notes", "by", "overrule_by", "overrule_reason")
"""Fields that are text; the others are numbers or empty."""
SMALL = ("travel_in", "stays_in")
"""Lengths in the small unit of the shop."""
NEEDED = (("station_in", "station"), ("high_side_rad", "clock"), ("mrad", "angle"))


class HitScreen(JobScreen):
    """The figures of one hit; what nobody read stays empty."""

    HEADING = "Note a hit"
    HOW_TO = (
        "Type what was really done: the place, the clock of the ram, the angle the press was set "
        "for. Load, travel and what the dial stayed at only if you read them; empty means not "
        "read. Each Enter is kept, so that you can go away and come back. F12 stores the hit, F5 "
        "goes back to the figures it began with. For a heat spot give the angle it was meant to "
        "take out and the temperature you measured. A correction keeps the first entry in the log "
        "and belongs to the round the hit was made in."
    )
    ACTIONS: ClassVar[tuple[Command, ...]] = (
        verb("undo", "undo", "Undo", "Back to the figures it began with"),
        verb("finish", "store", "Store", "Store this hit"),
    )
    DEFAULT_CSS = "HitScreen #safety { height: auto; padding: 0 1; }"

    def __init__(
        self,
        job_id: str,
        entry: HitEntry,
        planned: HitToMake | None = None,
        *,
        seen: tuple[str, ...] = (),
        corrects: Hit | None = None,
        stored: Callable[[], None] | None = None,
    ) -> None:
        super().__init__(job_id)
        self.entry = entry
        self.planned = planned
        self.seen = seen
        """Ids of the hits that counted when this was opened."""
        self.corrects = corrects
        """The hit that is corrected; None = a new one."""
        self.stored = stored
        """Called once the hit is stored."""
        self.values: dict[str, object] = {}
        self.unit = "thou"
        self.length_in = 0.0

    def body(self) -> ComposeResult:
        """The form and the cautions."""
        job = jobs.job(self.book, self.job_id)
        self.length_in = history.shaft_of(self.book, job).length_in
        self.unit = settings.load(self.book).unit
        kept = drafts.draft(self.book, self._draft_name)
        self.values = self._first_values() | {
            name: _from_draft(name, text) for name, text in kept.items()
        }
        yield Form(*self._specs(), save=self._save)
        yield Static(plain(f"{texts.PRESS_SAFETY}\n{texts.HEAT_SAFETY}"), id="safety")
        if self.corrects is not None:
            was = texts.recorded_text(self.corrects)
            self.later(lambda: self.say(f"Corrects: {was}. The first entry stays in the log."))
        elif kept:
            self.later(lambda: self.say("As you left it. F5 goes back to the first figures."))

    def _first_values(self) -> dict[str, object]:
        """The figures of the entry it began with; empty where there is none."""
        e = self.entry
        placed = e.asked_rad > 0
        return {
            "method": e.method,
            "station_in": round(e.station_in, 2) if placed else None,
            "high_side_rad": e.high_side_rad if placed else None,
            "mrad": 1000 * e.asked_rad if placed else None,
            "blocks_in": e.blocks_in,
            "diameter_in": e.diameter_in,
            "load_lbf": e.load_lbf,
            "travel_in": e.travel_in,
            "stays_in": e.stays_in,
            "temperature_f": e.temperature_f,
            "by": e.by,
            "notes": e.notes,
            "overrule_by": "",
            "overrule_reason": "",
        }

    def _planned_hint(self, name: str) -> str:
        """What the plan expects of a figure that only the bench can read."""
        stroke = self.planned.stroke if self.planned is not None else None
        if stroke is None:
            return "Empty when not read."
        value_in = {"travel_in": stroke.travel_in, "stays_in": stroke.stays_in}.get(name)
        expected = (
            FORCE.text(stroke.load_lbf) if value_in is None else texts.small(value_in, self.unit)
        )
        return f"As read; empty when not read. The plan expects {expected}."

    def _specs(self) -> tuple[FieldSpec, ...]:
        """The fields with the values of now."""
        v = {name: self._shown(name, value) for name, value in self.values.items()}
        u = self.unit
        return (
            FieldSpec("method", "With", "choice", v["method"], choices=METHODS),
            FieldSpec("station_in", "Station", "length", v["station_in"],
                      "Where the ram or the torch was.", least=0.0, most=self.length_in),
            FieldSpec("high_side_rad", "Clock, high side", "clock", v["high_side_rad"],
                      "Degrees, the side the ram was put on."),
            FieldSpec("mrad", "Angle asked, mrad", "number", v["mrad"],
                      "What the press was set to take out.", least=0.001, most=200.0),
            FieldSpec("blocks_in", "Blocks apart", "length", v["blocks_in"],
                      "Between the blocks, the ram half way.", least=0.5, most=self.length_in),
            FieldSpec("diameter_in", "Diameter there", "length", v["diameter_in"],
                      "Of the shaft at this place.", least=0.05, most=60.0),
            FieldSpec("load_lbf", f"Load, {FORCE.unit}", "number", v["load_lbf"],
                      self._planned_hint("load_lbf"), quantity=FORCE, least=0.0, most=1e6),
            FieldSpec("travel_in", f"Travel, {u}", "length", v["travel_in"],
                      self._planned_hint("travel_in"), unit=u, least=0.0, most=20.0),
            FieldSpec("stays_in", f"Stays, {u}", "length", v["stays_in"],
                      self._planned_hint("stays_in"), unit=u, least=0.0, most=20.0),
            FieldSpec("temperature_f", f"Temperature, {TEMPERATURE.unit}", "number",
                      v["temperature_f"],
                      "Heat spot: the highest measured, by crayon or pyrometer.",
                      quantity=TEMPERATURE, least=-100.0, most=3000.0),
            FieldSpec("by", "Made by", "text", v["by"], "Who made it, for the ticket."),
            FieldSpec("notes", "Note", "text", v["notes"]),
            FieldSpec("overrule_by", "Overruled by", "text", v["overrule_by"],
                      "Only when the program refuses: full name of the person who answers."),
            FieldSpec("overrule_reason", "Why overruled", "text", v["overrule_reason"]),
        )  # fmt: skip

    def _shown(self, name: str, value: object) -> str:
        """A value as one would type it into its field."""
        if not isinstance(value, float | int):
            return str(value or "")
        if name == "high_side_rad":
            return format_clock(value, unit="")
        if name in SMALL:
            return texts.small(value, self.unit, with_unit=False)
        if name == "diameter_in":
            return format_length(value, unit=False)
        if name in ("station_in", "blocks_in"):
            return format_length(value, 2, unit=False)
        quantity = {"load_lbf": FORCE, "temperature_f": TEMPERATURE}.get(name)
        return f"{value:.2f}" if quantity is None else quantity.typed(value)

    def _save(self, name: str, value: object) -> str | None:
        self.values[name] = value
        kept = {key: "" if value is None else str(value) for key, value in self.values.items()}
        drafts.save_draft(self.book, self._draft_name, kept)
        return None

    @property
    def _draft_name(self) -> str:
        """One draft for each hit planned, each correction, and one for a hit without a plan."""
        place = "other" if self.planned is None else f"{self.planned.hit.station_in:.2f}"
        about = self.corrects.id if self.corrects is not None else place
        return f"hit {self.job_id} {about}"

    def action_undo(self) -> None:
        """F5."""
        drafts.drop_draft(self.book, self._draft_name)
        self.values = self._first_values()
        self.query_one(Form).set_fields(self._specs(), force=True)
        self.say("Back to the first figures.", "done")

    def on_form_finished(self) -> None:
        """Enter on the last field stores, like F12."""
        self.action_store()

    def action_store(self) -> None:
        """F12."""
        with self.in_words():
            if self.settle():
                self._store()

    def _entry(self) -> HitEntry:
        v = self.values
        missing = [name for key, name in NEEDED if not isinstance(v.get(key), float | int)]
        if missing:
            raise ShaftlogError(f"Still needed: {', '.join(missing)}.")
        return HitEntry(
            station_in=_number(v["station_in"]),
            high_side_rad=_number(v["high_side_rad"]),
            asked_rad=_number(v["mrad"]) / 1000,
            method=str(v["method"]),
            load_lbf=_maybe(v["load_lbf"]),
            travel_in=_maybe(v["travel_in"]),
            stays_in=_maybe(v["stays_in"]),
            temperature_f=_maybe(v["temperature_f"]),
            blocks_in=_maybe(v["blocks_in"]),
            diameter_in=_maybe(v["diameter_in"]),
            notes=str(v["notes"] or ""),
            by=str(v["by"] or ""),
            at=self.entry.at,
            overrule_by=str(v["overrule_by"] or ""),
            overrule_reason=str(v["overrule_reason"] or ""),
        )

    def _store(self, confirmed: bool = False) -> None:
        entry = self._entry()
        if self.corrects is not None:
            made = hit_actions.correct_hit(self.book, self.corrects.id, entry)
            said = f"Corrected: {texts.recorded_text(made)}. F5 takes the correction back."
        else:
            try:
                made = hit_actions.note_hit(
                    self.book, self.job_id, entry, seen=self.seen, confirmed=confirmed
                )
            except HitsChanged as changed:
                ask_one_more(self, changed, lambda: self._store(confirmed=True))
                return
            said = f"Noted: {texts.recorded_text(made)}. F5 takes it back."
        drafts.drop_draft(self.book, self._draft_name)
        if self.stored is not None:
            self.stored()
        self.context.back()
        self.context.say(said)


def _from_draft(name: str, text: str) -> object:
    """The value behind a kept text."""
    if name in WORDS:
        return text
    return float(text) if text else None


def _number(value: object) -> float:
    assert isinstance(value, float | int)
    return float(value)


def _maybe(value: object) -> float | None:
    return float(value) if isinstance(value, float | int) else None
