"""Wear of a riding area over the years, from the diameters miked at each visit.

A straight line of diameter against time, least squares. What the shop knows of its mike counts as
if it had been found from `MIKE_WORTH` readings, and the scatter about the line is weighed with it
(conjugate scaled chi squared; textbook): with two visits the interval rests on the mike alone, with
many on the scatter. `mike_worth=0` is plain least squares.

When the least diameter is reached: where the line comes down to it; its interval by Fieller's
theorem (1954, from memory), that is, where the edges of the 95 % band of the line come down to it.

A diameter that grew by more than a mike can err was built up, sleeved or measured elsewhere: the
line starts again there.

Diameters inches, times years. Not modelled: wear that speeds up; out-of-round wear (mike across
the groove); temperature.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from core.base.errors import BadReadings
from core.base.positive import check_length
from core.base.student import student_quantile

MIKE_IN = 0.0003
"""Standard deviation of a diameter miked again at a marked place by somebody else, inches. Common
practice, no source."""
MIKE_WORTH = 10.0
"""So many readings the shop's knowledge of its mike counts for."""
GREW_IN = 3 * math.sqrt(2) * MIKE_IN
"""A diameter grown by more than this was built up."""
LEAST_YEARS = 0.25
"""Nearer together in time than this two visits tell no rate."""


@dataclass(frozen=True)
class Miked:
    """One diameter at one place."""

    at_years: float
    """Time, years (any beginning, the same for all)."""
    diameter_in: float
    tag: str = ""
    when: str = ""
    """The day in words."""


@dataclass(frozen=True)
class Reached:
    """When the least diameter is reached, years on the clock of the readings."""

    at_years: float
    earliest_years: float
    """Minus infinity = it may be there already."""
    latest_years: float | None
    """None = at the slow end of the interval it is never reached."""


@dataclass(frozen=True)
class Wear:
    """What the diameters of one place say together."""

    used: tuple[Miked, ...]
    """Readings of the line, oldest first."""
    built_up: bool
    """Earlier readings were left out: the place was built up since."""
    rate_in: float | None
    """Diameter lost in a year, inches; None = one reading, or all at one time."""
    rate_u95_in: float | None
    """Half width of its 95 % interval, inches in a year."""
    reached: Reached | None
    """None = no least diameter known, no wear found, or no rate."""

    @property
    def last(self) -> Miked:
        """The newest reading."""
        return self.used[-1]

    @property
    def clear(self) -> bool:
        """Whether the interval of the rate leaves no doubt that it wears."""
        if self.rate_in is None or self.rate_u95_in is None:
            return False
        return self.rate_in > self.rate_u95_in


def wear_of(
    taken: Sequence[Miked],
    *,
    least_in: float | None = None,
    mike_in: float = MIKE_IN,
    mike_worth: float = MIKE_WORTH,
) -> Wear:
    """The wear of one place from its diameters, in any order.

    Parameters
    ----------
    least_in : least diameter allowed, inches; None = not known.
    mike_in, mike_worth : see the module.

    Raises
    ------
    BadReadings : no diameter at all. ShaftlogError : a diameter that is none.
    """
    if not taken:
        raise BadReadings("No diameter was miked here yet. Measure it first.")
    for one in taken:
        check_length("diameter", one.diameter_in)
    check_length("least diameter", least_in)
    every = sorted(taken, key=lambda one: one.at_years)
    used = _since_built_up(every)
    built_up = len(used) < len(every)
    t = np.array([one.at_years for one in used])
    d = np.array([one.diameter_in for one in used])
    if t[-1] - t[0] < LEAST_YEARS:
        return Wear(used, built_up, None, None, None)
    middle = float(t.mean())
    spread = float(((t - middle) ** 2).sum())
    slope = float(((t - middle) * d).sum() / spread)
    rest = d - d.mean() - slope * (t - middle)
    freedom = mike_worth + t.size - 2
    noise2 = (mike_worth * mike_in**2 + float((rest**2).sum())) / freedom
    edge2 = student_quantile(freedom) ** 2 * noise2
    line = _Line(middle, float(d.mean()), slope, edge2, spread, t.size)
    reached = None if least_in is None else _reached(line, least_in)
    return Wear(used, built_up, -slope, math.sqrt(edge2 / spread), reached)


def _since_built_up(every: Sequence[Miked]) -> tuple[Miked, ...]:
    start = 0
    for n in range(1, len(every)):
        if every[n].diameter_in - every[n - 1].diameter_in > GREW_IN:
            start = n
    return tuple(every[start:])


@dataclass(frozen=True)
class _Line:
    """Mean + slope (t - middle), give or take sqrt(edge2 (1/n + (t - middle)^2 / spread))."""

    middle: float
    mean: float
    slope: float
    edge2: float
    spread: float
    count: int


def _reached(line: _Line, least_in: float) -> Reached | None:
    """Where the line, and where the edges of its band, come down to a diameter."""
    if line.slope >= 0:
        return None
    above = line.mean - least_in
    best = -above / line.slope
    # (above + slope x)^2 = edge2 (1/n + x^2 / spread), x from the middle of the readings.
    a = line.slope**2 - line.edge2 / line.spread
    b = 2 * above * line.slope
    c = above**2 - line.edge2 / line.count
    inside = b**2 - 4 * a * c
    roots = [] if inside < 0 else _roots(a, b, c, math.sqrt(inside))
    if a > 0 and roots:
        return Reached(line.middle + best, line.middle + roots[0], line.middle + roots[-1])
    # The rate may be nothing: only the steep edge of the band comes down to the least diameter.
    early = max((x for x in roots if x <= best), default=-math.inf)
    return Reached(line.middle + best, line.middle + early, None)


def _roots(a: float, b: float, c: float, root: float) -> list[float]:
    """Rising."""
    if a == 0:
        return [-c / b]
    return sorted(((-b - root) / (2 * a), (-b + root) / (2 * a)))
