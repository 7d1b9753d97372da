"""Face readings round one circle: level, tilt, and a two-lobed wave where it can be seen.

    z(t) = c + e0 cos t + e1 sin t + a2 cos 2t + b2 sin 2t

Positive = face nearer the dial. With a second dial half a turn on, the half difference cancels
end float, and every even wave with it. Inches, radians.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from core.base.errors import BadReadings
from core.base.student import student_quantile
from core.runout.harmonics import TURN, Array, harmonics

WAVE_PRIOR_IN = 0.0004
"""How wavy (two lobes) faces usually are, standard deviation; common practice, no source."""
FACE_MARKS = 3
PLANE_PARTS = 3
"""Level and two parts of the tilt: what fixes a plane."""
FACE_FREEDOM = 3.0
"""Degrees of freedom reckoned with at least: below, Student's t leaves nothing to judge by."""
SCATTER_SIGMAS = 2.0
"""Scatter is reported when its square passes the stated one by so many root degrees of freedom:
about one good face in twenty. Common practice, no source."""
STEPS = 12
"""Rounds in which the scatter settles."""


@dataclass(frozen=True)
class FaceRing:
    """Face readings round one circle."""

    radius_in: float
    clock_rad: Sequence[float]
    reading_in: Sequence[float]
    opposite_in: Sequence[float] | None = None
    """Readings of a second dial half a turn on, taken at the same moments; None = one dial."""


@dataclass(frozen=True, eq=False)
class RingFit:
    """What one circle says, inches."""

    radius_in: float
    level_in: float
    level_sigma_in: float
    tilt_in: Array
    """(2,) towards clock 0 and 90, at this radius: half the TIR."""
    tilt_cov_in2: Array
    """(2, 2)"""
    wave_in: Array | None
    """(2,) two-lobed wave; None with two dials, which cannot see it."""
    shown_in: float
    """Greatest less least reading (two dials: of the half difference)."""
    scatter_in: float | None = None
    """Standard deviation of one dial about a plane; None = no worse than the dial repeats."""


def check_ring(name: str, ring: FaceRing) -> None:
    """Raise BadReadings for too few marks, unequal lengths or figures that are none."""
    count = len(ring.clock_rad)
    opposite = ring.reading_in if ring.opposite_in is None else ring.opposite_in
    if len(ring.reading_in) != count or len(opposite) != count:
        raise BadReadings(
            f"The {name} has not a reading for every mark. Each mark needs one reading of "
            "each dial."
        )
    if not np.all(np.isfinite([*ring.clock_rad, *ring.reading_in, *opposite])):
        raise BadReadings(f"A reading of the {name} is not a number. Read it again.")
    places = {round(float(clock) % TURN, 6) for clock in ring.clock_rad}
    if len(places) < FACE_MARKS:
        raise BadReadings(
            f"The {name} needs readings at {FACE_MARKS} marks or more; here {len(places)}. "
            "Read more marks."
        )
    if not np.isfinite(ring.radius_in) or ring.radius_in <= 0:
        raise BadReadings(f"The radius of the {name} must be above zero. Measure it.")


def fit_ring(ring: FaceRing, noise_in: float) -> RingFit:
    """Least squares with a zero-mean prior on the wave; `noise_in` of one reading of one dial.

    Readings that lie worse on a plane than that speak for themselves, by Student's t.
    Source: textbook formula (least squares with a normal prior); half difference: geometry.
    """
    clock = np.asarray(ring.clock_rad, dtype=float)
    reading = np.asarray(ring.reading_in, dtype=float)
    noise2 = max(noise_in, 1e-6) ** 2
    count, wave_weight, dials = 5, WAVE_PRIOR_IN**-2, 1
    if ring.opposite_in is not None:
        # Half of a difference of two dials has half the variance of one dial.
        reading = (reading - np.asarray(ring.opposite_in, dtype=float)) / 2
        noise2 /= 2
        count, dials = 3, 2
    design = harmonics(clock)[:, :count]
    prior = np.diag([1e-9, 1e-9, 1e-9, wave_weight, wave_weight][:count])
    freedom = max(clock.size - PLANE_PARTS, 0)
    scatter2 = _scatter2(design, reading, noise2, prior) if freedom else 0.0
    edge = student_quantile(max(freedom, FACE_FREEDOM)) / student_quantile(math.inf)
    cov, found = _solve(design, reading, max(noise2, scatter2 * edge**2), prior)
    scattered = scatter2 * freedom > noise2 * (freedom + SCATTER_SIGMAS * math.sqrt(freedom))
    return RingFit(
        radius_in=ring.radius_in,
        level_in=float(found[0]),
        level_sigma_in=float(np.sqrt(cov[0, 0])),
        tilt_in=found[1:3],
        tilt_cov_in2=cov[1:3, 1:3],
        wave_in=found[3:5] if count == 5 else None,
        shown_in=float(np.ptp(reading)),
        scatter_in=math.sqrt(dials * scatter2) if scattered else None,
    )


def _scatter2(design: Array, reading: Array, noise2: float, prior: Array) -> float:
    """Variance about a plane that the readings themselves speak for; `noise2` starts it.

    A wave excuses them as far as its prior expects one: the larger the scatter, the less of it
    is taken for a wave.
    """
    freedom, scatter2 = reading.size - PLANE_PARTS, noise2
    for _ in range(STEPS):
        _, found = _solve(design, reading, scatter2, prior)
        left = reading - design @ found
        misfit = float(left @ left) / scatter2 + float(found @ prior @ found)
        scatter2 *= misfit / freedom
        if misfit <= freedom:
            break
    return scatter2


def _solve(design: Array, reading: Array, noise2: float, prior: Array) -> tuple[Array, Array]:
    """Covariance and parameters."""
    cov = np.asarray(np.linalg.inv(design.T @ design / noise2 + prior), dtype=float)
    return cov, np.asarray(cov @ (design.T @ reading) / noise2)


def highest_less_lowest_in(outer: RingFit, inner: RingFit | None, rim_radius_in: float) -> float:
    """Height of the fitted face out to the rim: what a facing cut has to take at the high spot.

    `inner` counts only when its level can be compared (one dial).
    """
    turn = harmonics(np.linspace(0, TURN, 72, endpoint=False))
    rim = turn[:, 1:3] @ outer.tilt_in * (rim_radius_in / outer.radius_in)
    if outer.wave_in is not None:
        rim = rim + turn[:, 3:5] @ outer.wave_in
    if inner is None or inner.wave_in is None:
        return float(np.ptp(rim))
    inside = turn[:, 1:3] @ inner.tilt_in + inner.level_in - outer.level_in
    return float(np.ptp(np.concatenate([rim, inside])))
