"""Press: its set-up for a job, and one stroke worked out for any angle and material."""

from __future__ import annotations

from typing import ClassVar

from textual.app import ComposeResult
from textual.widgets import Static

from core.base.errors import ShaftlogError
from core.base.quantities import FORCE, MODULUS, STRESS
from core.base.units import format_angle, format_length, format_station, length_unit
from core.jobs.press_setup import press_setup, save_press_setup
from core.jobs.straightening import HitToMake
from core.straightening.press import (
    PLASTIC_RATIO,
    Stroke,
    check_blocks_on_shaft,
    room_for_blocks_in,
    span_for_capacity_in,
    stroke_for_set,
    warnings,
)
from core.tables.materials import E, material, materials
from tui.base.commands import Command, verb
from tui.screens.base.screen import JobScreen
from tui.screens.straightening.straighten_text import PRESS_SAFETY, small
from tui.widgets.form import FieldSpec, Form
from tui.widgets.plain import plain

NEEDED = (
    ("diameter_in", "diameter"),
    ("e_psi", "modulus"),
    ("yield_psi", "yield"),
    ("span_in", "blocks"),
    ("mrad", "angle"),
)


class PressScreen(JobScreen):
    """Set-up of the press above, the stroke below. Blocks and name are stored with the job."""

    HEADING = "Press"
    HOW_TO = (
        "Blocks and the name of who works are stored with the job: every load on the straighten "
        "screen is then for these blocks, and each hit records them. The other figures only work "
        "out the stroke shown here. Theory of a solid round bar on two blocks, the ram half way: "
        "elastic, then perfectly plastic. Travel is the dial under the ram at full load, stays is "
        "the same dial after release. Load and travel are a caution and a ceiling: the yield of "
        "your bar is not that of the table. Creep up, release, read what stays, go on until it "
        "stays at the figure. On a taper or step type the diameter there."
    )
    ACTIONS: ClassVar[tuple[Command, ...]] = (
        verb("act", "spread", "Spread", "Block spacing that the press capacity allows"),
        verb("undo", "undo", "Undo", "Back to the shop's block spacing"),
    )
    DEFAULT_CSS = """
    PressScreen Form { height: 1fr; min-height: 3; }
    PressScreen #stroke { height: auto; padding: 1 1 0 1; text-style: bold; }
    PressScreen #safety { height: auto; padding: 1 1 0 1; }
    """

    def __init__(self, job_id: str, planned: HitToMake | None = None) -> None:
        super().__init__(job_id)
        self.planned = planned
        self.values: dict[str, float | None] = {}
        self.length_in = 0.0
        self.unit = "thou"

    def body(self) -> ComposeResult:
        """The form, the stroke, the cautions."""
        setup = press_setup(self.book, self.job_id)
        shaft = setup.shaft
        self.length_in, self.unit = shaft.length_in, setup.shop.unit
        hit = self.planned.hit if self.planned is not None else None
        self.values = {
            "diameter_in": shaft.diameter_in,
            "span_in": setup.blocks_in,
            "capacity_lbf": setup.shop.press_capacity_lbf,
            "station_in": round(hit.station_in, 2) if hit else None,
            "mrad": 1000 * hit.ask_for_rad if hit else None,
            **_figures(shaft.material, shaft.condition),
        }
        v = self.values
        picks = tuple((uns, found.name) for uns, found in materials().items())
        yield self.shared_form(self._stored_specs, self._save, (
            FieldSpec("diameter_in", "Diameter there", "length", _length(v["diameter_in"], 4),
                      "On a taper or step: as measured at the hit.", least=0.05, most=60.0),
            FieldSpec("material", "Material", "pick", shaft.material,
                      "Fills modulus and yield from the table.", choices=picks),
            FieldSpec("e_psi", f"Modulus, {MODULUS.unit}", "number", MODULUS.typed(v["e_psi"]),
                      quantity=MODULUS, least=1e5, most=1e8),
            FieldSpec("yield_psi", f"Yield, {STRESS.unit}", "number", STRESS.typed(v["yield_psi"]),
                      "Typical yield, not the least one.", quantity=STRESS, least=0.0, most=1e6),
            FieldSpec("capacity_lbf", f"Press gives, {FORCE.unit}", "number",
                      FORCE.typed(v["capacity_lbf"]), quantity=FORCE, least=0.0, most=1e7),
            FieldSpec("station_in", "Station of the hit", "length", _length(v["station_in"], 2),
                      "Empty when it does not matter."),
            FieldSpec("mrad", "Angle to leave, mrad", "number", _text(v["mrad"], 2),
                      "As asked for on the straighten screen.", least=0.0, most=500.0),
        ))  # fmt: skip
        yield Static(id="stroke")
        yield Static(plain(PRESS_SAFETY), id="safety")

    def on_mount(self) -> None:
        """The form gives room to the figures and the cautions: they are seen whole."""
        form = self.query_one(Form)
        form.styles.max_height = len(form.fields)

    def _stored_specs(self) -> tuple[FieldSpec, ...]:
        """The fields that are stored with the job."""
        setup = press_setup(self.book, self.job_id)
        return (
            FieldSpec("span_in", "Blocks apart", "length", _length(setup.blocks_in, 2),
                      "Stored for this job. Between the blocks; the ram half way.", least=0.5,
                      most=self.length_in),
            FieldSpec("worker", "Who works", "text", setup.worker,
                      "Stored for this job: the name on the ticket for hits and penetrant."),
        )  # fmt: skip

    def refresh_view(self) -> None:
        """Show the set-up of the job and work the stroke out."""
        self.values["span_in"] = press_setup(self.book, self.job_id).blocks_in
        self._show()

    def _save(self, name: str, value: object) -> str | None:
        said = None
        if name in ("worker", "span_in"):
            said = self._store_setup(name, value)
        elif name == "material":
            found = _figures(str(value), "")
            self.values |= found
            form = self.query_one(Form)
            for field, quantity in (("e_psi", MODULUS), ("yield_psi", STRESS)):
                form.set_field(field, quantity.typed(found[field]))
        else:
            self.values[name] = float(value) if isinstance(value, float | int) else None
            said = "only for the stroke below"
        self._show()
        return said

    def _store_setup(self, name: str, value: object) -> str:
        """Blocks or name into the job; what was stored, in words."""
        if self.read_only:
            raise ShaftlogError("This job is closed: its set-up can be read, not changed.")
        if name == "worker":
            save_press_setup(self.book, self.job_id, worker=str(value).strip())
            return "stored for this job"
        blocks_in = float(value) if isinstance(value, float | int) else None
        save_press_setup(self.book, self.job_id, blocks_in=blocks_in)
        self.values["span_in"] = press_setup(self.book, self.job_id).blocks_in
        return "stored for this job" if blocks_in is not None else "the shop's setting"

    def stroke(self) -> Stroke:
        """The stroke of the figures typed; raises in words."""
        missing = [words for name, words in NEEDED if self.values.get(name) is None]
        if missing:
            raise ShaftlogError(f"Still needed: {', '.join(missing)}.")
        v = {name: value for name, value in self.values.items() if value is not None}
        check_blocks_on_shaft(v.get("station_in", self.length_in / 2), v["span_in"], self.length_in)
        return stroke_for_set(
            v["diameter_in"], v["span_in"], v["e_psi"], v["yield_psi"], v["mrad"] / 1000
        )

    def _show(self) -> None:
        try:
            room_in = room_for_blocks_in(self.values["station_in"], self.length_in)
            text = stroke_text(self.stroke(), self.values["capacity_lbf"], room_in, self.unit)
        except ShaftlogError as error:
            text = str(error)
        self.query_one("#stroke", Static).update(plain(text))

    def action_spread(self) -> None:
        """F4."""
        with self.in_words():
            capacity = self.values["capacity_lbf"]
            if capacity is None:
                raise ShaftlogError("Type what the press gives first.")
            span = span_for_capacity_in(self.stroke(), capacity)
            room_in = room_for_blocks_in(self.values["station_in"], self.length_in)
            if span is None or span > room_in:
                raise ShaftlogError("No block spacing on this shaft will do on this press.")
            self.say(
                f"Blocks {format_length(span + 0.05, 1)} apart or more keep the press within its "
                "load. Type them in if you set them."
            )

    def action_undo(self) -> None:
        """F5."""
        with self.in_words():
            self._store_setup("span_in", None)
            self.refresh_view()
            self.query_one(Form).set_fields(self._stored_specs(), force=True)
            self.say("Blocks: back to the shop's setting.", "done")


