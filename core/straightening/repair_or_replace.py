"""Repair or replace: what each costs, where one overtakes the other, and what to tell the owner.

Repair = bench hours x rate + consumables + work already known. Replacement = bar by weight +
machining + freight. The rule of the trade: past the point where the labour exceeds the value of
the new part, replace (common practice, no source). A crack or wear under the limit ends the
question; a place that was straightened before is a caution.

Money is in the shop's own currency, without tax; hours are bench hours.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import isfinite, pi

from core.base.counting import many
from core.base.errors import ShaftlogError
from core.base.positive import check_positive
from core.base.quantities import PRICE_BY_WEIGHT, WEIGHT
from core.base.units import format_dial, format_length
from core.bends.returning import ShaftPlace, was_hit

STRAIGHTENING = "straightening, bench hours"
"""Line of a quote that holds the forecast of the hours."""
PART_OFF_IN = 2.0
"""Bar bought beyond the finished length. Common practice, no source."""


_SHORT_UNITS = {"bench hours": "h", "hours": "h", "lb": "lb", "kg": "kg"}


def line_words(label: str, quantity: float) -> str:
    """A price line as people read it: `straightening, 1.12 h`, not hours as a heading of money."""
    what, _, unit = label.rpartition(", ")
    short = _SHORT_UNITS.get(unit)
    return f"{what}, {quantity:.3g} {short}" if short else label


@dataclass(frozen=True)
class Prices:
    """The shop's rates and prices."""

    labour_rate: float
    """Per bench hour."""
    consumables: float
    bar_per_lb: float
    machining: float
    freight: float


@dataclass(frozen=True)
class KnownWork:
    """Work that is needed besides straightening, on the repaired shaft."""

    label: str
    hours: float = 0.0
    price: float = 0.0
    """Parts or bought work."""


@dataclass(frozen=True)
class Bar:
    """The bar a new shaft is made from."""

    diameter_in: float
    length_in: float
    density_lb_in3: float
    label: str = "bar"

    @property
    def weight_lb(self) -> float:
        """Weight of the bar bought, with the part-off allowance."""
        return pi / 4 * self.diameter_in**2 * (self.length_in + PART_OFF_IN) * self.density_lb_in3


@dataclass(frozen=True)
class Effort:
    """Forecast of the straightening (see `core.straightening.forecast`)."""

    hits_median: int
    hits_90: int
    hours_median: float
    hours_90: float
    unfinished_share: float = 0.0
    """Share of the plays that did not come true."""


@dataclass(frozen=True)
class StopReason:
    """Something that speaks against the repair."""

    kind: str
    """'crack', 'worn' or 'straightened before'."""
    say: str

    @property
    def ends_it(self) -> bool:
        """A crack or wear ends the repair; an old repair is a caution."""
        return self.kind in ("crack", "worn")


@dataclass(frozen=True)
class PriceLine:
    """One line of a quote."""

    label: str
    quantity: float
    unit_price: float

    @property
    def amount(self) -> float:
        """Quantity times unit price, to the cent."""
        return round(self.quantity * self.unit_price, 2)


@dataclass(frozen=True)
class Decision:
    """Both ways with their costs, and the recommendation."""

    word: str
    """'repair', 'replace' or 'either'."""
    repair_lines: tuple[PriceLine, ...]
    replace_lines: tuple[PriceLine, ...]
    repair_90: float
    """Repair cost in nine cases of ten at most."""
    break_even_hours: float
    """Bench hours of straightening at which both cost the same; 0 when the known work alone costs
    more than a new shaft; infinite when labour costs nothing."""
    stops: tuple[StopReason, ...]
    text: str
    """Plain words to read to the owner."""

    @property
    def repair_cost(self) -> float:
        """Repair cost as likely as not."""
        return round(sum(line.amount for line in self.repair_lines), 2)

    @property
    def replace_cost(self) -> float:
        """Cost of a new shaft."""
        return round(sum(line.amount for line in self.replace_lines), 2)


