"""The unit in which a shop reads its dials: one shop, one unit, one running program.

The start of the program needs this and nothing else of `core.base.units`.
"""

from __future__ import annotations

from typing import Literal

Unit = Literal["in", "thou", "mm"]
_now: list[Unit] = ["thou"]


def show_dial_in(unit: str) -> None:
    """Choose the unit in which dial figures, gaps and clearances are shown."""
    _now[0] = "mm" if unit == "mm" else "in" if unit == "in" else "thou"


def shown_dial_unit() -> Unit:
    """The unit in which they are shown."""
    return _now[0]


def length_unit() -> Unit:
    """The unit in which sizes and places along the shaft are typed and shown: mm or inches."""
    return "mm" if _now[0] == "mm" else "in"


def length_words() -> str:
    """The same unit written out, for headings on paper."""
    return "mm" if _now[0] == "mm" else "inches"
