"""Warming a hub until it slips on: the temperature wanted.

Linear expansion of an unloaded hub (a bore grows as a bar would); the shaft stays cold. Lengths
inches, temperature F.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from core.base.errors import ShaftlogError
from core.base.positive import check_positive
from core.base.quantities import TEMPERATURE

SLIP_CLEARANCE_PER_IN = 0.001
"""Room wanted for a slip-on, inch per inch of diameter; common practice, no source."""
BOILING_F = 212.0
WARN_HEAT_F = 400.0
"""Above this a hub is no longer warmed but heat treated: ask first. Common practice, no source."""


@dataclass(frozen=True)
class SlipOnHeat:
    """How hot the hub must be to slip over the shaft."""

    interference_in: float
    slip_clearance_in: float
    """Room wanted while sliding on."""
    ambient_f: float
    heat_to_f: float
    caution: str
    """Plain words: how to get there and what to fear."""


def slip_on_heat(
    *,
    diameter_in: float,
    interference_in: float,
    hub_expansion_per_f: float,
    ambient_f: float = 70.0,
    slip_clearance_in: float | None = None,
) -> SlipOnHeat:
    """Temperature of the hub, F, that opens the bore past the interference and a sliding room.

    The shaft stays at `ambient_f`. Linear expansion; a hub cools fast on a cold shaft, so go
    straight on. `slip_clearance_in` defaults to a thou per inch (common practice, no source).
    """
    check_positive(diameter_in=diameter_in, thermal_expansion_per_f=hub_expansion_per_f)
    room = SLIP_CLEARANCE_PER_IN * diameter_in if slip_clearance_in is None else slip_clearance_in
    if room < 0 or not math.isfinite(interference_in):
        raise ShaftlogError("Room for sliding on cannot be negative. Type 0 or more.")
    opening = interference_in + room
    target = ambient_f + max(0.0, opening) / (diameter_in * hub_expansion_per_f)
    return SlipOnHeat(interference_in, room, ambient_f, target, _heat_words(target, ambient_f))


def _heat_words(target_f: float, ambient_f: float) -> str:
    if target_f <= ambient_f:
        return "It slides on cold: no heat is needed."
    if target_f <= BOILING_F:
        return "Boiling water is enough. Shaft not filed, key in, go straight on and do not stop."
    if target_f <= WARN_HEAT_F:
        return (
            "Hotter than boiling water: oven or hot plate, checked by a surface thermometer or "
            "heat crayon. Keep seals, rubber and grease away. Go straight on and do not stop."
        )
    return (
        f"Above {TEMPERATURE.text(WARN_HEAT_F)} the hub may lose its temper or warp and coatings "
        "burn: ask the maker first, or use less interference."
    )
