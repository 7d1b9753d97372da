"""Many cases in a few figures, with the number of cases they rest on.

Fewer than `FEW` cases never become a share in per cent or a middle half: who shows them says how
few there are.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from math import sqrt
from statistics import median, quantiles

from core.base.errors import ShaftlogError

FEW = 5
"""Under this many cases a figure is only a list of cases. Common practice, no source."""
NINE_IN_TEN = 1.6448536269514722
"""Normal deviate with 5 % beyond on each side."""


@dataclass(frozen=True)
class Spread:
    """Cases of one kind, in the unit they came in."""

    cases: int
    median: float
    low: float
    """A quarter of the cases lies under it."""
    high: float
    """A quarter of the cases lies over it."""
    least: float
    most: float

    @property
    def few(self) -> bool:
        """Too few for the quarters to mean anything."""
        return self.cases < FEW


@dataclass(frozen=True)
class Share:
    """So many of so many."""

    cases: int
    of: int

    @property
    def few(self) -> bool:
        """Too few for a share."""
        return self.of < FEW

    @property
    def share(self) -> float:
        """0 to 1; 0 when there is nothing to share."""
        return self.cases / self.of if self.of else 0.0

    @property
    def interval(self) -> tuple[float, float]:
        """Where the share lies nine times in ten if the shop goes on like this, 0 to 1.

        Source: score interval of a proportion, Wilson 1927, J. Am. Stat. Assoc. 22, 209-212; from
        memory.
        """
        if not self.of:
            return 0.0, 1.0
        n, p, z = self.of, self.share, NINE_IN_TEN
        middle = (p + z * z / (2 * n)) / (1 + z * z / n)
        half = z * sqrt(p * (1 - p) / n + z * z / (4 * n * n)) / (1 + z * z / n)
        return max(0.0, middle - half), min(1.0, middle + half)


def spread_of(values: Iterable[float]) -> Spread | None:
    """Median, quarters and ends of the values; None when there are none.

    Quarters between two cases are taken in proportion, the ends being the least and the most.
    """
    found = sorted(values)
    if not found:
        return None
    low, high = found[0], found[-1]
    if len(found) > 1:
        low, _, high = quantiles(found, n=4, method="inclusive")
    return Spread(len(found), median(found), low, high, found[0], found[-1])


def part_of(cases: int, of: int) -> Share:
    """So many of so many, checked."""
    if not 0 <= cases <= of:
        raise ShaftlogError(f"{cases} of {of} cannot be. Count the jobs again.")
    return Share(cases, of)
