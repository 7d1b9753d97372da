"""Where the readings put the rollers, and when a tape should be laid to one.

The line is zero at the rollers by definition, so a roller stated off its place bends the fitted
line beside it where no shaft is bent. Each roller's station therefore carries doubt
(`ShaftLine.roller_sigma_in`); with a slope there, the readings say by themselves where the axis
crosses the line between the supports.

Source: geometry; the doubt is common practice, no source.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from core.base.units import format_length
from core.bends.fit import Array, Fit, slopes_at_rollers
from core.runout.line import ShaftLine

MISPLACED_SIGMAS = 3.0
LEAST_MOVE_IN = 0.3
"""A smaller shift is within what a tape and a chalk line give."""
NEAR_BEND_IN = 3.0
"""A bend this close to a roller and a misplaced roller look alike."""


@dataclass(frozen=True)
class RollerPlace:
    """One roller as stated and as the readings have it, inches."""

    stated_in: float
    fitted_in: float
    sigma_in: float
    """Standard deviation of `fitted_in`."""
    bend_in: float | None = None
    """Station of a bend within `NEAR_BEND_IN` of it."""

    @property
    def misplaced(self) -> bool:
        """The readings plainly put it elsewhere."""
        away = abs(self.fitted_in - self.stated_in)
        return away > max(MISPLACED_SIGMAS * self.sigma_in, LEAST_MOVE_IN)

    @property
    def words(self) -> str:
        """What to do, in a sentence; empty when nothing is amiss."""
        place = format_length(self.stated_in, 1)
        if self.misplaced:
            return (
                f"The readings put the roller stated at {place} near "
                f"{format_length(self.fitted_in, 1)}. Measure it and correct the set-up: until "
                "then hits near it and quick checks are in doubt."
            )
        if self.bend_in is not None:
            return (
                f"The bend at {format_length(self.bend_in, 1)} is close to the roller at {place}: "
                "measure where the roller is, it changes what the bend looks like."
            )
        return ""


def roller_part_in(line: ShaftLine, fit: Fit) -> Array:
    """What misplaced rollers add to the line at its stations (n, 2), inches, as fitted."""
    off_in = _doubt_in(line)[:, None] * fit.loose[0].reshape(2, 2)
    a, b = line.rollers_in
    share = ((line.station_in - a) / (b - a))[:, None]
    return np.asarray((1 - share) * off_in[0] + share * off_in[1])


def roller_places(
    line: ShaftLine, fit: Fit, scatter: float, bends_in: Sequence[float]
) -> tuple[RollerPlace, ...]:
    """Both rollers of a fitted line. The axis lies off by slope times the shift."""
    loose, covariance = fit.loose
    doubt, slopes = _doubt_in(line), slopes_at_rollers(line)
    found = []
    for k, stated in enumerate(line.rollers_in.tolist()):
        size = float(np.hypot(*slopes[k]))
        along = slopes[k] * (doubt[k] / max(size, 1e-12) ** 2)
        own = slice(2 * k, 2 * k + 2)
        shift = -float(along @ loose[own])
        variance = float(along @ covariance[own, own] @ along) * max(scatter, 1.0) ** 2
        near = [x for x in bends_in if abs(x - stated) < NEAR_BEND_IN]
        found.append(RollerPlace(stated, stated + shift, variance**0.5, near[0] if near else None))
    return tuple(found)


def _doubt_in(line: ShaftLine) -> Array:
    """How far the axis may lie off at each roller's station (2,), one standard deviation."""
    return np.asarray(line.roller_sigma_in * np.hypot(*slopes_at_rollers(line).T))