def decide(
    effort: Effort,
    prices: Prices,
    bar: Bar,
    *,
    known_work: Sequence[KnownWork] = (),
    stops: Sequence[StopReason] = (),
    n_bends: int | None = None,
    worst_tir_in: float | None = None,
) -> Decision:
    """Weigh the repair against a new shaft.

    `n_bends` and `worst_tir_in` only help to say what is wrong.
    """
    _check(effort, prices, bar, known_work)
    repair = _repair_lines(effort.hours_median, prices, known_work)
    new = _replace_lines(prices, bar)
    cost, new_cost = (sum(line.amount for line in lines) for lines in (repair, new))
    repair_90 = cost + (effort.hours_90 - effort.hours_median) * prices.labour_rate
    other = cost - effort.hours_median * prices.labour_rate
    room = max(0.0, new_cost - other)
    hours = room / prices.labour_rate if prices.labour_rate else float("inf") if room else 0.0
    word = _word(cost, repair_90, new_cost, stops)
    decision = Decision(word, repair, new, round(repair_90, 2), hours, tuple(stops), "")
    text = "\n".join(_sentences(decision, effort, n_bends, worst_tir_in))
    return Decision(word, repair, new, round(repair_90, 2), hours, tuple(stops), text)


def crack_stops(cracked_areas: Sequence[str]) -> tuple[StopReason, ...]:
    """A stop for each area where penetrant showed a crack that nobody overruled."""
    return tuple(
        StopReason("crack", f"There is a crack at the {area}. A cracked shaft is not straightened.")
        for area in cracked_areas
    )


def worn_stops(measured: Sequence[tuple[str, float, float]]) -> tuple[StopReason, ...]:
    """A stop for each riding area under its least diameter: (name, measured in, least in)."""
    stops = []
    for name, found, least in measured:
        check_positive(measured_diameter_in=found, least_diameter_in=least)
        if found < least:
            stops.append(
                StopReason(
                    "worn",
                    f"The shaft is worn at the {name}: {format_length(found, 4)} where "
                    f"{format_length(least, 4)} is the least allowed.",
                )
            )
    return tuple(stops)


def repeat_stops(
    hits_in: Sequence[float], earlier_in: Sequence[float], diameter_in: float
) -> tuple[StopReason, ...]:
    """A caution for each place now to be hit that was hit on an earlier job (stations, inches)."""
    check_positive(diameter_in=diameter_in)
    again = sorted(hit for hit in hits_in if was_hit(ShaftPlace(hit), earlier_in, diameter_in))
    return tuple(
        StopReason(
            "straightened before",
            f"The shaft was straightened before at {format_length(place, 1)} from the end. Metal "
            "bent twice there may bend or crack again.",
        )
        for place in again
    )


def _check(effort: Effort, prices: Prices, bar: Bar, known_work: Sequence[KnownWork]) -> None:
    check_positive(diameter_in=bar.diameter_in, length_in=bar.length_in)
    check_positive(density_lb_in3=bar.density_lb_in3)
    money = {
        "labour rate": prices.labour_rate,
        "price of consumables": prices.consumables,
        "bar price": prices.bar_per_lb,
        "price of machining": prices.machining,
        "freight": prices.freight,
        "forecast of hours": effort.hours_median,
    }
    money |= {f"price of {work.label}": work.price for work in known_work}
    money |= {f"time for {work.label}": work.hours for work in known_work}
    for what, value in money.items():
        if not isfinite(value) or value < 0:
            raise ShaftlogError(f"The {what} cannot be {value:g}. Give zero or more.")
    if effort.hours_90 < effort.hours_median:
        raise ShaftlogError("The forecast is upside down: its high figure is under its middle one.")


def _repair_lines(
    hours: float, prices: Prices, known_work: Sequence[KnownWork]
) -> tuple[PriceLine, ...]:
    lines = [PriceLine(STRAIGHTENING, round(hours, 2), prices.labour_rate)]
    if prices.consumables:
        lines.append(PriceLine("penetrant and consumables", 1, prices.consumables))
    for work in known_work:
        if work.hours:
            lines.append(PriceLine(f"{work.label}, hours", work.hours, prices.labour_rate))
        if work.price:
            lines.append(PriceLine(work.label, 1, work.price))
    return tuple(lines)


