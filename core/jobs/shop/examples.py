"""What a setting changes, on a small example worked out with the shop's own values.

The example shaft is 2 in by 104 in on rollers at 14 and 88 in, of bar that yields at 45,000 psi.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from datetime import date, timedelta

from core.base.quantities import FORCE, WEIGHT
from core.base.units import format_dial, format_in_unit, format_length, format_station
from core.book.settings import DAY_FIRST, ShopSettings
from core.jobs.intake.due import due_words, understood_day
from core.jobs.sweep.sweep_entry import dial_unit
from core.runout.stations import station_list
from core.runout.verdict import judge
from core.straightening.press import stroke_for_set

LENGTH_IN, DIAMETER_IN, ROLLERS_IN = 104.0, 2.0, (14.0, 88.0)
E_PSI, YIELD_PSI, LB_PER_IN3 = 29e6, 45_000.0, 0.284
SET_RAD = 0.003
HITS, STATIONS_READ = 5, 50
NEAR, HALF_WIDTH = 0.8, 0.3
"""A runout of this share of its limit, known to plus or minus that share of it."""
BETWEEN_TWO_95 = 1.96 * math.sqrt(2)
"""Two readings of one mark differ by less than this many standard deviations, 19 times in 20."""
HALF_OF_RAYLEIGH = 2 * math.sqrt(2 * math.log(2))
"""TIR that half of all ovality stays under, for a standard deviation of 1 of both components."""


def example(name: str, shop: ShopSettings, today: date) -> str:
    """One or two sentences; empty for a setting that changes no figure."""
    if name.startswith("limit_"):
        return _judged(getattr(shop, name), shop)
    if name in ("face_limit_in", "pilot_limit_in"):
        return _judged(getattr(shop, name), shop)
    if name == "date_order":
        day = understood_day("12/10", today, day_first=shop.date_order == DAY_FIRST)
        return "" if day is None else f"12/10 typed today is {due_words(day.isoformat(), today)}."
    made = _EXAMPLES.get(name)
    return made(shop) if made else ""


def _judged(limit_in: float, shop: ShopSettings) -> str:
    best, half = NEAR * limit_in, HALF_WIDTH * limit_in
    word = judge(best, best - half, best + half, limit_in, shop.rule)
    low, high = format_dial(best - half, unit=False), format_dial(best + half, unit=False)
    return f"A swing of {format_dial(best)}, known to {low} to {high}, is then '{word}'."


def _unit(shop: ShopSettings) -> str:
    typed_in = {"thou": 0.0125, "in": 0.0125, "mm": 0.3}
    value_in = typed_in[shop.unit] / (25.4 if shop.unit == "mm" else 1)
    typed = {"thou": "12.5", "in": "0.0125", "mm": "0.3"}[shop.unit]
    also = " and ".join(
        format_in_unit(value_in, unit) for unit in ("thou", "mm") if unit != dial_unit(shop)
    )
    return f"{typed} typed for a reading is {typed} {shop.unit}, that is {also}."


def _sweep(shop: ShopSettings) -> str:
    stations = len(
        station_list(length_in=LENGTH_IN, spacing_in=shop.spacing_in, rollers_in=ROLLERS_IN)
    )
    readings = stations * (shop.marks + shop.closing_mark)
    minutes = stations * shop.minutes_per_station
    return (
        f"A shaft of {format_station(LENGTH_IN)}: {stations} stations, {readings} readings, about "
        f"{minutes:.0f} min."
    )


def _marks(shop: ShopSettings) -> str:
    hidden = 100 * (1 - math.cos(math.pi / shop.marks))
    return f"{shop.marks} marks can miss up to {hidden:.0f} % of the swing. {_sweep(shop)}"


def _repeats(shop: ShopSettings) -> str:
    if shop.repeatability_in is None:
        return "Empty: from how well the readings of each sweep fit."
    apart = format_dial(BETWEEN_TWO_95 * shop.repeatability_in)
    return f"A mark read twice then differs by less than {apart}, 19 times in 20."


def _oval(sigma_in: float) -> str:
    return f"Half of all shafts are then taken to swing under {_tir(sigma_in)} by it alone."


def _tir(sigma_in: float) -> str:
    return format_dial(HALF_OF_RAYLEIGH * sigma_in)


def _press(shop: ShopSettings) -> str:
    stroke = stroke_for_set(DIAMETER_IN, shop.block_span_in, E_PSI, YIELD_PSI, SET_RAD)
    word = "enough" if stroke.load_lbf <= shop.press_capacity_lbf else "NOT ENOUGH"
    return (
        f"A {format_station(DIAMETER_IN)} bar, {1000 * SET_RAD:g} mrad: "
        f"{FORCE.text(stroke.load_lbf)} over blocks {format_station(shop.block_span_in)} apart; "
        f"a press of {FORCE.text(shop.press_capacity_lbf)} is {word}."
    )


def _hours(shop: ShopSettings) -> str:
    minutes = HITS * shop.minutes_per_hit + STATIONS_READ * shop.minutes_per_station
    return (
        f"{HITS} hits and {STATIONS_READ} stations read: {minutes / 60:.1f} h, "
        f"{minutes / 60 * shop.labour_rate:,.0f} of labour, "
        f"{minutes / 60 * shop.labour_rate + shop.consumables_price:,.0f} with consumables."
    )


def _new_shaft(shop: ShopSettings) -> str:
    weight_lb = math.pi / 4 * DIAMETER_IN**2 * LENGTH_IN * LB_PER_IN3
    bar = weight_lb * shop.bar_price_per_lb
    whole = bar + shop.machining_price + shop.freight_price
    return (
        f"A new {format_station(DIAMETER_IN)} shaft of {format_station(LENGTH_IN)}: "
        f"{WEIGHT.text(weight_lb)} of bar for {bar:,.0f}, {whole:,.0f} with machining and freight."
    )


def _bore(shop: ShopSettings) -> str:
    least = format_length(DIAMETER_IN + shop.bore_clearance_least_in, unit=False)
    most = format_length(DIAMETER_IN + shop.bore_clearance_most_in)
    return f"On a seat of {format_length(DIAMETER_IN)} the bore may be {least} to {most}."


def _rest(shop: ShopSettings) -> str:
    hours = timedelta(hours=16) + timedelta(hours=shop.hold_hours)
    days, clock = divmod(int(hours.total_seconds() // 60), 24 * 60)
    day = ("the same day", "the next day")[days] if days < 2 else f"{days} days later"
    return f"Last hit at 16:00: swept again from {clock // 60:02d}:{clock % 60:02d} {day}."


_EXAMPLES: dict[str, Callable[[ShopSettings], str]] = {
    "acceptance_rule": lambda shop: _judged(shop.limit_between_in, shop),
    "unit": _unit,
    "resolution_in": lambda shop: (
        f"Rounding alone can make a shaft without runout show {format_dial(shop.resolution_in, 2)}."
    ),
    "repeatability_in": _repeats,
    "dial_turn_in": lambda shop: (
        f"A reading {format_dial(shop.dial_turn_in)} off its neighbours is taken for a lost turn."
    ),
    "marks": _marks,
    "spacing_in": _sweep,
    "closing_mark": _sweep,
    "minutes_per_station": _sweep,
    "oval_prior_in": lambda shop: _oval(shop.oval_prior_in),
    "lobe_prior_in": lambda shop: _oval(shop.lobe_prior_in),
    "press_capacity_lbf": _press,
    "block_span_in": _press,
    "hold_hours": _rest,
    "minutes_per_hit": _hours,
    "labour_rate": _hours,
    "consumables_price": _hours,
    "bar_price_per_lb": _new_shaft,
    "machining_price": _new_shaft,
    "freight_price": _new_shaft,
    "bore_clearance_least_in": _bore,
    "bore_clearance_most_in": _bore,
}
"""Settings whose example rests on the shop's values alone."""
