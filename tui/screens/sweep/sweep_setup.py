"""A new sweep: what for, which marks, rollers, dial; or the same of the sweep in hand."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import ClassVar

from textual.app import ComposeResult

from core.base.dial_unit import shown_dial_unit
from core.base.errors import BadShaft, ShaftlogError
from core.base.records import PURPOSES, Sweep
from core.base.units import format_station, format_typed, length_unit
from core.book import drafts, sweeps
from core.jobs.sweep import sweep_entry
from core.jobs.sweep.sweep_entry import SweepJob, sweep_job
from core.runout.stations import mark_list
from tui.base.commands import Command, verb
from tui.screens.base.screen import JobScreen
from tui.screens.intake.intake_fields import size_text, understood
from tui.widgets.canvas import LineView
from tui.widgets.form import FieldSpec, Form
from tui.widgets.shaft_picture import PictureArea, ShaftPicture, ShaftSketch

WAYS = (
    ("8", "eight marks"),
    ("6", "six"),
    ("12", "twelve"),
    ("16", "sixteen"),
    ("quick", "quick way"),
)
DIRECTIONS = (("1", "marks rising"), ("-1", "backwards"))
ORDERS = (("listed", "along the list"), ("tells", "where it tells most"))
YES_NO = (("no", "no"), ("yes", "yes"))
REPEATS = ("hold check", "final")
"""Purposes of sweeps that are compared with the full sweep before them, station by station."""
_DIAL_FIELDS = ("resolution_in", "repeatability_in", "dial_turn_in")


class SweepSetupScreen(JobScreen):
    """Fields of a sweep; every one has a sensible value already, F12 starts."""

    HEADING = "Set up a sweep"
    HOW_TO = (
        "Everything is filled in as at the last sweep: look it over and press F12 to start. "
        "Rollers: stations of the two roller pairs. A hold check and a final sweep take the "
        "stations of the full sweep before them, unless spacing or rollers are changed. Next "
        "station, where it tells most: for a bent shaft as received. The program goes on by itself "
        "and says when enough is read; you may go elsewhere at any time. Rolled "
        "backwards: the chalk marks pass the dial in falling order; it can still be said after the "
        "readings were taken. The quick way asks for the swing of the dial and the clock of the "
        "high spot only; it cannot tell a bend from an oval shaft. With the first mark read again "
        "at the end, a dial that moved is found."
    )
    ACTIONS: ClassVar[tuple[Command, ...]] = (
        verb("finish", "start", "Read", "Begin the sweep with these figures, or go on with it"),
    )

    def __init__(
        self,
        job_id: str,
        sweep_id: str | None = None,
        *,
        then: Callable[[str], None] | None = None,
        purpose: str = "",
    ) -> None:
        super().__init__(job_id)
        self.sweep_id = sweep_id
        """The sweep being changed; None = a new one."""
        self.then = then
        """Called with the id of the sweep that was started."""
        self.purpose = purpose
        self.last_full: Sweep | None = None
        """The newest finished sweep of the whole shaft: a repeat is read at its stations."""
        self.values: dict[str, object] = {}

    # -- fields ------------------------------------------------------------------------------------

    def body(self) -> ComposeResult:
        """The form."""
        job = sweep_job(self.book, self.job_id)
        found = sweeps.sweeps_of(self.book, self.job_id)
        full = [s for s in found if s.finished_at and s.purpose != "quick check"]
        self.last_full = full[-1] if full else None
        if self.sweep_id is not None:
            yield self.shared_form(self._held_specs, self._save)
        else:
            last = found[-1] if found else None
            kept = _from_draft(drafts.draft(self.book, self._draft_name))
            self.values = _first_values(job, last, self.purpose) | kept
            if self.purpose:
                self.values["purpose"] = self.purpose
            yield Form(*self._specs(), save=self._save)
        yield LineView(id="plan")
        yield ShaftPicture()

    def _held_specs(self) -> list[FieldSpec]:
        """The fields of the sweep being changed, as the book holds it."""
        assert self.sweep_id is not None
        sweep = sweeps.sweep(self.book, self.sweep_id)
        tells = sweep_entry.goes_by_itself(self.book, sweep)
        self.values = _values_of(sweep) | {"order": "tells" if tells else "listed"}
        return self._specs()

    def refresh_view(self) -> None:
        """Draw the shaft on its rollers, and say how much there is to read."""
        job = sweep_job(self.book, self.job_id)
        rollers = tuple(
            v for n in ("roller_a_in", "roller_b_in") if isinstance(v := self.values[n], float)
        )
        areas = tuple(PictureArea(a.name, a.from_in, a.to_in) for a in job.areas)
        sketch = ShaftSketch(job.shaft.length_in, job.shaft.zero_end, areas, rollers)
        self.query_one(ShaftPicture).show(sketch)
        self.query_one("#plan", LineView).show(self._plan_words(job))

    def _plan_words(self, job: SweepJob) -> str:
        if self.sweep_id is not None:
            return ""
        try:
            stations = len(self._station_list(job))
        except ShaftlogError:
            return ""
        marks = 2 if self.values["way"] == "quick" else int(str(self.values["way"]))
        marks += self.values["way"] != "quick" and self.values["closing"] == "yes"
        same = " as in the last full sweep" if self._repeated(job) else ""
        return f"{stations} stations{same}, {marks} readings each: {stations * marks} readings."

    def _specs(self) -> list[FieldSpec]:
        v, unit = self.values, shown_dial_unit()
        specs = [
            FieldSpec(
                "purpose",
                "For",
                "choice",
                str(v["purpose"]),
                choices=tuple((p, p) for p in PURPOSES),
            ),
            FieldSpec("way", "Read", "choice", str(v["way"]), choices=WAYS),
            _length("roller_a_in", "Roller A at", v, "Station of the first pair of rollers."),
            _length("roller_b_in", "Roller B at", v, "Station of the second pair of rollers."),
            _length("spacing_in", "Stations every", v, "The list can be changed with F8 later."),
            FieldSpec("order", "Next station", "choice", str(v["order"]), choices=ORDERS),
            FieldSpec("direction", "Rolled", "choice", str(v["direction"]), choices=DIRECTIONS),
            FieldSpec("closing", "First mark again", "choice", str(v["closing"]), choices=YES_NO),
            _dial("resolution_in", "Dial graduation", v, f"In {unit}, or with its unit."),
            _dial(
                "dial_turn_in",
                "One turn of dial",
                v,
                f"Travel in {unit}.",
            ),
            _dial("repeatability_in", "Repeatability", v, "Empty: worked out from the sweep."),
            FieldSpec("gauge", "Gauge", value=str(v["gauge"]), hint="Which dial, for the ticket."),
            FieldSpec(
                "measured_by", "Read by", value=str(v["measured_by"]), hint="For the ticket."
            ),
        ]
        return [s for s in specs if self.sweep_id is None or s.name != "spacing_in"]

    def _save(self, name: str, value: object) -> str | None:
        if self.read_only:
            raise ShaftlogError("This job is closed: nothing can be changed. Esc goes back.")
        if name in ("roller_a_in", "roller_b_in", "spacing_in", "resolution_in", "dial_turn_in"):
            self._check_length(name, value)
        self.values[name] = value
        if self.sweep_id is not None and name == "order":
            sweep = sweeps.sweep(self.book, self.sweep_id)
            sweep_entry.choose_order(self.book, sweep, value == "tells")
            self.say("Changed; the readings stay.", "done")
        elif self.sweep_id is not None:
            changes = _changes(name, value)
            sweeps.change_sweep(self.book, self.sweep_id, **changes)
            self.say("Changed; the readings stay.", "done")
        else:
            self._keep_draft()
        self.refresh_view()
        return _echo(name, value)

    def _check_length(self, name: str, value: object) -> None:
        length_in = sweep_job(self.book, self.job_id).shaft.length_in
        if not isinstance(value, float):
            raise BadShaft("This one is needed: type a number.")
        if name.startswith("roller") and not 0 <= value <= length_in:
            raise BadShaft(
                f"A roller at {format_station(value)} is outside the shaft (0 to "
                f"{format_station(length_in)}). Check it."
            )
        if not name.startswith("roller") and value <= 0:
            raise BadShaft("It must be more than 0. Check the number and its unit.")
        other = {"roller_a_in": "roller_b_in", "roller_b_in": "roller_a_in"}.get(name)
        if other and self.values.get(other) == value:
            raise BadShaft("Both rollers at one place: a shaft needs two supports. Check them.")

    def _keep_draft(self) -> None:
        kept = {name: "" if value is None else str(value) for name, value in self.values.items()}
        drafts.save_draft(self.book, self._draft_name, kept)

    @property
    def _draft_name(self) -> str:
        return f"new sweep {self.job_id}"

    # -- starting ----------------------------------------------------------------------------------

    def on_form_finished(self) -> None:
        """Enter on the last field."""
        self.action_start()

    def action_start(self) -> None:
        """F12."""
        if not self.settle():
            return
        if self.sweep_id is not None:
            self.context.back()
            return
        with self.in_words():
            if self.read_only:
                raise ShaftlogError("This job is closed: start a new job on the shaft instead.")
            sweep = self._start()
            drafts.drop_draft(self.book, self._draft_name)
            self.context.back()
            if self.then is not None:
                self.then(sweep.id)

    def _repeated(self, job: SweepJob) -> tuple[float, ...]:
        """Stations of the sweep that a hold check or final sweep repeats; () = a list of its own.

        Another spacing or other rollers ask for a new list.
        """
        last, v = self.last_full, self.values
        if last is None or v["purpose"] not in REPEATS or v["spacing_in"] != job.shop.spacing_in:
            return ()
        same = (v["roller_a_in"], v["roller_b_in"]) == (last.roller_a_in, last.roller_b_in)
        return last.stations_in if same else ()

    def _station_list(self, job: SweepJob) -> tuple[float, ...]:
        """Stations from length, spacing, rollers and riding areas, or those of the last sweep."""
        if repeated := self._repeated(job):
            return repeated
        needed = [self.values[name] for name in ("roller_a_in", "roller_b_in", "spacing_in")]
        numbers = [v for v in needed if isinstance(v, float)]
        if len(numbers) < 3:
            raise BadShaft("Type where both rollers stand: the shape is seen from them.")
        return job.stations_in(numbers[2], numbers[:2])

    def _start(self) -> Sweep:
        v = self.values
        job = sweep_job(self.book, self.job_id)
        stations = self._station_list(job)
        changes: dict[str, object] = {}
        for name in (
            "purpose",
            "way",
            "direction",
            "closing",
            "gauge",
            "measured_by",
            *_DIAL_FIELDS,
        ):
            changes |= _changes(name, v[name])
        return sweep_entry.begin_sweep(
            self.book,
            self.job_id,
            tells=v["order"] == "tells",
            roller_a_in=float(v["roller_a_in"]),  # type: ignore[arg-type]
            roller_b_in=float(v["roller_b_in"]),  # type: ignore[arg-type]
            stations_in=stations,
            **changes,
        )


def _length(name: str, label: str, values: dict[str, object], hint: str) -> FieldSpec:
    value = values.get(name)
    known = value if isinstance(value, float) else None
    echo = "" if known is None else understood(known)
    text, unit = size_text(known), length_unit()
    return FieldSpec(name, label, "length", text, hint, unit=unit, echo=echo, least=0.0)


def _dial(name: str, label: str, values: dict[str, object], hint: str) -> FieldSpec:
    value = values.get(name)
    unit = shown_dial_unit()
    text = format_typed(value, unit) if isinstance(value, float) else ""
    return FieldSpec(
        name,
        label,
        "length",
        text,
        hint,
        unit=unit,
        echo=_echo(name, value) or "",
        least=0.0,
        most=1.0,
    )


def _echo(name: str, value: object) -> str | None:
    if not isinstance(value, float):
        return None
    if name in _DIAL_FIELDS:
        unit = shown_dial_unit()
        return f"= {format_typed(value, unit)} {unit}"
    return understood(value)


def _changes(name: str, value: object) -> dict[str, object]:
    """A field of the form as columns of the sweep."""
    if name == "way":
        marks = () if value == "quick" else mark_list(int(str(value)))
        return {"marks_deg": marks}
    if name == "direction":
        return {"direction": int(str(value))}
    if name == "closing":
        return {"closing": value == "yes"}
    return {name: value}


def _values_of(sweep: Sweep) -> dict[str, object]:
    """The fields of a sweep that exists."""
    return {
        "purpose": sweep.purpose,
        "way": str(len(sweep.marks_deg)) if sweep.marks_deg else "quick",
        "roller_a_in": sweep.roller_a_in,
        "roller_b_in": sweep.roller_b_in,
        "spacing_in": None,
        "order": "listed",
        "direction": str(sweep.direction),
        "closing": "yes" if sweep.closing else "no",
        "resolution_in": sweep.resolution_in,
        "dial_turn_in": sweep.dial_turn_in,
        "repeatability_in": sweep.repeatability_in,
        "gauge": sweep.gauge,
        "measured_by": sweep.measured_by,
    }


def _from_draft(kept: Mapping[str, str]) -> dict[str, object]:
    """Fields of a set-up that was left before it was started."""
    return {
        name: (float(text) if text else None) if name.endswith("_in") else text
        for name, text in kept.items()
    }


def _first_values(job: SweepJob, last: Sweep | None, purpose: str) -> dict[str, object]:
    """The fields of a new sweep: as at the last one, else as the shop usually does."""
    shop = job.shop
    if last is not None:
        values = _values_of(last) | {"spacing_in": shop.spacing_in}
        values["purpose"] = purpose or ("working" if last.finished_at else last.purpose)
        return values
    return {
        "purpose": purpose or PURPOSES[0],
        "way": str(shop.marks),
        "roller_a_in": job.job.roller_a_in,
        "roller_b_in": job.job.roller_b_in,
        "spacing_in": shop.spacing_in,
        "order": "listed",
        "direction": "1",
        "closing": "yes" if shop.closing_mark else "no",
        "resolution_in": shop.resolution_in,
        "dial_turn_in": shop.dial_turn_in,
        "repeatability_in": shop.repeatability_in,
        "gauge": shop.gauge,
        "measured_by": "",
    }
