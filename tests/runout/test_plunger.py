"""A round section far out of line under a point, a ball and a flat: what the dial makes of it.

The readings come from a circle and a line, solved for where they touch (scipy's root finder);
nothing of the module's own formula is used.
"""

from __future__ import annotations

import math

import numpy as np
import pytest
import scipy

from core.runout.harmonics import Array
from core.runout.plunger import FAR_OUT_IN, lifts_by_readings
from core.runout.readings import StationReadings, SweepReadings
from core.runout.station_fit import fit_station
from core.runout.sweep_fit import fit_sweep

EIGHT = tuple(np.arange(8) * math.pi / 4)
GRADUATION_IN = 0.0005


def touched(clock: float, ecc: complex, radius_in: float) -> float:
    """Height at which a plunger without width meets the section, less its radius."""
    centre = ecc * complex(math.cos(clock), -math.sin(clock))
    # The dial stands over the axis; the section's centre goes round it.
    across, up = centre.imag, centre.real
    top = up + radius_in
    return (
        scipy.optimize.brentq(lambda y: (y - up) ** 2 + across**2 - radius_in**2, up, top + 1.0)
        - radius_in
    )


def readings(ecc: complex, radius_in: float, rng: np.random.Generator | None = None) -> Array:
    """One station's readings at eight marks, on graduations when there is noise."""
    exact = np.array([touched(t, ecc, radius_in) for t in EIGHT])
    if rng is None:
        return exact
    noisy = exact + rng.normal(0, 0.0003, exact.size)
    return np.round(noisy / GRADUATION_IN) * GRADUATION_IN


def bent_sweep(radius_in: float, rng: np.random.Generator) -> tuple[SweepReadings, Array]:
    """A shaft of 120 in with one sharp bend in its middle, 0.36 in out there; true (n,) complex."""
    places = np.arange(6.0, 119.0, 6.0)
    toward = complex(math.cos(0.7), math.sin(0.7))
    ecc = 0.18 * np.interp(places, [0, 12, 60, 108, 120], [-0.25, 0, 1, 0, -0.25]) * toward
    stations = tuple(
        StationReadings(float(x), EIGHT, tuple(readings(e, radius_in, rng).tolist()))
        for x, e in zip(places, ecc, strict=True)
    )
    sweep = SweepReadings(
        rollers_in=(12.0, 108.0), stations=stations, resolution_in=GRADUATION_IN, length_in=120.0
    )
    return sweep, ecc


@pytest.mark.parametrize("radius_in", [0.625, 1.0, 1.5])
def test_a_shaft_far_out_of_line_has_no_slips_and_its_true_line(radius_in: float) -> None:
    rng = np.random.default_rng(11)
    inside = total = 0
    for _ in range(6):
        sweep, ecc = bent_sweep(radius_in, rng)
        fit = fit_sweep(sweep)
        assert [f.slips for f in fit.fits if f.slips] == []
        found = np.array([f.ecc_in for f in fit.fits])
        assert np.abs(found - np.stack([ecc.real, ecc.imag], axis=1)).max() < 0.0006
        assert max(f.ovality_in for f in fit.fits) < 0.0006
        away = [(f, 2 * abs(e)) for f, e in zip(fit.fits, ecc, strict=True) if abs(e) > 0]
        inside += sum(f.tir_low_in <= tir <= f.tir_high_in for f, tir in away)
        total += len(away)
    assert inside / total > 0.9


