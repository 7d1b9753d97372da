"""What a job brings along to the measuring bench: sizes, engine, settings. Pure."""

from __future__ import annotations

from dataclasses import dataclass

from core.base.errors import ShaftlogError
from core.base.quantities import MODULUS, STRESS
from core.base.units import Unit
from core.fitting.measured.band import Band, Rule
from core.fitting.shaft.sizing import torque_lbf_in
from core.tables.materials import EXPANSION, POISSON, E, Material, Property, material


@dataclass(frozen=True)
class FitFacts:
    """Facts of the job, vessel and shop that the measured figures are compared with."""

    tag: str
    diameter_in: float
    length_in: float
    material: str
    """UNS number or the shop's own words."""
    condition: str
    engine_hp: float | None
    shaft_rpm: float | None
    band_least_in: float
    band_most_in: float
    face_limit_in: float
    pilot_limit_in: float
    rule: Rule
    resolution_in: float
    repeatability_in: float | None
    unit: Unit
    """Unit in which the shop reads a dial."""

    @property
    def size_unit(self) -> Unit:
        """Unit in which a mike is read: a shop that reads thou has inch mikes."""
        return "mm" if self.unit == "mm" else "in"

    @property
    def band(self) -> Band:
        """The shop's own band of clearance for a coupling bore."""
        return Band(self.band_least_in, self.band_most_in, "the shop's band")

    @property
    def torque_lbf_in(self) -> float | None:
        """Torque of the shaft at the engine's full power, nothing lost in the gear; None = not
        known."""
        if not self.engine_hp or not self.shaft_rpm:
            return None
        return torque_lbf_in(power_hp=self.engine_hp, shaft_rpm=self.shaft_rpm)


@dataclass(frozen=True)
class Metal:
    """The figures of one material that a fit needs; None = not in the table."""

    name: str
    e: Property | None
    poisson: Property | None
    yield_stress: Property | None
    expansion: Property | None

    @property
    def remarks(self) -> tuple[str, ...]:
        """Where the figures come from, and those from memory by name."""
        parts = []
        for figure, words in ((self.yield_stress, "yield"), (self.e, "modulus")):
            if figure is not None:
                memory = ", FROM MEMORY" if figure.from_memory else ""
                where = f", {figure.condition}" if figure.condition else ""
                shown = (STRESS if words == "yield" else MODULUS).text(figure.value)
                parts.append(f"{words} {shown}{where}{memory}")
        return (f"{self.name}: {'; '.join(parts)}",) if parts else ()


def metal(name: str, condition: str = "") -> Metal | None:
    """Figures of a material by its UNS number; None when the table does not have it."""
    if not name.strip():
        return None
    try:
        found: Material = material(name)
    except ShaftlogError:
        return None
    return Metal(
        name=found.uns,
        e=found.figure(E, condition),
        poisson=found.figure(POISSON, condition),
        yield_stress=found.yield_figure(condition),
        expansion=found.figure(EXPANSION, condition),
    )
