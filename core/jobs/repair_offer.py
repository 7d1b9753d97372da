"""Repair or replace for one job: the forecast on its line, its prices, its stop reasons.

`ask` reads the book; `play` (slow, on another thread) and `weigh` are pure. Lengths inches, money
in the shop's own currency.
"""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Any

from core.base.counting import many
from core.base.errors import ShaftlogError
from core.base.units import in_shop_unit
from core.book import choices, penetrant_checks, settings
from core.book.connection import Book
from core.jobs.heat.choice import largest_spot_rad, spot_min, usual_method
from core.jobs.straightening import (
    RawJob,
    StraighteningState,
    limits_at,
    read_earlier,
    read_rounds,
    work_out,
)
from core.jobs.visits import hits_before_in
from core.jobs.wear import read_wear
from core.straightening.forecast import Costs, Forecast, forecast
from core.straightening.repair_or_replace import (
    Bar,
    Decision,
    Effort,
    KnownWork,
    Prices,
    StopReason,
    crack_stops,
    decide,
    repeat_stops,
    worn_stops,
)
from core.straightening.response import HEAT, PRESS
from core.tables.materials import DENSITY, material

FORECAST_S = 1.7
"""A forecast that takes longer than this ends with the plays so far."""
LEAST_PLAYS = 12
"""Fewer plays than this say nothing of what nine in ten would take."""
TERMS = "repair terms"
"""Subject of the choices that hold a job's own prices and known work."""
TEXT_TERMS = ("other_label", "worn_name")
STEEL_LB_IN3 = 0.285
"""Density taken when the material is not in the table; between the stainless bars that are."""


@dataclass(frozen=True)
class Terms:
    """Prices and known work of one job; at first those of the shop."""

    labour_rate: float
    consumables: float
    bar_per_lb: float
    machining: float
    freight: float
    other_label: str = ""
    other_hours: float = 0.0
    other_price: float = 0.0
    worn_name: str = ""
    worn_in: float | None = None
    least_in: float | None = None


@dataclass(frozen=True)
class QuoteInputs:
    """Everything read from the book."""

    raw: RawJob
    earlier: tuple[RawJob, ...]
    terms: Terms
    cracks: tuple[str, ...]
    hit_before_in: tuple[float, ...]
    """Stations hit on earlier jobs of this bar."""
    worn: tuple[tuple[str, float, float], ...]
    """(riding area, diameter miked, least allowed) where a least diameter is known, inches."""


def ask(book: Book, job_id: str) -> QuoteInputs:
    """Read one job."""
    raw = read_rounds(book, job_id)
    checks = penetrant_checks.newest_checks(book, job_id)
    return QuoteInputs(
        raw,
        read_earlier(book, job_id),
        terms_of(book, job_id),
        tuple(in_shop_unit(c.area) for c in checks if c.result == "crack" and not c.overrule_by),
        hits_before_in(book, job_id),
        tuple(
            (place.name, place.wear.last.diameter_in, place.least_in)
            for place in read_wear(book, job_id).places
            if place.least_in is not None
        ),
    )


def terms_of(book: Book, job_id: str) -> Terms:
    """The job's own terms, else the shop's."""
    shop = settings.load(book)
    start = Terms(
        shop.labour_rate,
        shop.consumables_price,
        shop.bar_price_per_lb,
        shop.machining_price,
        shop.freight_price,
    )
    kept: dict[str, Any] = {}
    for one in choices.choices_of(book, job_id, TERMS):
        if one.name in TEXT_TERMS:
            kept[one.name] = one.value
        elif one.number is not None:
            kept[one.name] = one.number
    return replace(start, **{name: kept[name] for name in kept if hasattr(start, name)})


def change_terms(book: Book, job_id: str, **changes: object) -> Terms:
    """Keep terms of this job that differ from the shop's."""
    with book.write():
        for name, value in changes.items():
            text = str(value or "") if name in TEXT_TERMS else ""
            number = None if name in TEXT_TERMS or value is None else float(str(value))
            choices.choose(book, job_id=job_id, subject=TERMS, name=name, value=text, number=number)
    return terms_of(book, job_id)


def play(
    asked: QuoteInputs,
    *,
    progress: Callable[[int, int], None] | None = None,
    cancelled: Callable[[], bool] | None = None,
    clock: Callable[[], float] = time.monotonic,
) -> tuple[StraighteningState, Forecast]:
    """Work the rounds out and play the rest of the straightening, `FORECAST_S` seconds at most."""
    bench = work_out(asked.raw, asked.earlier)
    if bench.story is None or bench.story.line is None:
        raise ShaftlogError(bench.trouble)
    line, shop = bench.story.line, asked.raw.shop
    end, played = clock() + FORECAST_S, 0

    def note(done: int, of: int) -> None:
        nonlocal played
        played = done
        if progress is not None:
            progress(done, of)

    def is_over() -> bool:
        return (cancelled is not None and cancelled()) or (played >= LEAST_PLAYS and clock() > end)

    method = usual_method(asked.raw, asked.earlier)
    ceiling_rad = largest_spot_rad(asked.raw, bench.record) if method == HEAT else None
    act_min = shop.minutes_per_hit if ceiling_rad is None else spot_min(asked.raw)
    found = forecast(
        line,
        limit_in=limits_at(asked.raw, line),
        response=bench.responses[PRESS if ceiling_rad is None else HEAT],
        costs=Costs(act_min, shop.minutes_per_station),
        spot_ceiling_rad=ceiling_rad,
        progress=note,
        cancelled=is_over,
    )
    if len(found.hits) < LEAST_PLAYS:
        raise ShaftlogError(
            f"The forecast was stopped after {many(len(found.hits), 'play')}: too few to say "
            "anything. F4 starts it again."
        )
    return bench, found


def weigh(asked: QuoteInputs, bench: StraighteningState, played: Forecast) -> Decision:
    """Both ways with their costs and the words for the owner."""
    terms, shaft = asked.terms, asked.raw.shaft
    effort = Effort(
        played.hits_median,
        played.hits_90,
        played.hours_median,
        max(played.hours_90, played.hours_median),
        played.unfinished / len(played.hits),
    )
    prices = Prices(
        terms.labour_rate, terms.consumables, terms.bar_per_lb, terms.machining, terms.freight
    )
    density = _density(shaft.material)
    label = f"bar {shaft.material}".strip()
    bar = Bar(shaft.diameter_in, shaft.length_in, density, label)
    other = terms.other_hours or terms.other_price
    work = [KnownWork(terms.other_label or "other work", terms.other_hours, terms.other_price)]
    return decide(
        effort,
        prices,
        bar,
        known_work=work if other else (),
        stops=_stops(asked, bench),
        n_bends=len(bench.plan) or None,
        worst_tir_in=bench.worst_now_in,
    )


def _density(uns: str) -> float:
    try:
        figure = material(uns).figure(DENSITY)
    except ShaftlogError:
        return STEEL_LB_IN3
    return figure.value if figure is not None else STEEL_LB_IN3


def _stops(asked: QuoteInputs, bench: StraighteningState) -> tuple[StopReason, ...]:
    terms = asked.terms
    worn = list(asked.worn)
    if terms.worn_in is not None and terms.least_in is not None:
        worn.append((terms.worn_name or "riding area", terms.worn_in, terms.least_in))
    places = [planned.hit.station_in for planned in bench.plan]
    repeats = repeat_stops(places, asked.hit_before_in, asked.raw.shaft.diameter_in)
    return (*crack_stops(asked.cracks), *worn_stops(worn), *repeats)