def _figures(uns: str, condition: str) -> dict[str, float | None]:
    """Modulus and yield of a material by the table; None where it has none."""
    try:
        found = material(uns)
    except ShaftlogError:
        return {"e_psi": None, "yield_psi": None}
    modulus, strength = found.figure(E, condition), found.yield_figure(condition)
    return {
        "e_psi": modulus.value if modulus else None,
        "yield_psi": strength.value if strength else None,
    }


def stroke_text(
    stroke: Stroke, capacity_lbf: float | None, room_in: float | None = None, unit: str = "thou"
) -> str:
    """The stroke as the bench reads it, with its ceiling, then what to mind."""
    lines = [
        f"Blocks {format_station(stroke.span_in)}: load {FORCE.text(stroke.load_lbf)}"
        f"{_short_tons(stroke.load_lbf)}, ram travel "
        f"{small(stroke.travel_in, unit)} under load.",
        f"After release {small(stroke.stays_in, unit)} stay ({format_angle(stroke.set_rad, 2)}), "
        f"{small(stroke.springs_back_in, unit)} spring back.",
        f"It starts to yield at {FORCE.text(stroke.yields_at_lbf)}, "
        f"{small(stroke.yields_at_travel_in, unit)} of travel. Moment {stroke.moment_ratio:.2f} of "
        f"first yield. CEILING {FORCE.text(stroke.yields_at_lbf * PLASTIC_RATIO)}: there it "
        "folds as a hinge.",
    ]
    said = warnings(stroke, capacity_lbf=capacity_lbf, room_in=room_in)
    lines += [f"MIND: {text}" for text in said]
    return "\n".join(lines)


def _short_tons(load_lbf: float) -> str:
    """As the gauge of an inch shop's press shows it."""
    return f" ({load_lbf / 2000:.1f} short tons)" if length_unit() == "in" else ""


def _length(value_in: float | None, places: int) -> str:
    return "" if value_in is None else format_length(value_in, places, unit=False)


def _text(value: float | None, places: int) -> str:
    return "" if value is None else f"{value:.{places}f}"
