"""Level, tilt and their doubt round one circle of a face: closed forms and least squares."""

from __future__ import annotations

import math

import numpy as np
import pytest

from core.fitting.coupling.face import compare_faces, fit_face
from core.fitting.coupling.face_ring import (
    WAVE_PRIOR_IN,
    FaceRing,
    fit_ring,
    highest_less_lowest_in,
)

EIGHT = np.arange(8) * np.pi / 4
NOISE_IN = 0.0003


def test_evenly_spread_marks_give_the_textbook_sigmas() -> None:
    """N marks: level sigma / root N, each component of the tilt sigma root (2 / N)."""
    ring = fit_ring(FaceRing(2.0, EIGHT, 0.010 + 0.002 * np.cos(EIGHT)), NOISE_IN)
    assert ring.level_in == pytest.approx(0.010)
    assert ring.level_sigma_in == pytest.approx(NOISE_IN / math.sqrt(8), rel=1e-6)
    assert np.sqrt(np.diag(ring.tilt_cov_in2)) == pytest.approx(NOISE_IN / 2, rel=1e-6)
    assert ring.tilt_cov_in2[0, 1] == pytest.approx(0.0, abs=1e-15)


def test_marks_over_part_of_the_turn_against_least_squares() -> None:
    """The wave's prior is two readings more of size zero and that standard deviation.

    The readings lie closer to a plane than the dial repeats: the stated scatter stands.
    """
    clock = np.radians([0, 25, 60, 110, 160, 215])
    reading = np.random.default_rng(2).normal(0, NOISE_IN / 3, 6)
    ring = fit_ring(FaceRing(2.0, clock, reading), NOISE_IN)
    angle = np.outer(clock, [1, 1, 2, 2]) - np.array([0, np.pi / 2] * 2)
    rows = np.column_stack([np.ones(6), np.cos(angle)]) / NOISE_IN
    prior = np.hstack([np.zeros((2, 3)), np.eye(2) / WAVE_PRIOR_IN])
    every = np.vstack([rows, prior])
    best, *_ = np.linalg.lstsq(every, np.append(reading / NOISE_IN, [0, 0]), rcond=None)
    cov = np.linalg.inv(every.T @ every)
    assert ring.level_in == pytest.approx(best[0], rel=1e-5)
    assert ring.tilt_in == pytest.approx(best[1:3], rel=1e-5)
    assert ring.wave_in == pytest.approx(best[3:], rel=1e-5)
    assert ring.level_sigma_in == pytest.approx(math.sqrt(cov[0, 0]), rel=1e-5)
    assert ring.tilt_cov_in2 == pytest.approx(cov[1:3, 1:3], rel=1e-5)


def test_two_circles_with_one_setting_add_their_doubts_as_a_right_angle() -> None:
    inner = FaceRing(1.0, EIGHT[::2], np.full(4, 0.008))
    face = fit_face(
        clock_rad=EIGHT, reading_in=np.full(8, 0.010), radius_in=2, rim_radius_in=2, inner=inner,
        resolution_in=0.0, repeatability_in=NOISE_IN,
    )  # fmt: skip
    assert face.dish_in == pytest.approx(0.002)
    assert face.dish_u95_in == pytest.approx(
        1.96 * math.hypot(NOISE_IN / math.sqrt(8), NOISE_IN / math.sqrt(4)), rel=1e-3
    )


@pytest.mark.parametrize("resolution_in", [0.001, 0.0005])
def test_a_graduation_is_an_even_spread_of_its_width(resolution_in: float) -> None:
    """Variance width^2 / 12; far from zero the interval of the TIR is +-1.96 sigmas of it."""
    face = fit_face(
        clock_rad=EIGHT, reading_in=0.020 * np.cos(EIGHT), radius_in=2, rim_radius_in=3,
        resolution_in=resolution_in, repeatability_in=0.0,
    )  # fmt: skip
    half = 1.96 * 2 * resolution_in / math.sqrt(12) * math.sqrt(2 / 8)
    assert (face.tir_high_in - face.tir_low_in) / 2 == pytest.approx(half, rel=0.01)
    assert face.rim_in == pytest.approx(
        (0.060, 1.5 * face.tir_low_in, 1.5 * face.tir_high_in), rel=1e-3
    )


def test_better_only_when_the_change_passes_both_doubts_joined() -> None:
    def face(tir: float):  # type: ignore[no-untyped-def]
        return fit_face(
            clock_rad=EIGHT, reading_in=tir / 2 * np.cos(EIGHT), radius_in=2, rim_radius_in=2,
            resolution_in=0.0, repeatability_in=NOISE_IN,
        )  # fmt: skip

    joined = math.sqrt(2) * 1.96 * 2 * NOISE_IN / 2
    for share, better in ((0.95, None), (1.05, True)):
        found = compare_faces(face(0.010), face(0.010 - share * joined))
        assert found.better is better


def test_what_a_facing_cut_must_take_is_the_whole_swing_of_the_fitted_face() -> None:
    """Tilt 2 thou at the dial's radius, dished 1 thou towards a circle half as large."""
    clock = np.arange(16) * np.pi / 8
    outer = fit_ring(FaceRing(2.0, clock, 0.010 + 0.001 * np.cos(clock)), NOISE_IN)
    inner = fit_ring(FaceRing(1.0, clock, 0.007 + 0.0005 * np.cos(clock)), NOISE_IN)
    assert highest_less_lowest_in(outer, None, 3.0) == pytest.approx(0.003, rel=1e-4)
    assert highest_less_lowest_in(outer, inner, 3.0) == pytest.approx(0.003 + 0.002, rel=1e-4)
