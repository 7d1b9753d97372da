"""Texts that may differ in the last printed digit of a figure, and nowhere else.

Processors round the last bit of a sum differently, so a stored figure that lies on a tie may print
one unit higher or lower; so may a clock in whole degrees. Other whole numbers must agree.
"""

from __future__ import annotations

import re
from itertools import zip_longest

_NUMBER = re.compile(r"\d+\.\d+|\b\d{3}\b")
"""Figures with a point, and clocks: three digits."""
PIXELS = 2.0
"""A drawing may differ by this: its bars are not rounded to the figures printed."""


def first_difference(one: str, other: str) -> str:
    """The first line that differs by more than the last digit of a figure; '' = none."""
    for a, b in zip_longest(one.splitlines(), other.splitlines(), fillvalue="(no such line)"):
        if a != b and not _alike(a, b):
            return f"{a!r} against {b!r}"
    return ""


def _alike(one: str, other: str) -> bool:
    if _NUMBER.sub("#", one).split() != _NUMBER.sub("#", other).split():
        return False
    pairs = zip(_NUMBER.findall(one), _NUMBER.findall(other), strict=True)
    least = PIXELS if "viewBox" in one else 0.0
    return all(abs(float(a) - float(b)) <= max(1.01 * _unit(a, b), least) for a, b in pairs)


def _unit(one: str, other: str) -> float:
    """One unit in the last place of the coarser of two printed figures."""
    return 10.0 ** -min(len(one.partition(".")[2]), len(other.partition(".")[2]))
