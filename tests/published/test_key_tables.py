"""Keys, keyseat depths, tolerances and alignment of ANSI B17.1.

Sources: Table 1, ANSI B17.1-1967 (R1998), a reprint. Table 2 and alignment limits: Machinery's
Handbook 31st ed. p.2552 (ANSI/ASME B17.1-1967 R2013). Table 3: a reprint (class 1); class 2 is from
memory and not tested as published. Tolerance of depths: half of the last printed digit (0.0005).
"""

from __future__ import annotations

import pytest

from core.fitting.keys.trial_checks import (
    alignment_limits,
    key_stress,
    keyseat_depth,
    side_band,
    standard_key,
    width_tolerance,
)
from core.tables.reader import number, read_table
from tests.published.printed_tables import printed_table

DEPTHS = printed_table("keyseat_depth_b17_1")
HALF_DIGIT = 0.0005 + 1e-9


def test_all_57_depth_rows_are_carried() -> None:
    assert len(DEPTHS) == 57
    assert sum(row["status"] == "published" for row in DEPTHS) == 33


@pytest.mark.parametrize("row", DEPTHS, ids=lambda row: row["diameter_in"])
def test_depths_follow_the_formula(row) -> None:
    """S and T, square and rectangular, parallel and taper: printed against formula and Table 1."""
    diameter = float(row["diameter_in"])
    for shape, height in (("square", "square_height_in"), ("rectangular", "rectangular_height_in")):
        key = standard_key(diameter_in=diameter, shape=shape)
        assert key.width_in == float(row["width_in"])
        assert key.height_in == float(row[height])
        taper = keyseat_depth(
            diameter_in=diameter, width_in=key.width_in, height_in=key.height_in, taper_key=True
        )
        for column, value in (
            (f"s_{shape}_in", key.depth.shaft_s_in),
            (f"t_{shape}_parallel_in", key.depth.hub_t_in),
            (f"t_{shape}_taper_in", taper.hub_t_in),
        ):
            printed = number(row, column)
            if printed is not None:
                assert value == pytest.approx(printed, abs=HALF_DIGIT), column


UNPRINTED = [
    # diameter, Y, S square, S rectangular, T square: worked once by formula, rows cut off in print
    (2.5625, 0.03869, 2.2113, 2.3051, 2.8413),
    (3.0, 0.04763, 2.5774, 2.7024, 3.3324),
    (3.5, 0.05557, 3.0069, 3.1319, 3.8869),
    (4.0, 0.06351, 3.4365, 3.5615, 4.4415),
]


@pytest.mark.parametrize(("diameter", "chord", "s_square", "s_rect", "t_square"), UNPRINTED)
def test_depths_beyond_the_printed_rows(diameter, chord, s_square, s_rect, t_square) -> None:
    square = standard_key(diameter_in=diameter)
    flat = standard_key(diameter_in=diameter, shape="rectangular")
    assert square.depth.chord_in == pytest.approx(chord, abs=6e-6)
    assert square.depth.shaft_s_in == pytest.approx(s_square, abs=6e-5)
    assert flat.depth.shaft_s_in == pytest.approx(s_rect, abs=6e-5)
    assert square.depth.hub_t_in == pytest.approx(t_square, abs=6e-5)


TABLE_1 = [
    # to and including, width, square height, rectangular height (ANSI B17.1-1967 Table 1)
    ("7/16", "3/32", "3/32", None),
    ("9/16", "1/8", "1/8", "3/32"),
    ("7/8", "3/16", "3/16", "1/8"),
    ("1-1/4", "1/4", "1/4", "3/16"),
    ("1-3/8", "5/16", "5/16", "1/4"),
    ("1-3/4", "3/8", "3/8", "1/4"),
    ("2-1/4", "1/2", "1/2", "3/8"),
    ("2-3/4", "5/8", "5/8", "7/16"),
    ("3-1/4", "3/4", "3/4", "1/2"),
    ("3-3/4", "7/8", "7/8", "5/8"),
    ("4-1/2", "1", "1", "3/4"),
    ("5-1/2", "1-1/4", "1-1/4", "7/8"),
    ("6-1/2", "1-1/2", "1-1/2", "1"),
    ("7-1/2", "1-3/4", "1-3/4", "1-1/2"),
]


