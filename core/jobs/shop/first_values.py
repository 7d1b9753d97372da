"""First values of the settings: those of the book, in a metric shop round ones in its units."""

from __future__ import annotations

from core.base.quantities import FORCE, PRICE_BY_WEIGHT
from core.base.units import MM_PER_IN
from core.book.settings import SHEETS, ShopSettings

_MM = {
    "limit_taper_in": 0.05,
    "limit_bearing_in": 0.05,
    "limit_shaft_log_in": 0.05,
    "limit_coupling_in": 0.05,
    "limit_other_in": 0.05,
    "limit_between_in": 0.05,
    "face_limit_in": 0.05,
    "pilot_limit_in": 0.05,
    "bore_clearance_most_in": 0.025,
    "oval_prior_in": 0.01,
    "lobe_prior_in": 0.005,
    "spacing_in": 150.0,
    "block_span_in": 600.0,
}
"""The first values in inches, as a metric shop rounds them; mm."""
_METRIC: dict[str, object] = {name: mm / MM_PER_IN for name, mm in _MM.items()} | {
    "press_capacity_lbf": FORCE.metric.kept(180.0),
    "bar_price_per_lb": PRICE_BY_WEIGHT.metric.kept(26.0),
    "sheet": SHEETS[1],
}


def first_value(name: str, unit: str) -> object:
    """What a setting is until somebody changes it, in a shop that reads this unit."""
    inch: object = getattr(ShopSettings(), name)
    return _METRIC.get(name, inch) if unit == "mm" else inch


def in_other_unit(shop: ShopSettings, unit: str) -> dict[str, object]:
    """The first values that nobody has changed yet, as a shop that reads `unit` has them."""
    firsts = {name: (getattr(ShopSettings(), name), value) for name, value in _METRIC.items()}
    return {
        name: first_value(name, unit)
        for name, either in firsts.items()
        if getattr(shop, name) in either
    }
