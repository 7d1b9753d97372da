"""Shaft materials by UNS number: modulus, yield, density and the rest, each with its source.

Figures come from `core/tables/materials.csv`. Where sources disagree all figures stay in the table
and `Material.disagreements` names them; a figure from memory says so in its status. Units: psi,
lb/in3, per degree F.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from core.base.errors import ShaftlogError
from core.base.quantities import MASS_DENSITY, MODULUS, STRESS
from core.tables.reader import read_table

E, G, YIELD = "e_psi", "g_psi", "yield_psi"
YIELD_MIN, TORSIONAL_YIELD = "yield_min_psi", "torsional_yield_psi"
DENSITY, POISSON, EXPANSION = "density_lb_in3", "poisson", "expansion_per_f"
MAGNETIC = "magnetic"
WORDS = {
    E: "modulus of elasticity",
    G: "shear modulus",
    YIELD: "yield strength",
    YIELD_MIN: "least yield strength",
    TORSIONAL_YIELD: "torsional yield used for sizing",
    DENSITY: "density",
    POISSON: "Poisson's ratio",
    EXPANSION: "thermal expansion",
}
_QUANTITIES = {E: MODULUS, G: MODULUS, YIELD: STRESS, YIELD_MIN: STRESS, TORSIONAL_YIELD: STRESS,
               DENSITY: MASS_DENSITY}  # fmt: skip
SAME = 0.005
"""Figures closer than this share of each other do not disagree."""


@dataclass(frozen=True)
class Property:
    """One figure of one material as one source gives it."""

    what: str
    """One of the names above."""
    value: float
    condition: str
    printed: str
    """As printed, with the unit of the source."""
    status: str
    source: str

    @property
    def shown(self) -> str:
        """As printed; in a metric shop in its units."""
        quantity = _QUANTITIES.get(self.what)
        metric = quantity is not None and quantity.shown_in is quantity.metric
        return quantity.text(self.value) if quantity is not None and metric else self.printed

    @property
    def from_memory(self) -> bool:
        """True when it could not be checked against print."""
        return "memory" in self.status or "memory" in self.source


@dataclass(frozen=True)
class Material:
    """All figures of one material."""

    uns: str
    name: str
    family: str
    """Family whose heat cautions apply (see `core.straightening.heat`)."""
    magnetic: str
    """'yes', 'no' or a few words; '' = not known."""
    figures: tuple[Property, ...]

    def all_of(self, what: str) -> tuple[Property, ...]:
        """Every figure of one property, published ones first, in table order."""
        found = [f for f in self.figures if f.what == what]
        return tuple(sorted(found, key=lambda f: f.from_memory))

    def figure(self, what: str, condition: str = "") -> Property | None:
        """The figure to use: of the condition where there is one, else the first; None = none."""
        found = self.all_of(what)
        own = [f for f in found if condition and f.condition == condition]
        return next(iter(own or found), None)

    def yield_figure(self, condition: str = "") -> Property | None:
        """Yield strength of a condition, a typical figure before a least one."""
        found = self.all_of(YIELD) + self.all_of(YIELD_MIN)
        own = [f for f in found if condition and f.condition == condition]
        return next(iter(own or found), None)

    @property
    def conditions(self) -> tuple[str, ...]:
        """Conditions that have a yield strength of their own."""
        return tuple(dict.fromkeys(f.condition for f in self.figures if f.what in _YIELDS))

    def disagreements(self) -> tuple[str, ...]:
        """Sentences naming each property whose sources differ (yields differ by condition)."""
        said = []
        for what, words in WORDS.items():
            values = sorted({f.value for f in self.all_of(what)})
            if what in _YIELDS or len(values) < 2 or values[-1] < values[0] * (1 + SAME):
                continue
            printed = "; ".join(f"{f.shown} ({f.source})" for f in self.all_of(what))
            said.append(f"Sources differ on the {words}: {printed}.")
        return tuple(said)


_YIELDS = (YIELD, YIELD_MIN)


@cache
def materials() -> dict[str, Material]:
    """All materials by UNS number, in table order."""
    rows = read_table("materials")
    found: dict[str, Material] = {}
    for uns in dict.fromkeys(row["uns"] for row in rows):
        own = [row for row in rows if row["uns"] == uns]
        words = {row["property"]: row["value"] for row in own}
        found[uns] = Material(
            uns=uns,
            name=words["name"],
            family=words["family"],
            magnetic=words.get(MAGNETIC, ""),
            figures=tuple(
                Property(
                    what=row["property"],
                    value=float(row["value"]),
                    condition=row["condition"],
                    printed=row["printed"],
                    status=row["status"],
                    source=row["source"],
                )
                for row in own
                if row["property"] in WORDS
            ),
        )
    return found


def material(uns: str) -> Material:
    """One material; the number is taken with or without spaces and in either case."""
    found = materials().get(uns.strip().upper())
    if found is None:
        known = ", ".join(materials())
        raise ShaftlogError(
            f"No figures for material {uns.strip() or '(none)'}. Known are {known}; or type the "
            "modulus and the yield strength yourself."
        )
    return found
