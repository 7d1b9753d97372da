"""Limits of chance in the core against scipy's distributions."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
import scipy

from core.base.units import format_dial
from core.bends.find import find_bends
from core.runout.hold_check import FALSE_ALARMS, HoldCheck, compare_sweeps
from core.runout.line import ShaftLine
from core.straightening.after_hits import Check, expected_after
from core.straightening.check import agrees
from core.straightening.plan import OFF_SIGMAS, on_fitted_bends
from tests.support.bent_lines import TWO, line_of

SIGMA_IN = 1e-4


def check_of(shift_in: np.ndarray, freedom: float) -> HoldCheck:
    """Hold check of stations (n,) that moved by so much each; each sweep's noise rests on half the
    degrees of freedom."""
    n = shift_in.size
    x, sigma, supports = 10.0 * np.arange(3, 3 + n), np.full(n, SIGMA_IN), np.array([20.0, 400.0])
    ecc = np.column_stack([shift_in, np.zeros(n)])
    before, after = (
        ShaftLine(x, e, sigma, supports, noise_freedom=freedom / 2) for e in (0 * ecc, ecc)
    )
    return compare_sweeps(before, after)


@pytest.mark.parametrize("freedom", [12.0, 40.0, 300.0, math.inf])
@pytest.mark.parametrize("stations", [1, 6, 25])
def test_what_a_station_could_hide(freedom: float, stations: int) -> None:
    """Square over variance passes 2 F (2 and the noise's degrees of freedom) once in a family."""
    found = check_of(np.zeros(stations), freedom)
    tail = FALSE_ALARMS / 2 / stations
    limit = (
        scipy.stats.chi2.isf(tail, 2)
        if math.isinf(freedom)
        else 2 * scipy.stats.f.isf(tail, 2, freedom)
    )
    assert found.could_hide_in == pytest.approx(math.sqrt(2 * limit) * SIGMA_IN, rel=1e-9)
    assert found.words.endswith(f"TIR up to {format_dial(2 * found.could_hide_in)} could hide.")


@pytest.mark.parametrize("freedom", [12.0, 40.0, 300.0, 1e9, math.inf])
@pytest.mark.parametrize("stations", [2, 6, 25])
def test_a_shaft_that_moved_as_a_whole(freedom: float, stations: int) -> None:
    """The sum over n stations against 2 n F; Paulson's root is right to half a per cent of it."""
    count, tail = 2 * stations, FALSE_ALARMS / 2
    limit = scipy.stats.chi2.isf(tail, count)
    if not math.isinf(freedom):
        limit = count * scipy.stats.f.isf(tail, count, freedom)
    each = math.sqrt(2 * limit / stations) * SIGMA_IN
    slack = 0.012 if freedom < 20 else 0.003
    assert check_of(np.full(stations, each * (1 - slack)), freedom).word == "held"
    assert check_of(np.full(stations, each * (1 + slack)), freedom).word == "moved"


@pytest.mark.parametrize("values", [2, 6, 10, 14, 40])
def test_a_check_disagrees_one_time_in_a_thousand(values: int) -> None:
    line, limit = expected_after(line_of(TWO), []), scipy.stats.chi2.isf(1e-3, values)
    slack = 0.03 if values == 2 else 0.01  # Wilson and Hilferty's cube is a little off for few
    assert agrees(Check(line, (1 - slack) * limit, values))
    assert not agrees(Check(line, (1 + slack) * limit, values))


def test_neighbours_off_the_bends_by_more_than_noise_stay_as_read() -> None:
    """Length of two normal components: Rayleigh. Told as 1 in 200."""
    assert scipy.stats.rayleigh.sf(OFF_SIGMAS) == pytest.approx(1 / 200, rel=0.03)
    line = line_of(TWO)
    report = find_bends(line)
    fitted = report.fitted.ecc_in
    bent = (report.bent.ecc_in - fitted)[8:10, 0] / line.sigma_in[8:10]  # less the rollers' doubt

    def drawn(off: float, others: float) -> list[float]:
        """Where two neighbours so many standard deviations off come to lie, in the same measure."""
        shift = np.full(line.station_in.size, others)
        shift[8:10] = off
        ecc = fitted + np.column_stack([shift * line.sigma_in, np.zeros(shift.size)])
        moved = on_fitted_bends(replace(line, ecc_in=ecc), report).ecc_in - fitted
        return (moved[8:10, 0] / line.sigma_in[8:10]).tolist()

    # 'Noise alone gives 1.18' in the middle: nothing is made of 1.4 times as much.
    assert scipy.stats.rayleigh.median() == pytest.approx(1.18, abs=0.005)
    assert drawn(3.2, 1.18) == pytest.approx(bent.tolist(), abs=1e-9)
    assert drawn(3.3, 1.18) == pytest.approx([3.3, 3.3])
    assert drawn(3.3, 1.39) == pytest.approx([3.3, 3.3])
    # Twice the noise stated: a station must stand off 3.25 * 2.8 / 1.4.
    assert drawn(6.4, 2.8) == pytest.approx(bent.tolist(), abs=1e-9)
    assert drawn(6.6, 2.8) == pytest.approx([6.6, 6.6])
