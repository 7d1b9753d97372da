"""Was that figure typed in another unit? Asks, never converts unasked."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from statistics import median

from core.base.units import format_length, format_typed, length_unit

LEAST_SHAFT_IN = 0.25
MOST_SHAFT_IN = 12.0
"""Without a nominal size, a diameter outside this range is asked about."""
STRAY_SHARE = 0.10
"""A diameter this far from the nominal is asked about even if no unit explains it."""
_UNIT_SHARE = 0.08
_FACTORS = (
    (25.4, "millimetres"),
    (1000.0, "thou"),
    (10.0, "inches with the point one place off"),
    (100.0, "inches with the point two places off"),
    (0.1, "inches with the point one place off"),
    (0.01, "inches with the point two places off"),
    (1 / 25.4, "inches, but divided by 25.4 once too often"),
    (0.001, "inches, but divided by 1000 once too often"),
)


@dataclass(frozen=True)
class UnitDoubt:
    """A figure to ask about."""

    value_in: float
    """As stored now, inches."""
    likely_in: float | None
    """What it probably is, inches; None when no unit explains it."""
    unit: str
    """The unit it was probably typed in; empty when none explains it."""
    sentence: str


def unit_doubt(
    value_in: float, nominal_in: float | None = None, *, stray_share: float = STRAY_SHARE
) -> UnitDoubt | None:
    """A question about one diameter, or None when it looks right.

    Parameters
    ----------
    value_in : the figure as understood now, inches.
    nominal_in : the size it should be near, inches; None = only the range 1/4 to 12 in is known.
    stray_share : how far from nominal (share of it) is still plausible.
    """
    shown = f"{format_typed(value_in, length_unit())} {length_unit()}"
    if not math.isfinite(value_in) or value_in <= 0:
        return UnitDoubt(value_in, None, "", f"{shown} is no diameter. Measure it again.")
    if nominal_in is None:
        return _without_nominal(value_in, shown)
    if abs(value_in - nominal_in) <= stray_share * nominal_in:
        return None
    near = max(_UNIT_SHARE, stray_share)
    explained = [
        (abs(math.log(value_in / factor / nominal_in)), value_in / factor, unit)
        for factor, unit in _FACTORS
        if abs(value_in / factor - nominal_in) <= near * nominal_in
    ]
    if explained:
        _, likely, unit = min(explained, key=lambda one: one[0])
        return UnitDoubt(
            value_in,
            likely,
            unit,
            f"{shown} beside a nominal {format_length(nominal_in)}: typed in {unit}? "
            f"That would be {format_length(likely)}.",
        )
    return UnitDoubt(
        value_in,
        None,
        "",
        f"{shown} is far from {format_length(nominal_in)}, the size expected here. Is it the "
        "right job, the right place? Measure it again.",
    )


def _without_nominal(value_in: float, shown: str) -> UnitDoubt | None:
    if LEAST_SHAFT_IN <= value_in <= MOST_SHAFT_IN:
        return None
    for factor, unit in _FACTORS[:2]:
        likely = value_in / factor
        if LEAST_SHAFT_IN <= likely <= MOST_SHAFT_IN:
            return UnitDoubt(
                value_in,
                likely,
                unit,
                f"{shown} is no boat shaft: typed in {unit}? "
                f"That would be {format_length(likely)}.",
            )
    return UnitDoubt(value_in, None, "", f"{shown} is no boat shaft. Measure it again.")


def unit_doubts(
    values_in: Iterable[float],
    nominal_in: float | None = None,
    *,
    stray_share: float = STRAY_SHARE,
) -> tuple[UnitDoubt, ...]:
    """Doubts about several figures that should be alike, each figure asked about once.

    Without a nominal their own median stands in for it, once that looks like a shaft.
    """
    values = list(dict.fromkeys(values_in))
    near = nominal_in
    if near is None:
        sane = [v for v in values if math.isfinite(v) and unit_doubt(v) is None]
        near = median(sane) if sane else None
    found = (unit_doubt(value, near, stray_share=stray_share) for value in values)
    return tuple(doubt for doubt in found if doubt is not None)
