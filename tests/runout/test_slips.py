"""Slips of hand and eye: found, named, a mend offered, nothing altered."""

from __future__ import annotations

import numpy as np
import pytest

from core.runout.harmonics import Priors
from core.runout.slip_corrections import ReadingSetup, mends_of, on_graduation, weighed_mends
from core.runout.station_fit import fit_station
from tests.bench.slips import run

CLOCK = np.radians(np.arange(0, 360, 30))
TRUE = np.round((0.0142 * np.cos(CLOCK - 0.7) + 0.002) / 0.0005) * 0.0005


def fitted(index: int, value: float):  # type: ignore[no-untyped-def]
    typed = TRUE.copy()
    typed[index] = value
    return fit_station(CLOCK, typed, resolution_in=0.0005)


@pytest.mark.parametrize(
    ("kind", "slip"),
    [
        ("lost turn", lambda v: v + 0.1),
        ("lost turn", lambda v: v - 0.1),
        ("half range", lambda v: v + 0.05),
        ("sign", lambda v: -v),
        ("decimal slip", lambda v: v * 10),
        ("decimal slip", lambda v: v / 10),
    ],
)
def test_named_and_mended(kind: str, slip) -> None:  # type: ignore[no-untyped-def]
    fit = fitted(1, slip(TRUE[1]))
    assert [s.kind for s in fit.slips] == [kind]
    found = fit.slips[0]
    assert (found.index, found.clock_rad) == (1, CLOCK[1])
    assert found.typed_in == slip(TRUE[1])
    assert found.suggested_in == pytest.approx(TRUE[1])
    assert found.off_in == pytest.approx(slip(TRUE[1]) - TRUE[1], abs=0.001)
    assert fit.left_out == (1,)


def test_transposed_digits() -> None:
    assert TRUE[0] == pytest.approx(0.013)
    fit = fitted(0, 0.031)
    assert [(s.kind, s.suggested_in) for s in fit.slips] == [
        ("transposed digits", pytest.approx(0.013))
    ]


@pytest.mark.parametrize("i", [i for i in range(11) if abs(TRUE[i + 1] - TRUE[i]) > 0.003])
def test_swapped_neighbours_are_both_told(i: int) -> None:
    typed = TRUE.copy()
    typed[[i, i + 1]] = typed[[i + 1, i]]
    fit = fit_station(CLOCK, typed, resolution_in=0.0005)
    assert [(s.index, s.kind) for s in fit.slips] == [
        (i, "swapped neighbours"),
        (i + 1, "swapped neighbours"),
    ]
    assert [s.suggested_in for s in fit.slips] == pytest.approx([TRUE[i], TRUE[i + 1]])


@pytest.mark.parametrize("i", range(8))
def test_a_small_slip_beside_the_graduations_is_found_by_its_name(i: int) -> None:
    # 1.8 thou would pass for roundness or noise; but 53 is 35 with the digits changed over.
    clock = np.radians(np.arange(0, 360, 45))
    true = np.round((0.0035 + 0.008 * (np.cos(clock - clock[i]) - 1)) / 0.0005) * 0.0005
    typed = true.copy()
    typed[i] = 0.0053
    fit = fit_station(clock, typed, resolution_in=0.0005, repeatability_in=0.0002)
    assert [(s.index, s.kind) for s in fit.slips] == [(i, "transposed digits")]
    typed[i] = 0.0055
    fit = fit_station(clock, typed, resolution_in=0.0005, repeatability_in=0.0002)
    assert fit.slips == ()


def test_unknown_kind_offers_no_mend() -> None:
    fit = fitted(3, TRUE[3] + 0.0223)
    assert [(s.kind, s.suggested_in) for s in fit.slips] == [("odd reading", None)]


def test_the_fit_stands_on_the_other_readings() -> None:
    clean = fit_station(CLOCK, TRUE, resolution_in=0.0005)
    assert clean.slips == ()
    slipped = fitted(1, TRUE[1] + 0.1)
    assert slipped.ecc_in == pytest.approx(clean.ecc_in, abs=0.0003)
    assert slipped.shown_tir_in == pytest.approx(TRUE[1] + 0.1 - TRUE.min())
    assert slipped.residual_in[1] == pytest.approx(0.1, abs=0.001)
    assert np.abs(np.delete(slipped.residual_in, 1)).max() < 0.0008


