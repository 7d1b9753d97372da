"""What a wrong reading may have been: the value before each kind of slip.

Standard library only. Kinds and sizes: common practice, no source.
"""

from __future__ import annotations

from math import isclose


def mends_of(
    typed_in: float, resolution_in: float, dial_turn_in: float, typed_unit_in: float
) -> list[tuple[str, float]]:
    """(kind, value before the slip in inches) of every slip that could have given `typed_in`.

    Commoner kinds first; a value that two kinds share is listed once, under the commoner.
    `typed_unit_in` is the unit in which the digits were typed, in inches.
    """
    half = dial_turn_in / 2
    found = [("lost turn", typed_in + k * dial_turn_in) for k in (-1, 1)]
    found += [("sign", -typed_in)]
    found += [("half range", typed_in + k * half) for k in (-1, 1)]
    found += [("decimal slip", typed_in * k) for k in (0.1, 10.0)]
    found += [("transposed digits", v) for v in _transposed(typed_in, resolution_in, typed_unit_in)]
    kept: list[tuple[str, float]] = []
    for kind, value in found:
        known = [typed_in, *(v for _, v in kept)]
        if not any(isclose(value, v, rel_tol=0, abs_tol=1e-9) for v in known):
            kept.append((kind, value))
    return kept


def _transposed(typed_in: float, resolution_in: float, unit_in: float) -> list[float]:
    """Values whose digits, two neighbours changed over, read as typed."""
    value = round(abs(typed_in) / unit_in, 4)
    places = max(_places(value), _places(resolution_in / unit_in))
    whole, _, part = f"{value:.{places}f}".partition(".")
    digits = whole + part
    sign = -1.0 if typed_in < 0 else 1.0
    values = []
    for i in range(len(digits) - 1):
        turned = digits[:i] + digits[i + 1] + digits[i] + digits[i + 2 :]
        if turned != digits:
            values.append(sign * int(turned) / 10**places * unit_in)
    return values


def _places(value: float) -> int:
    """Decimal places needed to write the value (at most 4)."""
    return next((p for p in range(4) if isclose(value, round(value, p), abs_tol=5e-5)), 4)
