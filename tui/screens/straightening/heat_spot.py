"""A heat spot for one bend: the plan, the cautions, and what was really done."""

from __future__ import annotations

from collections.abc import Callable
from math import degrees, radians
from typing import ClassVar

from textual.app import ComposeResult
from textual.widgets import Static

from core.base.counting import many
from core.base.errors import ShaftlogError
from core.base.quantities import TEMPERATURE
from core.base.units import format_angle, format_clock, format_length, format_station
from core.jobs.heat.choice import BendMethods, methods_of
from core.jobs.heat.plan import heat_figures, spoilt_refusal
from core.jobs.heat.spots import SpotMade, entry_of_spot, size_of, too_hot
from core.jobs.hit_actions import HitsChanged, note_hit
from core.jobs.penetrant import hit_cautions
from core.jobs.straightening import HitToMake, StraighteningState
from core.straightening.heat_spots import FIRST_ARC_RAD, SPOT_LENGTH_IN, SpotSize
from tui.base.commands import Command, verb
from tui.screens.base.screen import JobScreen
from tui.screens.straightening.hit_choice import ask_one_more
from tui.screens.straightening.hit_pages import heat_lines, method_lines
from tui.widgets.form import FieldSpec, Form
from tui.widgets.plain import plain

HEAT_CAUTIONS = (
    "FIRE AND FUMES: solvent, penetrant, rags, paint and zinc away first; extinguisher; air. Hot "
    "metal and steam burn: shield and gloves, nobody near at the quench. Class shaft: ask first."
)


