"""Forces, stresses, torques, temperatures, power and weight as a shop types and reads them.

The core and the book keep lbf, psi, lbf in, F, hp and lb, whatever the shop shows; this is the edge
where they are turned into the units of a metric shop and back. A unit typed behind a number is
understood in both kinds of shop. Standard library only.
Factors are exact by the definitions of the inch (25.4 mm), the pound (0.45359237 kg), standard
gravity (9.80665 m/s2) and the mechanical horsepower (550 ft lbf a second).
"""

from __future__ import annotations

import math
import re
from typing import NamedTuple

from core.base.dial_unit import length_unit
from core.base.errors import BadNumber
from core.base.units import MM_PER_IN, fixed, number_text, parse_number, possible, quoted

KG_PER_LB = 0.45359237
N_PER_LBF = KG_PER_LB * 9.80665
MPA_PER_PSI = N_PER_LBF / MM_PER_IN**2
NM_PER_LBF_IN = N_PER_LBF * MM_PER_IN / 1000
KW_PER_HP = 550 * 12 * NM_PER_LBF_IN / 1000
_MOST = 1e12
_TYPED = re.compile(r"^(?P<number>.*?)\s*(?P<unit>[a-z/\u00b0][a-z0-9/ \u00b0]*)?\.?$", re.DOTALL)


class Measure(NamedTuple):
    """One unit of a quantity: how it is written and how it comes from what the core keeps."""

    name: str
    per_kept: float
    """How many of this unit make one of the unit kept."""
    places: int = 0
    """Decimal places shown."""
    zero: float = 0.0
    """What the unit kept reads where this one reads 0."""
    also: tuple[str, ...] = ()
    """Other ways to type its name."""

    def of(self, kept: float) -> float:
        """The figure in this unit."""
        return (kept - self.zero) * self.per_kept

    def kept(self, value: float) -> float:
        """The figure in the unit kept."""
        return value / self.per_kept + self.zero


class Quantity(NamedTuple):
    """A kind of figure, with its unit in an inch shop and in a metric shop."""

    words: str
    """'force': for messages."""
    inch: Measure
    metric: Measure
    others: tuple[Measure, ...] = ()
    """Further units that may be typed."""

    @property
    def shown_in(self) -> Measure:
        """The unit of the shop whose book is open."""
        return self.metric if length_unit() == "mm" else self.inch

    @property
    def other(self) -> Measure:
        """The unit of the other kind of shop."""
        return self.inch if length_unit() == "mm" else self.metric

    @property
    def unit(self) -> str:
        """Its name, for headings and labels."""
        return self.shown_in.name

    def number(self, kept: float) -> str:
        """A figure as shown, without its unit: ``12,400``, in a metric shop ``55.2``."""
        return fixed(self.shown_in.of(kept), self.shown_in.places, ",")

    def text(self, kept: float) -> str:
        """A figure as shown: ``12,400 lbf``, in a metric shop ``55.2 kN``."""
        return f"{self.number(kept)} {self.unit}"

    def span(self, low: float, high: float) -> str:
        """Two figures as shown: ``40 to 50 F``, in a metric shop ``4 to 10 C``."""
        return f"{self.number(low)} to {self.text(high)}"

    def typed(self, kept: float | None) -> str:
        """A figure as a person would type it, two places finer than shown; None = empty."""
        shown = None if kept is None else self.shown_in.of(kept)
        return number_text(shown, self.shown_in.places + 2)

    def parse(
        self, text: str, *, least: float = -_MOST, most: float = _MOST, what: str = "The number"
    ) -> float:
        """The figure in the unit kept, of a text in the unit of the shop unless it names another.

        `least`, `most`: range allowed, in the unit kept. Raises BadNumber in words.
        """
        found = _TYPED.match(text.strip().lower())
        number, name = (found["number"], found["unit"]) if found else (text, None)
        unit = self._named(name, text, what)
        kept = unit.kept(parse_number(number, least=-_MOST, most=_MOST, what=what))
        slack = 1e-9 * max(abs(least), abs(most))
        if not math.isfinite(kept) or not least - slack <= kept <= most + slack:
            raise BadNumber(
                f"{what} {quoted(text)} is out of range: {possible(unit.of(least), unit.of(most))} "
                f"{unit.name} is possible here. Check the number and its unit."
            )
        return min(max(kept, least), most)

    def _named(self, name: str | None, text: str, what: str) -> Measure:
        if name is None:
            return self.shown_in
        known = (self.inch, self.metric, *self.others)
        for unit in known:
            if name.strip() in (unit.name.lower(), *unit.also):
                return unit
        names = ", ".join(unit.name for unit in known[:-1])
        raise BadNumber(
            f"{what} {quoted(text)}: '{name.strip()}' is not a unit of {self.words} here. Write "
            f"{names} or {known[-1].name}."
        )