def inches(text: str) -> float:
    whole, _, rest = text.rpartition("-")
    top, _, bottom = rest.partition("/")
    return float(whole or 0) + float(top) / float(bottom or 1)


@pytest.mark.parametrize(("upto", "width", "square", "flat"), TABLE_1)
def test_key_sizes(upto: str, width: str, square: str, flat: str | None) -> None:
    key = standard_key(diameter_in=inches(upto))
    assert key.width_in == inches(width)
    assert key.height_in == inches(square)
    if flat is not None:
        rectangular = standard_key(diameter_in=inches(upto), shape="rectangular")
        assert rectangular.height_in == inches(flat)


CLASS_1 = [
    # shape, to and including, greatest side clearance, greatest top clearance (Table 3)
    ("square", 0.5, 0.004, 0.032),
    ("square", 0.75, 0.005, 0.032),
    ("square", 1.0, 0.006, 0.033),
    ("square", 1.5, 0.007, 0.033),
    ("square", 2.5, 0.008, 0.034),
    ("square", 3.5, 0.010, 0.036),
    ("rectangular", 0.5, 0.005, 0.033),
    ("rectangular", 0.75, 0.006, 0.033),
    ("rectangular", 1.0, 0.007, 0.034),
    ("rectangular", 1.5, 0.008, 0.034),
    ("rectangular", 3.0, 0.009, 0.035),
    ("rectangular", 4.0, 0.010, 0.036),
    ("rectangular", 6.0, 0.012, 0.038),
]


@pytest.mark.parametrize(("shape", "width", "side", "top"), CLASS_1)
def test_class_1_clearances_add_up(shape, width: float, side: float, top: float) -> None:
    """Printed side clearance = key tolerance + keyway tolerance; top = depth stack + 0.005."""
    tolerance = width_tolerance(width_in=width, fit_class=1, shape=shape)
    assert tolerance is not None
    assert tolerance.status == "published"
    assert tolerance.side_max_in == pytest.approx(side)
    assert tolerance.keyway_plus_in - tolerance.key_minus_in == pytest.approx(side)
    assert tolerance.side_min_in == 0
    row = next(
        r
        for r in read_table("key_width_tolerances_b17_1")
        if r["shape"] == shape and r["fit_class"] == "1" and float(r["width_to_incl_in"]) == width
    )
    stack = (
        float(row["hub_depth_plus_in"])
        - float(row["shaft_depth_minus_in"])
        - float(row["key_height_minus_in"])
    )
    assert stack + 0.005 == pytest.approx(top)
    assert tolerance.top_max_in == pytest.approx(top)
    assert tolerance.top_min_in == pytest.approx(0.005)


def test_class_2_says_it_is_from_memory() -> None:
    for width in (0.25, 2.0, 3.25):
        tolerance = width_tolerance(width_in=width, fit_class=2)
        assert tolerance is not None
        assert tolerance.status == "from memory"
        assert "from memory" in side_band(width_in=width, fit_class=2).name


@pytest.mark.parametrize(
    ("length", "lead"), [(1, 0.002), (4, 0.002), (6, 0.003), (10, 0.005), (14, 0.005)]
)
def test_alignment_limits(length: float, lead: float) -> None:
    """Offset 0.010; lead 0.002 to 4 in, 0.0005 per in to 10 in, 0.005 above (MH 31 p.2552)."""
    limits = alignment_limits(length_in=length)
    assert limits.offset_in == pytest.approx(0.010)
    assert limits.lead_in == pytest.approx(lead)


def test_key_stress_of_a_textbook_example() -> None:
    """Shigley's Mechanical Engineering Design, keys example: 40 hp at 600 rpm, 1-7/16 in shaft, 3/8
    square key of 65 ksi yield, factor 2.8: lengths 1.17 in (shear) and 1.34 in (bearing).

    Example quoted from memory; it recomputes to the digits given.
    """
    torque = 63025 * 40 / 600
    for length, name in ((1.165, "shear"), (1.344, "bearing")):
        stress = key_stress(
            torque_lbf_in=torque,
            diameter_in=1.4375,
            width_in=0.375,
            working_length_in=length,
            shaft_side_in=0.1875,
            hub_side_in=0.1875,
            key_yield_psi=65000,
        )
        factor = stress.shear_factor if name == "shear" else stress.bearing_factor
        assert factor == pytest.approx(2.8, abs=0.01)
        assert stress.force_lbf == pytest.approx(5850, abs=6)
