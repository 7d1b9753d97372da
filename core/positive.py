"""One check for figures that must be above zero, with a message fit for the screen."""

from __future__ import annotations

import math
import re

from core.errors import ShaftlogError

_UNIT = re.compile(r"_(in|hp|rpm|psi|lb_in3|lbf_in|per_f)$")


def check_positive(**values: float | None) -> None:
    """Raise ShaftlogError for the first value that is not a number above zero; None passes.

    The name of the keyword, without its unit, is the name in the message.
    """
    for name, value in values.items():
        if value is not None and (not math.isfinite(value) or value <= 0):
            what = _UNIT.sub("", name).replace("_", " ")
            raise ShaftlogError(
                f"The {what} must be a number above zero; here {value:g}. Check it."
            )
