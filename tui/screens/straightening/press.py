"""Press: one stroke worked out for any block spacing, angle and material."""

from __future__ import annotations

from typing import ClassVar

from textual.app import ComposeResult
from textual.widgets import Static

from core.base.errors import ShaftlogError
from core.base.units import format_angle, format_thou
from core.book import jobs, settings, shafts
from core.jobs.straightening import HitToMake
from core.straightening.press import (
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
from tui.screens.straightening.straighten_text import PRESS_SAFETY
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
    """Figures above, the stroke below; nothing is stored."""

    HEADING = "Press"
    HOW_TO = (
        "Theory of a solid round bar on two blocks, the ram half way: elastic, then perfectly "
        "plastic. Travel is the dial under the ram at full load, stays is the same dial after "
        "release. A prediction: the yield in your bar is not the one in the table. Creep up, "
        "release, read, go on. Choosing a material fills modulus and yield from the table."
    )
    ACTIONS: ClassVar[tuple[Command, ...]] = (
        verb("act", "spread", "Spread", "Block spacing that the press capacity allows"),
    )
    DEFAULT_CSS = """
    PressScreen #stroke { height: auto; padding: 1 1 0 1; text-style: bold; }
    PressScreen #safety { height: auto; padding: 1 1 0 1; }
    """

    def __init__(self, job_id: str, planned: HitToMake | None = None) -> None:
        super().__init__(job_id)
        self.planned = planned
        self.values: dict[str, float | None] = {}

    def body(self) -> ComposeResult:
        """The form, the stroke, the cautions."""
        book = self.book
        shop = settings.load(book)
        self.shaft = shafts.shaft(book, jobs.job(book, self.job_id).shaft_id)
        hit = self.planned.hit if self.planned is not None else None
        self.values = {
            "diameter_in": self.shaft.diameter_in,
            "span_in": shop.block_span_in,
            "capacity_lbf": shop.press_capacity_lbf,
            "station_in": round(hit.station_in, 2) if hit else None,
            "mrad": 1000 * hit.ask_for_rad if hit else None,
            **_figures(self.shaft.material, self.shaft.condition),
        }
        v = self.values
        picks = tuple((uns, found.name) for uns, found in materials().items())
        yield Form(
            FieldSpec("diameter_in", "Diameter", "length", _text(v["diameter_in"], 4), least=0.05,
                      most=60.0),
            FieldSpec("material", "Material", "pick", self.shaft.material,
                      "Fills modulus and yield from the table.", choices=picks),
            FieldSpec("e_psi", "Modulus, psi", "number", _text(v["e_psi"], 0), least=1e5, most=1e8),
            FieldSpec("yield_psi", "Yield, psi", "number", _text(v["yield_psi"], 0),
                      "Typical yield, not the least one, sets the stroke.", least=0.0, most=1e6),
            FieldSpec("span_in", "Blocks apart", "length", _text(v["span_in"], 2),
                      "Between the blocks; the ram half way."),
            FieldSpec("capacity_lbf", "Press gives, lbf", "number", _text(v["capacity_lbf"], 0),
                      least=0.0, most=1e7),
            FieldSpec("station_in", "Station of the hit", "length", _text(v["station_in"], 2),
                      "Empty when it does not matter."),
            FieldSpec("mrad", "Angle to leave, mrad", "number", _text(v["mrad"], 2),
                      "As asked for on the straighten screen.", least=0.0, most=500.0),
            save=self._save,
        )  # fmt: skip
        yield Static(id="stroke")
        yield Static(plain(PRESS_SAFETY), id="safety")

    def refresh_view(self) -> None:
        """Work the stroke out."""
        self._show()

    def _save(self, name: str, value: object) -> str | None:
        if name == "material":
            found = _figures(str(value), "")
            self.values |= found
            form = self.query_one(Form)
            for field in ("e_psi", "yield_psi"):
                form.set_field(field, _text(found[field], 0))
        else:
            self.values[name] = float(value) if isinstance(value, float | int) else None
        self._show()
        return None

    def stroke(self) -> Stroke:
        """The stroke of the figures typed; raises in words."""
        missing = [words for name, words in NEEDED if self.values.get(name) is None]
        if missing:
            raise ShaftlogError(f"Still needed: {', '.join(missing)}.")
        v = {name: value for name, value in self.values.items() if value is not None}
        middle_in = self.shaft.length_in / 2
        check_blocks_on_shaft(v.get("station_in", middle_in), v["span_in"], self.shaft.length_in)
        return stroke_for_set(
            v["diameter_in"], v["span_in"], v["e_psi"], v["yield_psi"], v["mrad"] / 1000
        )

    def _show(self) -> None:
        try:
            room_in = room_for_blocks_in(self.values["station_in"], self.shaft.length_in)
            words = stroke_words(self.stroke(), self.values["capacity_lbf"], room_in)
        except ShaftlogError as error:
            words = str(error)
        self.query_one("#stroke", Static).update(plain(words))

    def action_spread(self) -> None:
        """F4."""
        with self.in_words():
            capacity = self.values["capacity_lbf"]
            if capacity is None:
                raise ShaftlogError("Type what the press gives first.")
            span = span_for_capacity_in(self.stroke(), capacity)
            room_in = room_for_blocks_in(self.values["station_in"], self.shaft.length_in)
            if span is None or span > room_in:
                raise ShaftlogError("No block spacing on this shaft will do on this press.")
            self.say(f"Blocks {span + 0.05:.1f} in apart or more keep the press within its load.")


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


def stroke_words(stroke: Stroke, capacity_lbf: float | None, room_in: float | None = None) -> str:
    """The stroke as the bench reads it, then what to mind."""
    lines = [
        f"Load {stroke.load_lbf:,.0f} lbf ({stroke.load_lbf / 2000:.1f} short tons), ram travel "
        f"{format_thou(stroke.travel_in, 0)} under load.",
        f"After release {format_thou(stroke.stays_in)} stay ({format_angle(stroke.set_rad, 2)}), "
        f"{format_thou(stroke.springs_back_in, 0)} spring back.",
        f"It starts to yield at {stroke.yields_at_lbf:,.0f} lbf, "
        f"{format_thou(stroke.yields_at_travel_in, 0)} of travel; moment "
        f"{stroke.moment_ratio:.2f} of first yield (a hinge at 1.70).",
    ]
    said = warnings(stroke, capacity_lbf=capacity_lbf, room_in=room_in)
    lines += [f"MIND: {words}" for words in said]
    return "\n".join(lines)


def _text(value: float | None, places: int) -> str:
    return "" if value is None else f"{value:.{places}f}"
