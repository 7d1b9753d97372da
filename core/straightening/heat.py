"""Heat spots: what is known, and no more.

How far a heat spot moves a shaft depends on torch, spot, size and cooling; there is no honest
formula. The only figure given is the shop's own record (`core.straightening.response`), and
without one the
program says so. Temperatures to keep to come from `core/tables/heat_cautions.csv`, each with its
status and source; where sources differ all are shown and the lowest is the one to keep.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from core.base.quantities import TEMPERATURE, in_shop_figures
from core.base.units import in_shop_unit
from core.straightening.response import HEAT, HitOutcome, Response, response_for
from core.tables.materials import material
from core.tables.reader import read_table

LEAST_RECORD = 3
"""Heat hits of the same material before the shop's own response is given."""
SAFETY = (
    "Fire and fumes: clear solvent, penetrant and rags away first, extinguisher at hand.",
    "Zinc and paint fumes harm: strip coatings, air the place.",
    "Measure the temperature with crayon or pyrometer; colour deceives in daylight.",
    "Let it cool to the touch before reading the dial: a warm shaft moves.",
)
DEFER = "Class society, engine maker and local codes come first; ask before heating a class shaft."


@dataclass(frozen=True)
class Caution:
    """One caution on heating a material."""

    kind: str
    """'range', 'most', 'avoid', 'warning' or 'guide'."""
    low_f: float | None
    high_f: float | None
    text: str
    status: str
    source: str

    @property
    def from_memory(self) -> bool:
        """True when nobody could check it against print."""
        return "memory" in self.status

    @property
    def said(self) -> str:
        """The caution in one line, with its standing."""
        low, high = self.low_f, self.high_f
        figure = ""
        if low is not None and high is not None:
            figure = f"{TEMPERATURE.span(low, high)}: "
        elif high is not None:
            figure = f"at most {TEMPERATURE.text(high)}: "
        standing = "from memory, not checked" if self.from_memory else self.source
        return f"{figure}{in_shop_figures(in_shop_unit(self.text))} ({standing})"


@dataclass(frozen=True)
class HeatAdvice:
    """What can be said before a heat spot."""

    cautions: tuple[Caution, ...]
    keep_under_f: float | None
    """Lowest of the upper limits of all sources; None = no figure known."""
    discouraged: bool
    """True for materials that heat spoils (hardened by ageing or cold work, brass)."""
    response: Response | None
    """The shop's own record with heat on this material; None = too few to say."""
    said: str
    """What the record allows to be said about how much a spot moves."""


def advise(uns: str, condition: str = "", records: Sequence[HitOutcome] = ()) -> HeatAdvice:
    """Cautions for a material and what the shop's record says of its heat hits."""
    found = cautions_for(material(uns).family, condition)
    limits = [c.high_f for c in found if c.kind in ("most", "range") and c.high_f is not None]
    own = [r for r in records if r.method == HEAT and r.material == uns]
    response = response_for(records, uns, HEAT) if len(own) >= LEAST_RECORD else None
    return HeatAdvice(
        cautions=found,
        keep_under_f=min(limits, default=None),
        discouraged=any(c.kind == "warning" for c in found),
        response=response,
        said=_said(response, len(own)),
    )


def cautions_for(family: str, condition: str = "") -> tuple[Caution, ...]:
    """Cautions of one family of materials: warnings first, general guidance last."""
    order = ("warning", "most", "range", "avoid", "guide")
    rows = [
        row
        for row in read_table("heat_cautions")
        if row["family"] in (family, "any")
        and (not row["condition"] or row["condition"] in condition)
    ]
    rows.sort(key=lambda row: order.index(row["kind"]))
    return tuple(
        Caution(
            kind=row["kind"],
            low_f=float(row["low_f"]) if row["low_f"] else None,
            high_f=float(row["high_f"]) if row["high_f"] else None,
            text=row["caution"],
            status=row["status"],
            source=row["source"],
        )
        for row in rows
    )


def _said(response: Response | None, count: int) -> str:
    if response is None:
        had = f"only {count} so far" if count else "none so far"
        return (
            "How far a heat spot moves this material cannot be worked out; the program learns it "
            f"from your own hits ({had}, {LEAST_RECORD} needed). Heat a little, cool, read, repeat."
        )
    return (
        f"Your own {count} heat hits on this material took out {response.mean:.0%} of what was "
        f"planned, give or take {response.scatter:.0%} each."
    )
