"""A hit with figures of its own: other place, other angle, a heat spot."""

from __future__ import annotations

from typing import ClassVar

from textual.app import ComposeResult
from textual.widgets import Static

from core.book import hits, jobs, shafts
from core.desk.rounds import PlannedHit
from core.errors import ShaftlogError
from core.units import format_clock
from tui.keys import Command
from tui.screens.base import JobScreen
from tui.screens.straighten_words import HEAT_SAFETY, PRESS_SAFETY
from tui.widgets.form import FieldSpec, Form
from tui.widgets.plain import plain

METHODS = (("press", "press"), ("heat", "heat spot"))


class HitScreen(JobScreen):
    """The figures of one hit, filled in as planned."""

    HEADING = "Note a hit"
    HOW_TO = (
        "Correct what was done otherwise than planned: the place, the clock of the ram, the angle "
        "the press was set for, what the dial stayed at. F12 stores the hit. For a heat spot give "
        "the angle it was meant to take out; the program has no formula for heat and learns only "
        "from the checks."
    )
    COMMANDS: ClassVar[tuple[Command, ...]] = (
        Command("store", ("f12",), "Store", "Store this hit"),
    )
    DEFAULT_CSS = "HitScreen #safety { height: auto; padding: 1; }"

    def __init__(self, job_id: str, planned: PlannedHit | None, round_no: int) -> None:
        super().__init__(job_id)
        self.planned = planned
        self.round_no = round_no
        self.values: dict[str, object] = {"method": "press"}

    def body(self) -> ComposeResult:
        """The form and the cautions."""
        job = jobs.job(self.app.book, self.job_id)
        length_in = shafts.shaft(self.app.book, job.shaft_id).length_in
        hit = self.planned.hit if self.planned is not None else None
        stroke = self.planned.stroke if self.planned is not None else None
        if hit is not None:
            self.values |= {
                "station_in": round(hit.station_in, 2),
                "clock": hit.high_side_rad,
                "mrad": 1000 * hit.ask_for_rad,
            }
        if stroke is not None:
            self.values |= {
                "load_lbf": stroke.load_lbf,
                "travel_in": stroke.travel_in,
                "stays_in": stroke.stays_in,
            }
        yield Form(
            FieldSpec("method", "With", "choice", "press", choices=METHODS),
            FieldSpec("station_in", "Station", "length", f"{hit.station_in:.2f}" if hit else "",
                      "Where the ram or the torch was.", least=0.0, most=length_in),
            FieldSpec("clock", "Clock, high side", "clock",
                      format_clock(hit.high_side_rad, unit="") if hit else "",
                      "Degrees, the side the ram was put on."),
            FieldSpec("mrad", "Angle asked, mrad", "number",
                      f"{1000 * hit.ask_for_rad:.2f}" if hit else "",
                      "What the press was set to take out.", least=0.001, most=200.0),
            FieldSpec("load_lbf", "Load, lbf", "number", f"{stroke.load_lbf:.0f}" if stroke else "",
                      "Empty when not read.", least=0.0, most=1e6),
            FieldSpec("travel_in", "Travel under load", "length",
                      f"{stroke.travel_in:.3f}" if stroke else "", "Dial under the ram.",
                      least=0.0, most=20.0),
            FieldSpec("stays_in", "Stays after release", "length",
                      f"{stroke.stays_in:.4f}" if stroke else "", "Dial under the ram.",
                      least=0.0, most=20.0),
            FieldSpec("notes", "Note", "text"),
            save=self._save,
        )  # fmt: skip
        yield Static(plain(f"{PRESS_SAFETY}\n{HEAT_SAFETY}"), id="safety")

    def _save(self, name: str, value: object) -> str | None:
        self.values[name] = value
        return None

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
                self.app.book,
                job_id=self.job_id,
                round_no=self.round_no,
                method=str(v["method"]),
                station_in=_number(v["station_in"]),
                clock_deg=float(format_clock(_number(v["clock"]), unit="")),
                angle_rad=_number(v["mrad"]) / 1000,
                load_lbf=_maybe(v.get("load_lbf")) if press else None,
                travel_in=_maybe(v.get("travel_in")) if press else None,
                stays_in=_maybe(v.get("stays_in")),
                notes=str(v.get("notes") or ""),
            )
            self.app.back()
            self.app.say(f"Noted: hit at {made.station_in:g} in. F7 takes it back.")


def _number(value: object) -> float:
    assert isinstance(value, float | int)
    return float(value)


def _maybe(value: object) -> float | None:
    return float(value) if isinstance(value, float | int) else None