def _replace_lines(prices: Prices, bar: Bar) -> tuple[PriceLine, ...]:
    return (
        PriceLine(
            f"{bar.label}, {WEIGHT.unit}",
            round(WEIGHT.shown_in.of(bar.weight_lb), 1),
            PRICE_BY_WEIGHT.shown_in.of(prices.bar_per_lb),
        ),
        PriceLine("machining of the new shaft", 1, prices.machining),
        PriceLine("freight", 1, prices.freight),
    )


def _word(cost: float, cost_90: float, new_cost: float, stops: Sequence[StopReason]) -> str:
    if any(stop.ends_it for stop in stops) or cost >= new_cost:
        return "replace"
    return "repair" if cost_90 < new_cost else "either"


def _sentences(
    decision: Decision, effort: Effort, n_bends: int | None, worst_tir_in: float | None
) -> list[str]:
    """The recommendation, a paragraph a line."""
    said = []
    if worst_tir_in is not None:
        bends = "" if not n_bends else f" It has {many(n_bends, 'bend')}."
        said.append(
            f"Your shaft runs out {format_dial(worst_tir_in, 0)} at its worst place.{bends}"
        )
    ends = [stop for stop in decision.stops if stop.ends_it]
    said += [stop.say for stop in ends]
    if not ends:
        said += [_repair_said(decision, effort)]
        if effort.unfinished_share > 0.02:
            said.append(
                f"In {effort.unfinished_share:.0%} of our reckonings it did not come true at all."
            )
    said.append(_replace_said(decision))
    said.append(_recommendation(decision, bool(ends)))
    said += [stop.say for stop in decision.stops if not stop.ends_it]
    if not ends and decision.word != "replace":
        said.append("Every reckoning ends if the penetrant check finds a crack. Prices before tax.")
    else:
        said.append("Prices before tax.")
    return said


def _repair_said(decision: Decision, effort: Effort) -> str:
    hits = _range(effort.hits_median, effort.hits_90)
    labels = (line.label.partition(", ")[0] for line in decision.repair_lines)
    names = ", ".join(dict.fromkeys(labels))
    middle, most = f"{decision.repair_cost:,.0f}", f"{decision.repair_90:,.0f}"
    return (
        f"Straightening should take {hits} and about {effort.hours_median:.1f} hours on the bench; "
        f"nine times in ten no more than {effort.hours_90:.1f}. The repair comes to about "
        f"{middle}, nine times in ten to no more than {most}, for {names}; "
        "work not named here comes on top."
    )


def _replace_said(decision: Decision) -> str:
    parts = ", ".join(
        f"{line.label.removesuffix(f', {WEIGHT.unit}')} {line.amount:,.0f}"
        for line in decision.replace_lines
        if line.amount
    )
    return f"A new shaft would come to about {decision.replace_cost:,.0f}: {parts}."


def _recommendation(decision: Decision, ended: bool) -> str:
    gap = abs(decision.replace_cost - decision.repair_cost)
    if ended:
        return "We recommend a new shaft; this one should not go back in the boat as it is."
    until = (
        f" It stays the cheaper way up to {decision.break_even_hours:.1f} hours of straightening."
        if isfinite(decision.break_even_hours)
        else ""
    )
    if decision.word == "repair":
        return f"We recommend the repair: it saves about {gap:,.0f}.{until}"
    if decision.word == "replace":
        return (
            "We recommend a new shaft: the work on the old one would cost about "
            f"{gap:,.0f} more than a new one is worth."
        )
    return (
        f"The repair is likely to save about {gap:,.0f}, but if it goes badly it costs more than a "
        f"new shaft.{until} The choice is yours."
    )


def _range(low: int, high: int) -> str:
    return many(low, "hit") if low >= high else f"{low} to {high} hits"
