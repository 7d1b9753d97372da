"""Standard keys and keyways: sizes, depths, tolerances, and where two standards part.

::

        ___________
       |    key    |          T: hub keyway roof to the far side of the bore
     __|  W x H    |__        S: keyway floor to the far side of the shaft
    /  |___________|  \\       Y: height of the arc over the keyway's width
   |        |          |      side depth: keyway floor to the edge of the keyway
   |      S |          |
    \\_______|_________/

Lengths inches.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from core.base.errors import ShaftlogError
from core.base.positive import check_positive
from core.base.units import format_length, format_shop_size, format_size
from core.tables.reader import Row, number, read_table

Standard = Literal["B17.1", "J755"]
Shape = Literal["square", "rectangular"]

ROUNDING_IN = 1e-9
NEAR_SIZE_IN = 0.010
"""A measured shaft this near a J755 size is taken for it."""
PARALLEL_ALLOWANCE_IN = 0.005
TAPER_ALLOWANCE_IN = -0.020
"""Clearance C in the hub depth: parallel key, and taper key at the deep end (B17.1)."""


@dataclass(frozen=True)
class KeyseatDepth:
    """Depth control figures of one key in one shaft, inches."""

    chord_in: float
    """Y, height of the arc over the keyway's width."""
    shaft_s_in: float
    """S, keyway floor to the far side of the shaft."""
    hub_t_in: float
    """T, hub keyway roof to the far side of the bore."""


def keyseat_depth(
    *, diameter_in: float, width_in: float, height_in: float, taper_key: bool = False
) -> KeyseatDepth:
    """Depths S and T by the formulas of the standard.

    Y = (D - sqrt(D^2 - W^2)) / 2; S = D - Y - H/2; T = D - Y + H/2 + C, with C = 0.005 for
    parallel keys and -0.020 for taper keys.

    References
    ----------
    ANSI/ASME B17.1-1967 (R2013), Machinery's Handbook 31st ed. p.2552.
    """
    check_positive(shaft_diameter_in=diameter_in, key_width_in=width_in, key_height_in=height_in)
    if width_in >= diameter_in:
        raise ShaftlogError(
            f"A key {format_length(width_in)} wide does not go into a {format_length(diameter_in)} "
            "shaft. Check which figure is which."
        )
    chord = (diameter_in - math.sqrt(diameter_in**2 - width_in**2)) / 2
    allowance = TAPER_ALLOWANCE_IN if taper_key else PARALLEL_ALLOWANCE_IN
    floor = diameter_in - chord
    return KeyseatDepth(chord, floor - height_in / 2, floor + height_in / 2 + allowance)


@dataclass(frozen=True)
class StandardKey:
    """One standard's key at one shaft diameter, inches."""

    standard: Standard
    diameter_in: float
    width_in: float
    height_in: float
    shape: Shape
    side_depth_in: float | None
    """Depth of the shaft keyway at its side; half the key's height where none is printed."""
    width_min_in: float | None
    width_max_in: float | None
    """Keyway width limits; None where the standard's table was not legible."""
    depth: KeyseatDepth
    differs: str
    """Plain warning when the other standard gives another key here; else empty."""
    status: str
    source: str


def _b17_row(diameter_in: float) -> Row | None:
    for row in read_table("keys_b17_1"):
        if float(row["over_in"]) < diameter_in - ROUNDING_IN <= float(row["to_incl_in"]):
            return row
    return None


def _j755_row(diameter_in: float) -> Row | None:
    rows = read_table("shaft_ends_sae_j755")
    near = min(rows, key=lambda row: abs(float(row["diameter_in"]) - diameter_in))
    return near if abs(float(near["diameter_in"]) - diameter_in) <= NEAR_SIZE_IN else None


def standards_differ(diameter_in: float) -> str:
    """Plain warning where J755 and B17.1 want different keys (five diameters); else empty.

    The five are 7/8, 1-1/4, 1-3/4, 2-1/4 and 4-1/2 in.
    """
    j755 = _j755_row(diameter_in)
    b17 = _b17_row(float(j755["diameter_in"])) if j755 else None
    if j755 is None or b17 is None:
        return ""
    theirs, ours = float(j755["keyway_width_in"]), float(b17["width_in"])
    if abs(theirs - ours) < 1e-6:
        return ""
    shaft = format_shop_size(float(j755["diameter_in"]))
    return (
        f"{shaft} shaft: J755 has a {format_size(theirs)} key, B17.1 a {format_size(ours)} key. "
        "Measure which one this shaft was cut for."
    )


def standard_key(
    *, diameter_in: float, standard: Standard = "B17.1", shape: Shape = "square"
) -> StandardKey:
    """The key a standard gives for a shaft diameter, inches.

    Parameters
    ----------
    diameter_in : shaft diameter (J755: the straight shaft ahead of the taper).
    standard : 'B17.1' (machine keys) or 'J755' (propeller shaft ends, square keys only).
    shape : 'square' or 'rectangular' (B17.1 only).

    Raises
    ------
    ShaftlogError : diameter outside the table, or a shape it does not have.

    References
    ----------
    ANSI B17.1-1967 (R1998) Table 1; SAE J755 as scanned and as a propeller maker prints it.
    """
    check_positive(shaft_diameter_in=diameter_in)
    if standard == "B17.1":
        return _b17_key(diameter_in, shape)
    if standard == "J755":
        return _j755_key(diameter_in, shape)
    raise ShaftlogError(f"There is no key standard '{standard}' here. Choose B17.1 or J755.")