class HeatScreen(JobScreen):
    """Where the spot goes, how large, how hot; then the spot as it was made."""

    HEADING = "Heat spot"
    HOW_TO = (
        "The spot goes on the high side. Its ceiling is by mechanics: what the heated metal would "
        "grow, less what it takes up elastically. How much of that your shop reaches is learnt; "
        "until then heat one small spot, let it cool, read, then the next. Type what was really "
        "done. The temperature is the highest measured, by crayon or pyrometer; empty means not "
        "measured. F12 stores the spot and starts its cooling clock. No reading counts before the "
        "bar is read cold. Not modelled: cooling rate, restraint, metal heated twice. F6 shows "
        "press and heat for each bend, F7 the limits with their sources."
    )
    ACTIONS: ClassVar[tuple[Command, ...]] = (
        verb("data", "both", "Both", "Press and heat for each bend: acts, minutes, objections"),
        verb("more", "limits", "Limits", "Temperatures with their sources, cautions, record"),
        verb("finish", "store", "Store", "Store this spot and start its cooling clock"),
    )
    DEFAULT_CSS = """
    HeatScreen #plan { height: auto; padding: 0 1; }
    HeatScreen #safety { height: auto; padding: 0 1; text-style: bold; }
    """

    def __init__(
        self,
        job_id: str,
        state: StraighteningState,
        planned: HitToMake,
        stored: Callable[[], None] | None = None,
    ) -> None:
        super().__init__(job_id)
        self.state = state
        self.planned = planned
        self.stored = stored
        """Called once the spot is stored."""
        spots = methods_of(state, planned).spots
        hit = planned.hit
        self.values: dict[str, object] = {
            "length_in": spots.size.length_in if spots is not None else SPOT_LENGTH_IN,
            "arc_deg": degrees(spots.size.arc_rad if spots is not None else FIRST_ARC_RAD),
            "station_in": spots.station_in if spots is not None else hit.station_in,
            "high_side_rad": hit.high_side_rad,
            "temperature_f": None,
            "by": state.raw.worker,
            "overrule_by": "",
            "overrule_reason": "",
        }

    def body(self) -> ComposeResult:
        """The plan, the form, the cautions."""
        v = self.values
        yield Static(id="plan")
        yield Form(
            FieldSpec("length_in", "Length along", "length", _typed(v["length_in"]),
                      f"Of the spot, at most {format_station(2)}.", least=0.1, most=2.0),
            FieldSpec("arc_deg", "Arc round, deg", "number", f"{v['arc_deg']:.0f}",
                      "20 to 30 at first, at most 120.", least=5.0, most=120.0),
            FieldSpec("station_in", "Station", "length", _typed(v["station_in"]),
                      "Middle of the spot.", least=0.0, most=self.state.raw.shaft.length_in),
            FieldSpec("temperature_f", f"Temperature, {TEMPERATURE.unit}", "number", "",
                      "Highest measured, by crayon or pyrometer; empty when not measured.",
                      quantity=TEMPERATURE, least=-100.0, most=3000.0),
            FieldSpec("by", "Made by", "text", str(v["by"])),
            FieldSpec("overrule_by", "Overruled by", "text", "",
                      "Only when the program refuses: full name of the person who answers."),
            FieldSpec("overrule_reason", "Why overruled", "text", ""),
            save=self._save,
        )  # fmt: skip
        yield Static(plain(HEAT_CAUTIONS), id="safety")

    def refresh_view(self) -> None:
        """The plan for the size typed."""
        self.query_one("#plan", Static).update(plain("\n".join(self._plan_lines())))

    def _spot_size(self) -> SpotSize:
        length, arc = self.values["length_in"], self.values["arc_deg"]
        assert isinstance(length, float | int)
        assert isinstance(arc, float | int)
        return SpotSize(float(length), radians(float(arc)))

    def _plan_lines(self) -> list[str]:
        state, hit = self.state, self.planned.hit
        first = (
            f"Bend at {format_length(hit.station_in, 2)}, high side "
            f"{format_clock(hit.high_side_rad)}: take out {format_angle(hit.angle_rad, 2)}."
        )
        both = methods_of(state, self.planned, self._spot_size())
        spoilt = spoilt_refusal(state.raw.shaft)
        against = [f"STOP: {spoilt}"] if spoilt else self._wet()
        if both.spots is None:
            return [first, *against, both.no_heat]
        return [first, *against, *self._spot_lines(both)]

    def _wet(self) -> list[str]:
        return list(hit_cautions(self.book, self.job_id, self.now)[:1])

    def _spot_lines(self, both: BendMethods) -> list[str]:
        spots, raw = both.spots, self.state.raw
        assert spots is not None
        share = self.state.responses["heat"]
        known = many(share.n_hits, "spot") if share.n_hits else "no spot measured yet"
        limit_f = heat_figures(raw.shaft).advice.keep_under_f
        limit = "" if limit_f is None else f" at {TEMPERATURE.text(limit_f)}, the limit"
        return [
            f"Spot at {format_length(spots.station_in, 2)} on the high side: "
            f"{size_of(spots, raw.shaft.diameter_in)}.",
            f"Ceiling {format_angle(spots.ceiling_rad, 2)}{limit}. "
            f"Share {share.mean:.0%} +-{share.scatter:.0%} a spot ({known}): about "
            f"{format_angle(spots.each_rad, 2)}; {many(spots.total_spots, 'spot')} in all.",
            *spots.notes,
        ]

    def _save(self, name: str, value: object) -> str | None:
        if name in ("length_in", "arc_deg", "station_in") and not isinstance(value, float | int):
            raise ShaftlogError("Type a figure.")
        self.values[name] = value
        if name in ("length_in", "arc_deg"):
            self.refresh_view()
        return None

    def _made(self) -> SpotMade:
        v, size = self.values, self._spot_size()
        station, hot = v["station_in"], v["temperature_f"]
        assert isinstance(station, float | int)
        return SpotMade(
            float(station),
            self.planned.hit.high_side_rad,
            size.length_in,
            size.arc_rad,
            float(hot) if isinstance(hot, float | int) else None,
            str(v["by"] or ""),
            str(v["overrule_by"] or ""),
            str(v["overrule_reason"] or ""),
        )

    def on_form_finished(self) -> None:
        """Enter on the last field stores, like F12."""
        self.action_store()

    def action_store(self) -> None:
        """F12."""
        with self.in_words():
            if self.settle():
                self._store()

    def _store(self, confirmed: bool = False) -> None:
        raw, made = self.state.raw, self._made()
        entry = entry_of_spot(raw, made)
        try:
            note_hit(self.book, self.job_id, entry, seen=raw.hit_ids, confirmed=confirmed)
        except HitsChanged as changed:
            ask_one_more(self, changed, lambda: self._store(confirmed=True))
            return
        if self.stored is not None:
            self.stored()
        self.context.back()
        self.context.go("cooling", self.job_id)
        self.context.say(too_hot(raw, made) or "Noted. The cooling clock runs.")

    def action_both(self) -> None:
        """F6."""
        lines = tuple(method_lines(self.state))
        self.context.go("paper", self.job_id, heading="Press or heat", lines=lines)

    def action_limits(self) -> None:
        """F7."""
        lines = tuple(heat_lines(self.state))
        self.context.go("paper", self.job_id, heading="Heat: limits", lines=lines)


def _typed(value: object) -> str:
    """A length as one would type it into its field."""
    return format_length(value, 2, unit=False) if isinstance(value, float) else ""
