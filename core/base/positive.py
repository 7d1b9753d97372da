"""Checks of figures that must be above zero, with messages fit for the screen."""

from __future__ import annotations

import math
import re

from core.base.errors import ShaftlogError
from core.base.units import MOST_IN, format_length

LEAST_IN = 1e-6
"""No length on this bench is shorter, inches."""
_UNIT = re.compile(r"_(in|hp|rpm|psi|lb_in3|lbf_in|per_f)$")
_LENGTH = re.compile(r"(?<!_lbf)_in$")


def check_positive(**values: float | None) -> None:
    """Raise ShaftlogError for the first value that is not a number above zero; None passes.

    The name of the keyword, without its unit, is the name in the message; lengths (`..._in`) must
    also be lengths that a bench can hold.
    """
    for name, value in values.items():
        what = _UNIT.sub("", name).replace("_", " ")
        if _LENGTH.search(name):
            check_length(what, value)
        elif value is not None and (not math.isfinite(value) or value <= 0):
            raise ShaftlogError(
                f"The {what} must be a number above zero; here {value:g}. Check it."
            )


def check_length(what: str, value_in: float | None) -> None:
    """Raise ShaftlogError for a length, inches, that is none; None = not measured, passes."""
    if value_in is None:
        return
    if not math.isfinite(value_in) or value_in < LEAST_IN:
        raise ShaftlogError(
            f"The {what} must be a number above zero; here {value_in:g}. Measure it again."
        )
    if value_in > MOST_IN:
        raise ShaftlogError(
            f"The {what} of {format_length(value_in, 0)} is longer than any shaft. Check its unit."
        )