def _b17_key(diameter_in: float, shape: Shape) -> StandardKey:
    row = _b17_row(diameter_in)
    if row is None:
        raise ShaftlogError(
            f"B17.1 has no key for a {format_length(diameter_in)} shaft in this table: it runs "
            "over 5/16 to 7-1/2 in. Check the diameter and its unit."
        )
    width = float(row["width_in"])
    height = number(row, "square_height_in" if shape == "square" else "rectangular_height_in")
    if height is None:
        raise ShaftlogError(
            f"B17.1 prints no rectangular key for {format_length(diameter_in)}. Take the square "
            "one."
        )
    tolerance = width_tolerance(width_in=width, fit_class=1, shape=shape)
    return StandardKey(
        standard="B17.1",
        diameter_in=diameter_in,
        width_in=width,
        height_in=height,
        shape=shape,
        side_depth_in=height / 2,
        width_min_in=None if tolerance is None else width + tolerance.keyway_minus_in,
        width_max_in=None if tolerance is None else width + tolerance.keyway_plus_in,
        depth=keyseat_depth(diameter_in=diameter_in, width_in=width, height_in=height),
        differs=standards_differ(diameter_in),
        status=row["status"],
        source=row["source"],
    )


def _j755_key(diameter_in: float, shape: Shape) -> StandardKey:
    if shape != "square":
        raise ShaftlogError("J755 has square keys only here. Choose square, or B17.1.")
    row = _j755_row(diameter_in)
    if row is None:
        sizes = ", ".join(
            format_size(float(r["diameter_in"]), unit=False)
            for r in read_table("shaft_ends_sae_j755")
        )
        raise ShaftlogError(
            f"J755 has no shaft of {format_length(diameter_in)}. Its sizes here: {sizes} in."
        )
    size, width = float(row["diameter_in"]), float(row["keyway_width_in"])
    low, high = number(row, "keyway_side_depth_min_in"), number(row, "keyway_side_depth_max_in")
    printed = None if low is None or high is None else (low + high) / 2
    depth_status = row["keyway_depth_status"] or "side depth not printed"
    return StandardKey(
        standard="J755",
        diameter_in=size,
        width_in=width,
        height_in=width,
        shape="square",
        side_depth_in=printed,
        width_min_in=number(row, "keyway_width_min_in"),
        width_max_in=number(row, "keyway_width_max_in"),
        depth=keyseat_depth(diameter_in=size, width_in=width, height_in=width),
        differs=standards_differ(size),
        status=f"{row['status']}; keyway depth: {depth_status}",
        source=row["source"],
    )


@dataclass(frozen=True)
class WidthTolerance:
    """Tolerances of key and keyway widths for one class of fit, inches."""

    fit_class: int
    key_plus_in: float
    key_minus_in: float
    keyway_plus_in: float
    keyway_minus_in: float
    side_min_in: float
    side_max_in: float
    """Side fit: clearance positive, interference negative."""
    top_min_in: float | None
    top_max_in: float | None
    """Clearance over the key; None for class 2, not found."""
    status: str
    """'published' (class 1) or 'from memory' (class 2): say so wherever it is shown."""
    source: str


def width_tolerance(
    *, width_in: float, fit_class: int = 1, shape: Shape = "square"
) -> WidthTolerance | None:
    """Tolerances for a key width, inches; None when the table has no row for it.

    References: ANSI B17.1-1967 Table 3 (class 1 published, class 2 from memory).
    """
    if fit_class not in (1, 2):
        raise ShaftlogError(f"Key fits come in class 1 and class 2, not {fit_class}.")
    for row in read_table("key_width_tolerances_b17_1"):
        if int(row["fit_class"]) != fit_class or row["shape"] != shape:
            continue
        low, high = float(row["width_over_in"]), float(row["width_to_incl_in"])
        if low < width_in - ROUNDING_IN <= high:
            return WidthTolerance(
                fit_class=fit_class,
                key_plus_in=float(row["key_width_plus_in"]),
                key_minus_in=float(row["key_width_minus_in"]),
                keyway_plus_in=float(row["keyseat_width_plus_in"]),
                keyway_minus_in=float(row["keyseat_width_minus_in"]),
                side_min_in=float(row["side_clearance_min_in"]),
                side_max_in=float(row["side_clearance_max_in"]),
                top_min_in=number(row, "top_clearance_min_in"),
                top_max_in=number(row, "top_clearance_max_in"),
                status=row["status"],
                source=row["source"],
            )
    return None


@dataclass(frozen=True)
class AlignmentLimits:
    """How far a keyway may run off, inches."""

    length_in: float
    offset_in: float
    """Keyway centre line beside the shaft's centre line."""
    lead_in: float
    """Run-off (twist) over the keyway's length."""
    status: str
    source: str


def alignment_limits(*, length_in: float) -> AlignmentLimits:
    """Limits of offset and lead for a keyway of a length, inches.

    References: ANSI/ASME B17.1-1967 (R2013), Machinery's Handbook 31st ed. p.2552.
    """
    check_positive(keyway_length_in=length_in)
    rows = read_table("keyseat_alignment_b17_1")
    offset = next(number(row, "limit_in") for row in rows if row["quantity"] == "offset")
    leads = [row for row in rows if row["quantity"] == "lead"]
    row = next(r for r in leads if length_in <= (number(r, "length_to_incl_in") or math.inf))
    flat, each = number(row, "limit_in"), number(row, "limit_per_in")
    lead = flat if flat is not None else (each or 0.0) * length_in
    assert offset is not None
    return AlignmentLimits(length_in, offset, lead, row["status"], row["source"])