FORCE = Quantity(
    "force",
    Measure("lbf", 1.0, also=("lb", "lbs", "pounds")),
    Measure("kN", N_PER_LBF / 1000, 1),
    (Measure("N", N_PER_LBF),),
)
_KSI = Measure("ksi", 0.001)
STRESS = Quantity(
    "stress",
    Measure("psi", 1.0),
    Measure("MPa", MPA_PER_PSI, 1, also=("n/mm2",)),
    (_KSI, Measure("GPa", MPA_PER_PSI / 1000)),
)
MODULUS = Quantity(
    "stress",
    Measure("psi", 1.0),
    Measure("GPa", MPA_PER_PSI / 1000, 1),
    (_KSI, Measure("MPa", MPA_PER_PSI, also=("n/mm2",))),
)
TORQUE = Quantity("torque", Measure("lbf ft", 1 / 12), Measure("N m", NM_PER_LBF_IN))
TEMPERATURE = Quantity(
    "temperature",
    Measure("F", 1.0, also=("deg f", "\u00b0f", "\u00b0 f")),
    Measure("C", 5 / 9, zero=32.0, also=("deg c", "\u00b0c", "\u00b0 c")),
)
POWER = Quantity("power", Measure("hp", 1.0), Measure("kW", KW_PER_HP, 1))
WEIGHT = Quantity("weight", Measure("lb", 1.0, also=("lbs",)), Measure("kg", KG_PER_LB, 1))
PRICE_BY_WEIGHT = Quantity(
    "price by weight",
    Measure("per lb", 1.0, 2, also=("/lb", "a lb")),
    Measure("per kg", 1 / KG_PER_LB, 2, also=("/kg", "a kg")),
)
MASS_DENSITY = Quantity(
    "density",
    Measure("lb/in3", 1.0, 4),
    Measure("kg/m3", KG_PER_LB / (MM_PER_IN / 1000) ** 3),
)
KEPT_IN = {
    each.inch.name.lower(): each
    for each in (FORCE, STRESS, TEMPERATURE, POWER, WEIGHT, PRICE_BY_WEIGHT)
}
"""The unit at the end of a name in the book (`press_capacity_lbf`) -> what is kept under it."""

_FIGURE = r"[0-9][0-9,]*(?:\.[0-9]+)?"
_PRINTED = re.compile(rf"({_FIGURE})((?: to | or ){_FIGURE})? (psi|ksi|F|lbf)(?![\w/])")
_PRINTED_IN = {"psi": STRESS, "ksi": STRESS, "F": TEMPERATURE, "lbf": FORCE}


def in_shop_figures(text: str) -> str:
    """A text of a published table with its figures in the units of the shop.

    'heated above 1000 F' is 'heated above 538 C' in a metric shop.
    """
    return text if length_unit() == "in" else _PRINTED.sub(_metric, text)


def _metric(found: re.Match[str]) -> str:
    quantity, times = _PRINTED_IN[found[3]], 1000.0 if found[3] == "ksi" else 1.0
    first = float(found[1].replace(",", "")) * times
    if found[2] is None:
        return quantity.text(first)
    between, last = found[2][:4], float(found[2][4:].replace(",", "")) * times
    return f"{quantity.number(first)}{between}{quantity.text(last)}"
