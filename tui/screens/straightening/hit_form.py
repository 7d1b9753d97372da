"""A hit with figures of its own: other place, other angle, a heat spot."""

from __future__ import annotations

import math
from typing import ClassVar

from textual.app import ComposeResult
from textual.widgets import Static

from core.base.errors import ShaftlogError
from core.base.units import format_clock, format_thou
from core.book import drafts, hits, jobs, shafts
from core.jobs.straightening import HitToMake
from tui.base.commands import Command, verb
from tui.screens.base.screen import JobScreen
from tui.screens.straightening.straighten_text import HEAT_SAFETY, PRESS_SAFETY
from tui.widgets.form import FieldSpec, Form
from tui.widgets.plain import plain

METHODS = (("press", "press"), ("heat", "heat spot"))
WORDS = ("method", "notes")
"""Fields that are words; the others are numbers or empty."""


class HitScreen(JobScreen):
    """The figures of one hit, filled in as planned."""

    HEADING = "Note a hit"
    HOW_TO = (
        "Correct what was done otherwise than planned: the place, the clock of the ram, the angle "
        "the press was set for, what the dial stayed at (in thou). Each Enter is kept, so that you "
        "can go away and come back; F12 stores the hit, F5 goes back to the planned figures. For a "
        "heat spot give the angle it was meant to take out; the program has no formula for heat "
        "and learns only from the checks."
    )
    ACTIONS: ClassVar[tuple[Command, ...]] = (
        verb("undo", "plan", "As planned", "Back to the planned figures"),
        verb("finish", "store", "Store", "Store this hit"),
    )
    DEFAULT_CSS = "HitScreen #safety { height: auto; padding: 1; }"

    def __init__(
        self, job_id: str, planned: HitToMake | None, round_no: int, made_at: str = ""
    ) -> None:
        super().__init__(job_id)
        self.planned = planned
        self.round_no = round_no
        self.made_at = made_at
        """When it was made, as stored; '' = when it is noted."""
        self.values: dict[str, object] = {}

    def body(self) -> ComposeResult:
        """The form and the cautions."""
        job = jobs.job(self.book, self.job_id)
        self.length_in = shafts.shaft(self.book, job.shaft_id).length_in
        kept = drafts.draft(self.book, self._draft_name)
        self.values = self._planned() | {name: _from_draft(name, kept[name]) for name in kept}
        yield Form(*self._specs(), save=self._save)
        yield Static(plain(f"{PRESS_SAFETY}\n{HEAT_SAFETY}"), id="safety")
        if kept:
            self.later(lambda: self.say("Goes on where you left it; F5 = as planned."))

    def _planned(self) -> dict[str, object]:
        """The figures as planned; empty where there is no plan."""
        hit = self.planned.hit if self.planned is not None else None
        stroke = self.planned.stroke if self.planned is not None else None
        values: dict[str, object] = {"method": "press", "notes": ""}
        if hit is not None:
            values |= {
                "station_in": round(hit.station_in, 2),
                "clock": hit.high_side_rad,
                "mrad": 1000 * hit.ask_for_rad,
            }
        if stroke is not None:
            values |= {
                "load_lbf": stroke.load_lbf,
                "travel_in": stroke.travel_in,
                "stays_in": stroke.stays_in,
            }
        return values

    def _specs(self) -> tuple[FieldSpec, ...]:
        """The fields with the values of now."""
        v = {name: _shown(name, value) for name, value in self.values.items()}

        def of(name: str) -> str:
            return v.get(name, "")

        return (
            FieldSpec("method", "With", "choice", of("method"), choices=METHODS),
            FieldSpec("station_in", "Station", "length", of("station_in"),
                      "Where the ram or the torch was.", least=0.0, most=self.length_in),
            FieldSpec("clock", "Clock, high side", "clock", of("clock"),
                      "Degrees, the side the ram was put on."),
            FieldSpec("mrad", "Angle asked, mrad", "number", of("mrad"),
                      "What the press was set to take out.", least=0.001, most=200.0),
            FieldSpec("load_lbf", "Load, lbf", "number", of("load_lbf"),
                      "Empty when not read.", least=0.0, most=1e6),
            FieldSpec("travel_in", "Travel, thou", "length", of("travel_in"),
                      "Dial under the ram at full load, thou.", unit="thou", least=0.0, most=20.0),
            FieldSpec("stays_in", "Stays, thou", "length", of("stays_in"),
                      "The same dial after release, thou.", unit="thou", least=0.0, most=20.0),
            FieldSpec("notes", "Note", "text", of("notes")),
        )  # fmt: skip

    def _save(self, name: str, value: object) -> str | None:
        self.values[name] = value
        kept = {key: "" if value is None else str(value) for key, value in self.values.items()}
        drafts.save_draft(self.book, self._draft_name, kept)
        return None

    @property
    def _draft_name(self) -> str:
        """One draft for each hit planned in a round, one for a hit without a plan."""
        place = "other" if self.planned is None else f"{self.planned.hit.station_in:.2f}"
        return f"hit {self.job_id} {self.round_no} {place}"

    def action_plan(self) -> None:
        """F5."""
        drafts.drop_draft(self.book, self._draft_name)
        self.values = self._planned()
        self.query_one(Form).set_fields(self._specs(), force=True)
        self.say("Back to the planned figures.", "done")

    def on_form_finished(self) -> None:
        """Enter on the last field stores, like F12."""
        self.action_store()

    def action_store(self) -> None:
        """F12."""
        with self.in_words():
            if not self.settle():
                return
            v = self.values
            missing = [
                words
                for name, words in (
                    ("station_in", "station"),
                    ("clock", "clock"),
                    ("mrad", "angle"),
                )
                if not isinstance(v.get(name), float | int)
            ]
            if missing:
                raise ShaftlogError(f"Still needed: {', '.join(missing)}.")
            press = v["method"] == "press"
            made = hits.add_hit(
                self.book,
                job_id=self.job_id,
                round_no=self.round_no,
                method=str(v["method"]),
                station_in=_number(v["station_in"]),
                clock_deg=math.degrees(_number(v["clock"])) % 360,
                angle_rad=_number(v["mrad"]) / 1000,
                load_lbf=_maybe(v.get("load_lbf")) if press else None,
                travel_in=_maybe(v.get("travel_in")) if press else None,
                stays_in=_maybe(v.get("stays_in")) if press else None,
                notes=str(v.get("notes") or ""),
                at=self.made_at,
            )
            drafts.drop_draft(self.book, self._draft_name)
            self.context.back()
            self.context.say(f"Noted: hit at {made.station_in:g} in. F5 takes it back.")


def _shown(name: str, value: object) -> str:
    """A value as one would type it into its field."""
    if not isinstance(value, float | int):
        return str(value or "")
    if name == "clock":
        return format_clock(value, unit="")
    if name in ("travel_in", "stays_in"):
        return format_thou(value, 1, unit=False)
    places = {"load_lbf": 0, "mrad": 2}.get(name, 2)
    return f"{value:.{places}f}"


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
