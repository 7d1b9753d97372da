"""A setting out of the usual range is asked about before it is stored, as figures are elsewhere.

The ranges are common practice, no source. Prices have none: each shop has money of its own.
"""

from __future__ import annotations

from dataclasses import dataclass

from core.base.quantities import KEPT_IN
from core.base.units import PER_INCH, format_dial, format_length, length_unit

_LIMIT_IN = (0.0003, 0.010)
USUAL: dict[str, tuple[float, float]] = {
    "limit_taper_in": _LIMIT_IN,
    "limit_bearing_in": _LIMIT_IN,
    "limit_shaft_log_in": _LIMIT_IN,
    "limit_coupling_in": _LIMIT_IN,
    "limit_other_in": _LIMIT_IN,
    "limit_between_in": (0.0003, 0.030),
    "face_limit_in": _LIMIT_IN,
    "pilot_limit_in": _LIMIT_IN,
    "bore_clearance_least_in": (-0.005, 0.003),
    "bore_clearance_most_in": (-0.003, 0.005),
    "resolution_in": (0.00003, 0.001),
    "repeatability_in": (0.00002, 0.001),
    "dial_turn_in": (0.004, 0.25),
    "oval_prior_in": (0.00005, 0.002),
    "lobe_prior_in": (0.00005, 0.002),
    "marks": (6, 24),
    "spacing_in": (1.0, 18.0),
    "hold_hours": (2.0, 72.0),
    "press_capacity_lbf": (4_000.0, 400_000.0),
    "block_span_in": (8.0, 60.0),
    "minutes_per_hit": (1.0, 30.0),
    "minutes_per_station": (0.2, 10.0),
    "backups_kept": (3, 400),
}
"""Name of a setting -> least and most usual value, in the unit of the setting."""
_DIAL_IN = 0.25
"""Lengths under this are shown as dial figures."""


@dataclass(frozen=True)
class UnusualValue:
    """A value to ask about."""

    sentence: str
    likely: float | None
    """What it would be in the unit it was probably typed in; None = no unit explains it."""
    likely_words: str = ""


def unusual(name: str, value: object) -> UnusualValue | None:
    """The question about a value of a setting; None when it is in the usual range."""
    if name not in USUAL or isinstance(value, bool) or not isinstance(value, int | float):
        return None
    least, most = USUAL[name]
    if least <= value <= most:
        return None
    kept_in = name.rpartition("_")[2]
    quantity, small = KEPT_IN.get(kept_in), abs(most) <= _DIAL_IN

    def shown(figure: float) -> str:
        if quantity is not None:
            return quantity.text(figure)
        if kept_in != "in":
            return f"{figure:,g}"
        return format_dial(figure) if small else format_length(figure, 2)

    sentence = f"{shown(value)} is out of the usual here, {shown(least)} to {shown(most)}."
    for unit, likely in _in_other_units(kept_in, value).items():
        if least <= likely <= most:
            return UnusualValue(sentence, likely, f"It was typed in {unit}: {shown(likely)}")
    return UnusualValue(sentence, None)


def _in_other_units(kept_in: str, value: float) -> dict[str, float]:
    """Unit -> what is kept of the number typed, had it been meant in that unit."""
    if kept_in == "in":
        typed = value * PER_INCH[length_unit()]
        others = {u: typed / each for u, each in PER_INCH.items() if u != length_unit()}
        return {"inches" if u == "in" else u: likely for u, likely in others.items()}
    quantity = KEPT_IN.get(kept_in)
    if quantity is None:
        return {}
    return {quantity.other.name: quantity.other.kept(quantity.shown_in.of(value))}
