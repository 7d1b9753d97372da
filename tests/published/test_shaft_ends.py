"""Shaft ends of SAE J755 against the arithmetic of a 1:16 taper.

Sources: a one-page scan of SAE J755 (small end limits, keyway width, side depth, threads per inch);
a propeller maker's page (nominal small end, taper length, hub small end); summary of J755-2015
(taper rate, hub taper tolerance). Threads marked from memory are not tested as published.
"""

from __future__ import annotations

import pytest

from core.fitting.keys.trial_checks import standard_key, standards_differ
from core.fitting.shaft.ends import identify_taper, metric_end, standard_end
from core.tables.reader import number, read_table

ROWS = read_table("shaft_ends_sae_j755")
SMALL_ENDS = [
    # shaft, small end, taper length, hub small end as the propeller maker prints them
    (0.75, 0.625, 2.0, 0.609),
    (0.875, 0.727, 2.375, 0.711),
    (1.0, 0.828, 2.75, 0.813),
    (1.125, 0.930, 3.125, 0.914),
    (1.25, 1.031, 3.5, 1.016),
    (1.375, 1.133, 3.875, 1.117),
    (1.5, 1.234, 4.25, 1.219),
    (1.75, 1.438, 5.0, 1.422),
    (2.0, 1.641, 5.75, 1.625),
    (2.25, 1.844, 6.5, 1.828),
    (2.5, 2.047, 7.25, 2.031),
    (2.75, 2.258, 7.875, 2.234),
    (3.0, 2.461, 8.625, 2.438),
    (3.25, 2.664, 9.375, 2.641),
    (3.5, 2.867, 10.125, 2.844),
    (3.75, 3.070, 10.875, 3.047),
    (4.0, 3.273, 11.625, 3.250),
    (4.5, 3.828, 10.75, 3.797),
    (5.0, 4.250, 12.0, 4.219),
    (5.5, 4.672, 13.25, 4.641),
]


@pytest.mark.parametrize(("shaft", "small", "length", "hub"), SMALL_ENDS)
def test_small_end_is_diameter_less_length_over_16(shaft, small, length, hub) -> None:
    end = standard_end(diameter_in=shaft)
    assert end.figure("small end").nominal == pytest.approx(small)
    assert end.figure("taper length").nominal == pytest.approx(length)
    assert shaft - length / 16 == pytest.approx(small, abs=0.00051)
    assert identify_taper(large_in=shaft, small_in=small, length_in=length).name.startswith("SAE")
    # Hub small end is 1/64, 3/128 or 1/32 in under the shaft's: a draw of 1/4, 3/8 or 1/2 in.
    draw = 0.25 if shaft <= 2.5 else 0.375 if shaft <= 4 else 0.5
    assert (small - hub) * 16 == pytest.approx(draw, abs=0.018)
    assert end.figure("hub draw").nominal == pytest.approx(draw, abs=0.018)


@pytest.mark.parametrize(
    "row", [r for r in ROWS if r["small_end_min_in"]], ids=lambda r: r["diameter_in"]
)
def test_scan_limits_stand_round_the_nominal(row) -> None:
    middle = (float(row["small_end_min_in"]) + float(row["small_end_max_in"])) / 2
    assert middle == pytest.approx(float(row["small_end_in"]), abs=0.0006)
    assert float(row["keyway_width_max_in"]) == float(row["keyway_width_in"])


def test_sixteen_rows_have_scan_limits() -> None:
    assert len(ROWS) == 20
    assert sum(bool(row["small_end_min_in"]) for row in ROWS) == 16


@pytest.mark.parametrize("row", ROWS, ids=lambda r: r["diameter_in"])
def test_thread_fits_below_the_small_end(row) -> None:
    thread = number(row, "thread_diameter_in")
    if thread is not None:
        assert thread < float(row["small_end_in"])
        assert row["thread_status"]


@pytest.mark.parametrize("row", ROWS, ids=lambda r: r["diameter_in"])
def test_key_widths_and_the_five_diameters_that_differ(row) -> None:
    size = float(row["diameter_in"])
    j755 = standard_key(diameter_in=size, standard="J755")
    b17 = standard_key(diameter_in=size)
    assert j755.width_in == float(row["keyway_width_in"])
    assert b17.width_in == float(row["b17_1_key_width_in"])
    differ = size in {0.875, 1.25, 1.75, 2.25, 4.5}
    assert (j755.width_in != b17.width_in) == differ
    assert bool(standards_differ(size)) == differ == bool(j755.differs) == bool(b17.differs)


def test_side_depth_above_3_in_is_called_doubtful() -> None:
    """From 3 in up the scan's side depth is less than half the key width: one source, doubtful."""
    for row in ROWS:
        if float(row["diameter_in"]) >= 3 and row["keyway_side_depth_max_in"]:
            assert float(row["keyway_side_depth_max_in"]) < float(row["keyway_width_in"]) / 2
            depth = standard_end(diameter_in=float(row["diameter_in"])).figure("keyway side depth")
            assert "doubtful" in depth.status
            assert not depth.verified


@pytest.mark.parametrize(("size", "thread"), [(1.0, 1.438), (1.125, 1.438), (1.25, 1.625)])
def test_thread_lengths_of_a_trade_sheet(size: float, thread: float) -> None:
    assert standard_end(diameter_in=size).figure("thread length").nominal == pytest.approx(thread)


@pytest.mark.parametrize(
    ("size", "length", "small"), [(25, (53, 55), (19.7, 19.5)), (30, (70, 75), (23.0, 22.5))]
)
def test_metric_ends_follow_one_in_ten(size, length, small) -> None:
    """Trade sheet said to follow ISO 4566: small end = D - length / 10."""
    end = metric_end(diameter_mm=size)
    for each, printed in zip(length, small, strict=True):
        assert size - each / 10 == pytest.approx(printed, abs=1e-9)
    assert end.figure("small end").low * 25.4 == pytest.approx(min(small))
    assert end.figure("small end").high * 25.4 == pytest.approx(max(small))


HUB_TAPER = {0.75: 20, 1.25: 20, 1.375: 19, 2.0: 19, 2.25: 15, 3.0: 15, 3.25: 13, 5.5: 13}
"""Shaft, and how much less the hub's taper may be, in 0.0001 in per foot."""


@pytest.mark.parametrize(("size", "tolerance"), HUB_TAPER.items())
def test_hub_taper_tolerance(size: float, tolerance: int) -> None:
    """Summary of SAE J755-2015: hub taper +0 / -0.0020 to -0.0013 in per foot."""
    end = standard_end(diameter_in=size)
    assert end.hub_taper_tolerance_in_per_ft == pytest.approx(tolerance / 1e4)
    assert end.taper_in_per_ft == 0.750