def test_a_reading_looked_at_and_right_is_not_doubted_again() -> None:
    """One dial has its noise told; without that the one reading widens the intervals instead."""
    typed = TRUE.copy()
    typed[3] += 0.005
    told = {"resolution_in": 0.0005, "repeatability_in": 0.0002}
    assert fit_station(CLOCK, typed, **told).left_out == (3,)
    fit = fit_station(CLOCK, typed, **told, right=(3,))
    assert (fit.slips, fit.left_out, fit.spots) == ((), (), (3,))
    assert fit.residual_in[3] == pytest.approx(0.005, abs=0.0006)
    assert fit.ecc_in == pytest.approx(fit_station(CLOCK, TRUE, **told).ecc_in, abs=3e-4)
    wide = fit_station(CLOCK, typed, resolution_in=0.0005, right=(3,))
    assert (wide.slips, wide.left_out, wide.spots) == ((), (), ())
    assert wide.tir_high_in - wide.tir_low_in > 3 * (fit.tir_high_in - fit.tir_low_in)


def test_readings_found_right_leave_a_plain_slip_a_slip() -> None:
    """What was looked at again elsewhere in the station changes nothing about a plain slip."""
    typed = TRUE.copy()
    typed[5] += 0.1
    for right in ((), (0, 1, 2)):
        fit = fit_station(CLOCK, typed, resolution_in=0.0005, right=right)
        assert [(s.index, s.kind) for s in fit.slips] == [(5, "lost turn")]
        assert fit.spots == ()


def test_another_dial_turns_at_another_place() -> None:
    typed = TRUE.copy()
    typed[2] += 0.04
    fit = fit_station(CLOCK, typed, resolution_in=0.0005, dial_turn_in=0.04)
    assert fit.slips[0].kind == "lost turn"
    assert fit.slips[0].suggested_in == pytest.approx(TRUE[2])


def test_two_slips_hiding_behind_each_other() -> None:
    clock = np.radians(np.arange(0, 360, 45))
    true = np.array([-15.5, -10.0, -5.5, -4.5, -7.0, -14.5, -21.5, -20.5]) / 1000
    typed = true.copy()
    typed[:2] -= 0.1
    fit = fit_station(clock, typed, resolution_in=0.0005, repeatability_in=0.0002)
    assert [(s.index, s.kind) for s in fit.slips] == [(0, "lost turn"), (1, "lost turn")]


def test_shared_values_go_to_the_commoner_kind() -> None:
    kinds = {round(v * 1000, 3): k for k, v in mends_of(0.0005, 0.0005, 0.1, 0.001)}
    assert kinds[5.0] == "decimal slip"  # 05 and 50 with the digits changed over is the same
    assert kinds[-0.5] == "sign"
    values = [v for _, v in mends_of(0.0125, 0.0005, 0.1, 0.001)]
    assert len(values) == len({round(v, 9) for v in values})
    assert 0.0125 not in values


def test_transposed_digits_count_the_zero_behind_the_point() -> None:
    def transposed(typed: float, resolution: float, unit: float = 0.001) -> set[float]:
        found = mends_of(typed, resolution, 0.1, unit)
        return {round(v / unit, 4) for k, v in found if k == "transposed digits"}

    assert transposed(0.012, 0.0001) == {21.0, 10.2}
    assert transposed(0.012, 0.001) == {21.0}
    assert transposed(-0.0123, 0.0001) == {-21.3, -13.2}
    # Typed in millimetres the digits are others.
    assert transposed(0.31 / 25.4, 0.01 / 25.4, 1 / 25.4) == {3.01, 0.13}


def test_graduations() -> None:
    values = np.array([0.0125, 0.0127, -0.0005, 0.0])
    assert on_graduation(values, 0.0005).tolist() == [True, False, True, True]
    assert on_graduation(values, 0.0).tolist() == [False] * 4
    # A mend on a graduation is likelier than one beside it when the others keep to them.
    station = np.array([0.0125, 0.013, 0.0105, 0.003, 0.0053])
    prior = {
        round(v, 5): p
        for _, v, p in weighed_mends(0.0053, station, ReadingSetup(0.0005, None, Priors()))
    }
    assert prior[0.0035] > prior[-0.0053] + 3


def test_two_slips_far_apart_that_look_like_ovality() -> None:
    # Equal slips half a turn apart are what an oval section shows: the others give it away.
    clock = np.radians(np.arange(0, 360, 30))
    typed = TRUE.copy()
    typed[[2, 8]] += 0.05
    fit = fit_station(clock, typed, resolution_in=0.0005, repeatability_in=0.0002)
    assert [(s.index, s.kind) for s in fit.slips] == [(2, "half range"), (8, "half range")]


@pytest.mark.slow
def test_rates_on_simulated_stations() -> None:
    for known in (True, False):
        tally = run(700, 21, known=known)
        count, found = tally.injected.total(), tally.found.total()
        assert count > 100
        assert found / count > 0.93
        assert tally.named.total() / found > 0.88
        assert tally.false / tally.clean < 0.0015


@pytest.mark.slow
def test_clean_readings_raise_few_alarms() -> None:
    tally = run(350, 5, known=False, rate=0.0)
    assert tally.false / tally.clean < 0.001
