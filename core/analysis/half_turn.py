"""The half-turn test: what eccentric wheels of the shaft's own diameter add to a sweep.

A roller wheel as large as the shaft turns once a turn with it. Its eccentricity moves the axis once
a turn too, which looks exactly like a bend: no single sweep can show it. Turn the wheels half round
against the shaft (hold the wheels, turn the shaft; or lift it, turn it half round and lay it
down) and their part changes sign while the shaft's own stays::

    found before = own + (1 - s) A + s B        s = share of the way from roller A to roller B
    found after  = own - (1 - s) A - s B

Two stations read again give both vectors. The correction holds for sweeps in which the shaft was
not lifted off the wheels or slid on them.

Source: reversal method of roundness measurement (Donaldson), from memory.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from core.base.errors import BadShaft, ShaftlogError
from core.base.units import format_dial, format_length
from core.runout.harmonics import Array
from core.runout.readings import SweepReadings, WheelPart
from core.runout.sweep_fit import fit_sweep
from core.runout.wheels import roller_shares

CHI2_999 = 13.8
"""Chi-square of two degrees that noise passes once in 1000."""
LEAST_APART = 0.3
"""Stations closer together than this share of the roller span say little of two pairs of wheels."""


@dataclass(frozen=True, eq=False)
class StationTwice:
    """One station before and after the half turn: vectors (2,), covariances (2, 2). Inches."""

    station_in: float
    before_in: Array
    before_cov_in2: Array
    after_in: Array
    after_cov_in2: Array


@dataclass(frozen=True, eq=False)
class WheelOffset:
    """What the wheels added to the sweep before the half turn. Inches."""

    rollers_in: tuple[float, float]
    offset_in: Array
    """(2, 2) false eccentricity at the first and the second roller."""
    cov_in2: Array
    """(4, 4) covariance of both together."""

    @property
    def u95_in(self) -> Array:
        """(2,) half width of the 95 % interval of one component at each roller."""
        variance = np.diag(self.cov_in2).reshape(2, 2).mean(axis=1)
        return np.asarray(1.96 * np.sqrt(variance))

    @property
    def found(self) -> tuple[bool, bool]:
        """For each pair of wheels whether its eccentricity is clear of noise."""
        clear = []
        for k in (0, 1):
            own = slice(2 * k, 2 * k + 2)
            offset, cov = self.offset_in[k], self.cov_in2[own, own]
            clear.append(bool(offset @ np.linalg.solve(cov, offset) > CHI2_999))
        return clear[0], clear[1]

    @property
    def words(self) -> str:
        """The result in plain words."""
        parts = [
            f"{format_dial(2 * float(np.hypot(*offset)))} TIR at {format_length(x, 1)}"
            for x, offset, seen in zip(self.rollers_in, self.offset_in, self.found, strict=True)
            if seen
        ]
        if not parts:
            return "The half-turn test shows no eccentric wheel."
        return (
            f"Eccentric wheels add {' and '.join(parts)}. It is taken off the readings of this "
            "sweep; true the wheels or change them."
        )

    @property
    def part(self) -> WheelPart:
        """As the readings of the sweep carry it."""
        first, second = ((float(x), float(y)) for x, y in self.offset_in)
        return WheelPart((first, second), tuple(tuple(row) for row in self.cov_in2.tolist()))


def half_turn(rollers_in: tuple[float, float], stations: Sequence[StationTwice]) -> WheelOffset:
    """Work out the test from stations read before and after the half turn of both pairs.

    Raises
    ------
    BadShaft : fewer than two stations, or too close together.
    """
    x = np.array([one.station_in for one in stations], dtype=float)
    span = abs(rollers_in[1] - rollers_in[0])
    if not len(stations) or np.ptp(x) < LEAST_APART * span:
        raise BadShaft(
            "The half-turn test needs two stations far apart, best the first and the last. Read "
            "both again."
        )
    design = np.kron(-2 * roller_shares(rollers_in, x), np.eye(2))
    normal, right = np.zeros((4, 4)), np.zeros(4)
    for k, one in enumerate(stations):
        rows = design[2 * k : 2 * k + 2]
        weight = np.linalg.inv(one.before_cov_in2 + one.after_cov_in2)
        normal += rows.T @ weight @ rows
        right += rows.T @ weight @ (one.after_in - one.before_in)
    offset_in = np.asarray(np.linalg.solve(normal, right), dtype=float).reshape(2, 2)
    return WheelOffset(rollers_in, offset_in, np.asarray(np.linalg.inv(normal), dtype=float))


def half_turn_test(sweep: SweepReadings, after: SweepReadings) -> WheelOffset:
    """The test from a sweep and its stations read again after the half turn of both pairs.

    Raises
    ------
    BadShaft, BadReadings : as `half_turn` and `core.runout.sweep_fit.fit_sweep`.
    """
    before, again = (fit_sweep(one, strict=False) for one in (replace(sweep, wheels=None), after))
    fits = dict(zip(before.station_in, before.fits, strict=True))
    return half_turn(
        sweep.rollers_in,
        [
            StationTwice(x, fits[x].ecc_in, fits[x].ecc_cov_in2, fit.ecc_in, fit.ecc_cov_in2)
            for x, fit in zip(again.station_in, again.fits, strict=True)
            if x in fits
        ],
    )


def wheels_of(sweep: SweepReadings, after: SweepReadings) -> WheelPart | None:
    """What the test takes off the sweep; None = it cannot be worked out."""
    try:
        return half_turn_test(sweep, after).part
    except ShaftlogError:
        return None


def wheels_tested(sweep: SweepReadings) -> WheelOffset | None:
    """What the test found that a sweep carries; None = not tested."""
    if sweep.wheels is None:
        return None
    offset, cov = np.array(sweep.wheels.offset_in), np.array(sweep.wheels.cov_in2)
    return WheelOffset(sweep.rollers_in, offset, cov)