def test_slips_on_a_shaft_far_out_of_line_are_named_and_mended_as_typed() -> None:
    rng = np.random.default_rng(4)
    sweep, _ = bent_sweep(1.0, rng)
    wrong = {
        48.0: (3, "lost turn", lambda v: round(v + 0.1, 4)),
        54.0: (0, "sign", lambda v: -v),
        66.0: (4, "decimal slip", lambda v: v / 10),
        72.0: (1, "half range", lambda v: round(v - 0.05, 4)),
    }
    stations, right = [], {}
    for station in sweep.stations:
        values = list(station.reading_in)
        if station.station_in in wrong:
            index, _, spoil = wrong[station.station_in]
            right[station.station_in] = values[index]
            values[index] = spoil(values[index])
        if station.station_in == 60.0:
            right[60.0] = values[5]
            values[5], values[6] = values[6], values[5]
        stations.append(StationReadings(station.station_in, EIGHT, tuple(values)))
    fit = fit_sweep(
        SweepReadings(
            rollers_in=sweep.rollers_in,
            stations=tuple(stations),
            resolution_in=GRADUATION_IN,
            length_in=120.0,
        )
    )
    found = {
        x: [(s.index, s.kind, s.suggested_in) for s in f.slips]
        for x, f in zip(fit.station_in, fit.fits, strict=True)
        if f.slips
    }
    assert set(found) == {*wrong, 60.0}
    for x, (index, kind, _) in wrong.items():
        assert [(i, k) for i, k, _ in found[x]] == [(index, kind)]
        assert found[x][0][2] == pytest.approx(right[x], abs=1e-9)
    assert [(i, k) for i, k, _ in found[60.0]] == [
        (5, "swapped neighbours"),
        (6, "swapped neighbours"),
    ]
    assert found[60.0][0][2] == pytest.approx(right[60.0], abs=1e-9)


def test_one_station_alone_and_a_ball_for_a_point() -> None:
    ecc, ball_in = complex(0.1, -0.12), 0.0625
    fit = fit_station(EIGHT, readings(ecc, 0.75 + ball_in), resolution_in=GRADUATION_IN)
    assert not fit.slips
    assert fit.ecc_in == pytest.approx([ecc.real, ecc.imag], abs=2e-5)
    assert fit.ovality_in < 3e-5
    assert fit.shown_tir_in == pytest.approx(np.ptp(readings(ecc, 0.75 + ball_in)))


def test_a_flat_point_reads_a_cosine_and_is_left_alone() -> None:
    ecc = complex(0.1, -0.12)
    cosine = np.array([(ecc * complex(math.cos(t), -math.sin(t))).real for t in EIGHT])
    along = 2 * np.array(EIGHT) - 2 * math.atan2(ecc.imag, ecc.real)
    for oval_in in (-0.003, 0.0, 0.0009):
        assert not lifts_by_readings({0.0: (EIGHT, cosine + oval_in * np.cos(along))})
    assert lifts_by_readings({0.0: (EIGHT, cosine + 0.0011 * np.cos(along))})
    fit = fit_station(EIGHT, cosine, resolution_in=GRADUATION_IN)
    assert fit.ecc_in == pytest.approx([ecc.real, ecc.imag], abs=1e-7)
    assert fit.ovality_in < 1e-7


def test_a_shaft_that_runs_out_little_is_left_alone() -> None:
    near = FAR_OUT_IN * 0.98
    assert not lifts_by_readings({0.0: (EIGHT, readings(complex(near, 0), 0.5))})
    assert lifts_by_readings({0.0: (EIGHT, readings(complex(near * 1.04, 0), 0.5))})


def test_marks_over_part_of_the_turn_do_not_tell_but_are_raised() -> None:
    """Half of the marks blocked at one station: what the others tell is used there."""
    clock = EIGHT[:5]
    half = readings(complex(0.1, 0.1), 1.0)[:5]
    whole = readings(complex(0.15, 0.0), 1.0)
    alone = lifts_by_readings({6.0: (np.array(clock) * 0.5, half)})
    assert not alone
    both = lifts_by_readings({6.0: (clock, half), 12.0: (EIGHT, whole)})
    expected = np.abs(complex(0.1, 0.1)) * np.cos(np.array(clock) - math.pi / 4) - half
    assert both.again({6.0: (clock, half)}, {6.0: np.array([0.1, 0.1])}).at[6.0] == pytest.approx(
        expected, abs=2e-5
    )
