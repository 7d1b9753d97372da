"""Widening a loose key by peening its lower edges: how much is wanted, how far each pass came."""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import pairwise

from core.base.errors import ShaftlogError
from core.base.units import format_dial

MOST_GAIN_IN = 0.003
"""More than this by peening is a poor job: make a new key. Common practice, no source."""
PEENING_CAUTION = (
    "Peen on a clean anvil with a safety glass on, never on the shaft. Dress the edges after: no "
    "burr and no raised chip may hold the key up or score the bore."
)


@dataclass(frozen=True)
class Peening:
    """How far the work is. Inches."""

    wanted_width_in: float
    """Width over the lower edges that gives the wanted side fit in the narrowest place."""
    start_width_in: float
    widths_in: tuple[float, ...]
    """Width measured after each pass."""
    to_gain_in: float
    """Still to gain; negative = over, dress it back."""
    gained_in: tuple[float, ...]
    """Gain of each pass."""
    passes_left: int | None
    """About how many more at the pace so far; None = no pass yet, or no gain so far."""
    words: str


def peening(
    *,
    key_width_in: float,
    keyway_width_in: float,
    wanted_side_in: float = 0.0,
    widths_after_pass_in: tuple[float, ...] = (),
    u95_in: float = 0.0003,
) -> Peening:
    """Width to gain and the passes so far.

    Parameters
    ----------
    key_width_in, keyway_width_in : key over its lower edges, and the narrowest place of the shaft
        keyway.
    wanted_side_in : side clearance wanted; negative = interference; 0 = line to line.
    widths_after_pass_in : width measured after each pass, in order.

    References: common practice, no source.
    """
    values = (key_width_in, keyway_width_in, *widths_after_pass_in)
    if not all(math.isfinite(v) and v > 0 for v in values):
        raise ShaftlogError("Key and keyway widths must be above zero. Measure them again.")
    wanted = keyway_width_in - wanted_side_in
    steps = (key_width_in, *widths_after_pass_in)
    gained = tuple(after - before for before, after in pairwise(steps))
    left = wanted - steps[-1]
    pace = sum(gained) / len(gained) if gained else 0.0
    passes = math.ceil(left / pace - 1e-9) if pace > 0 and left > u95_in else None
    whole = wanted - key_width_in
    return Peening(
        wanted,
        key_width_in,
        widths_after_pass_in,
        left,
        gained,
        passes,
        _words(left, whole, u95_in),
    )


def _words(left_in: float, whole_in: float, u95_in: float) -> str:
    if left_in < -u95_in:
        return f"over by {format_dial(-left_in)}: dress the edges back, then try it"
    if left_in <= u95_in:
        return "width reached, within measuring uncertainty: trial fit"
    if whole_in > MOST_GAIN_IN:
        return (
            f"{format_dial(left_in)} to gain, {format_dial(whole_in)} in all: too much to peen "
            f"(over {format_dial(MOST_GAIN_IN)}), make a new key"
        )
    return f"{format_dial(left_in)} to gain by peening the lower edges, measure after each pass"
