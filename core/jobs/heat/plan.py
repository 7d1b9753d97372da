"""Heat spots for one bend of a job: the plan, what the bar keeps to, what it takes. Pure.

What a spot takes out has a ceiling from mechanics (`core.straightening.heat_spots`); the shop's own
share of it is learnt. Every figure of a material comes from a table with its source. Lengths
inches, angles radians, temperatures F.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from core.base.errors import ShaftlogError
from core.base.shop_records import Shaft
from core.base.units import MM_PER_IN
from core.penetrant.areas import areas_to_check
from core.runout.verdict import Area
from core.straightening.heat import HeatAdvice, advise
from core.straightening.heat_spots import (
    HeatedSpot,
    SpotPlan,
    SpotSize,
    ceiling_rad,
    plan_spot,
)
from core.straightening.plan import PlannedHit
from core.straightening.response import HitOutcome, Response
from core.tables.materials import EXPANSION, E, Material, Property, material
from core.tables.reader import read_table

ROOM_F = 70.0
"""Temperature of the bar before a spot, for the ceiling. Common practice, no source."""
LEAST_ANGLE_RAD = 1e-6
"""Recorded as asked of a spot that theory says takes nothing out."""


@dataclass(frozen=True)
class HeatFigures:
    """What the tables say of a material, for heat."""

    material: Material
    modulus: Property
    strength: Property
    expansion: Property
    advice: HeatAdvice
    diffusivity_in2_s: float

    @property
    def from_memory(self) -> tuple[str, ...]:
        """Figures of the ceiling that nobody could check against print."""
        named = (
            ("modulus", self.modulus),
            ("yield", self.strength),
            ("expansion", self.expansion),
        )
        return tuple(name for name, figure in named if figure.from_memory)


def heat_figures(shaft: Shaft, record: Sequence[HitOutcome] = ()) -> HeatFigures:
    """Figures of the shaft's material; raises in words when one is missing."""
    found = material(shaft.material)
    modulus, strength = found.figure(E, shaft.condition), found.yield_figure(shaft.condition)
    expansion = found.figure(EXPANSION, shaft.condition)
    if modulus is None or strength is None or expansion is None:
        raise ShaftlogError(
            f"Modulus, yield or expansion of {shaft.material} is not in the table: what a heat "
            "spot can take out cannot be worked out. Press it."
        )
    rows = {row["family"]: row for row in read_table("heat_properties")}
    flow = rows.get(found.family, rows["any"])
    return HeatFigures(
        found,
        modulus,
        strength,
        expansion,
        advise(shaft.material, shaft.condition, record),
        float(flow["diffusivity_mm2_s"]) / MM_PER_IN**2,
    )


def ceiling_at_rad(
    figures: HeatFigures, diameter_in: float, size: SpotSize, temperature_f: float
) -> float:
    """Most that a spot heated to a temperature can take out; 0 = it only springs back."""
    return ceiling_rad(
        diameter_in,
        size,
        rise_f=max(0.0, temperature_f - ROOM_F),
        expansion_per_f=figures.expansion.value,
        e_psi=figures.modulus.value,
        yield_psi=figures.strength.value,
    )


def keep_clear_in(shaft: Shaft, areas: Sequence[Area]) -> tuple[tuple[float, float], ...]:
    """Bearing surfaces, tapers, threads and keyways, as stated or by the usual lengths."""
    ends = areas_to_check(shaft.length_in, shaft.diameter_in, areas)
    spans = [(a.from_in, a.to_in) for a in areas] + [(a.from_in, a.to_in) for a in ends]
    return tuple(sorted((min(span), max(span)) for span in spans))


def plan_heat(
    shaft: Shaft,
    areas: Sequence[Area],
    hit: PlannedHit,
    response: Response,
    figures: HeatFigures,
    size: SpotSize,
    *,
    heated: Sequence[HeatedSpot] = (),
) -> SpotPlan:
    """The next spot at a bend, heated to the lowest of the limits.

    `heated`: spots made before on this bar.
    """
    limit_f = figures.advice.keep_under_f
    if limit_f is None:
        raise ShaftlogError(
            f"No limit of temperature is known for {shaft.material}: nothing is planned. Press it, "
            "or ask the mill and note the spot with F12."
        )
    kappa = float(hit.kappa_rad[0]), float(hit.kappa_rad[1])
    return plan_spot(
        hit.station_in,
        kappa,
        hit.high_side_rad,
        ceiling_at_rad(figures, shaft.diameter_in, size, limit_f),
        size,
        diameter_in=shaft.diameter_in,
        response=response,
        keep_clear_in=keep_clear_in(shaft, areas),
        heated=heated,
        ends_in=(0.0, shaft.length_in),
    )


def spoilt_refusal(shaft: Shaft) -> str:
    """Why this material is not heated without a name; '' = nothing is known against it."""
    try:
        advice = advise(shaft.material, shaft.condition)
    except ShaftlogError:
        return ""
    warnings = [caution.text for caution in advice.cautions if caution.kind == "warning"]
    if not warnings:
        return ""
    return f"{shaft.material}: {warnings[0]} To go on, name who overrules this, and why."
