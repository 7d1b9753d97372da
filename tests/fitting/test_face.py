"""Coupling face and pilot: known tilts, float, dish and waves must come back."""

from __future__ import annotations

import numpy as np
import pytest

from core.base.errors import BadReadings
from core.fitting.coupling.face import (
    FaceRing,
    compare_faces,
    coupling_limit_in,
    fit_face,
    fit_pilot,
)

EIGHT = np.arange(8) * np.pi / 4
FOUR = np.arange(4) * np.pi / 2


def tilted(clock, tir_in=0.004, high_rad=1.0, level_in=0.010):
    return level_in + tir_in / 2 * np.cos(clock - high_rad)


@pytest.mark.parametrize("clock", [EIGHT, FOUR, np.array([0.0, 2.0, 4.0])])
def test_tilt_comes_back(clock) -> None:
    face = fit_face(clock_rad=clock, reading_in=tilted(clock), radius_in=2.0, rim_radius_in=2.5)
    rel = 1e-3 if len(clock) > 3 else 0.3  # three marks share tilt with the wave
    assert face.tir_in == pytest.approx(0.004, rel=rel)
    if len(clock) > 3:
        assert face.high_spot_rad == pytest.approx(1.0, abs=1e-3)
        assert face.tilt_rad == pytest.approx(0.001, rel=1e-3)
        assert face.rim_in[0] == pytest.approx(0.005, rel=1e-3)
        assert face.clean_up_in == pytest.approx(0.005, rel=0.01)
    assert face.tir_low_in < face.tir_in < face.tir_high_in


def test_four_marks_off_the_high_spot_show_less_than_the_face_has() -> None:
    face = fit_face(
        clock_rad=FOUR, reading_in=tilted(FOUR, high_rad=np.pi / 4), radius_in=2, rim_radius_in=2
    )
    assert face.shown_tir_in == pytest.approx(0.004 * np.cos(np.pi / 4))
    assert face.tir_in == pytest.approx(0.004, rel=1e-3)


def test_two_opposite_dials_cancel_end_float() -> None:
    rng = np.random.default_rng(3)
    end_float = rng.uniform(-0.01, 0.01, 8)
    a = tilted(EIGHT) + end_float
    b = tilted(EIGHT + np.pi) + end_float + 0.003
    two = fit_face(clock_rad=EIGHT, reading_in=a, opposite_in=b, radius_in=2, rim_radius_in=2)
    one = fit_face(clock_rad=EIGHT, reading_in=a, radius_in=2, rim_radius_in=2)
    assert two.tir_in == pytest.approx(0.004, rel=1e-4)
    assert abs(one.tir_in - 0.004) > 0.001
    assert two.wave_in is None
    assert two.dish_in is None
    assert "cancels" in two.notes[0]
    assert "end float" in one.notes[0]


def test_two_dials_have_half_the_variance() -> None:
    one = fit_face(clock_rad=EIGHT, reading_in=tilted(EIGHT), radius_in=2, rim_radius_in=2)
    two = fit_face(
        clock_rad=EIGHT,
        reading_in=tilted(EIGHT),
        opposite_in=tilted(EIGHT + np.pi),
        radius_in=2,
        rim_radius_in=2,
    )
    width = [face.tir_high_in - face.tir_low_in for face in (one, two)]
    assert width[1] / width[0] == pytest.approx(np.sqrt(0.5), rel=0.02)


@pytest.mark.parametrize("dials", [1, 2])
def test_the_interval_of_the_tir_is_right_19_times_in_20(dials: int) -> None:
    """Simulated faces, known tilt, noise 0.0003 in, waves, end float with two dials."""
    rng = np.random.default_rng(8)
    hits, shafts = 0, 300
    for _ in range(shafts):
        tir, high = rng.uniform(0.0005, 0.006), rng.uniform(0, 6.28)
        wave = rng.normal(0, 0.0002) * np.cos(2 * EIGHT)
        end_float = rng.uniform(-0.005, 0.005, 8) if dials == 2 else 0.0
        front = tilted(EIGHT, tir, high) + wave + end_float + rng.normal(0, 0.0003, 8)
        back = tilted(EIGHT + np.pi, tir, high) + wave + end_float + rng.normal(0, 0.0003, 8)
        face = fit_face(
            clock_rad=EIGHT,
            reading_in=front,
            opposite_in=back if dials == 2 else None,
            radius_in=2,
            rim_radius_in=2,
            resolution_in=0.0001,
        )
        hits += face.tir_low_in <= tir <= face.tir_high_in
    # 300 draws of a 95 % interval: 270 is four standard deviations down, 299 nearly four up
    assert 270 <= hits <= 299


@pytest.mark.parametrize("dish", [0.003, -0.003])
def test_dish_and_clean_up(dish: float) -> None:
    inner = FaceRing(1.0, EIGHT, np.full(8, 0.010 - dish))
    face = fit_face(
        clock_rad=EIGHT, reading_in=np.full(8, 0.010), radius_in=2, rim_radius_in=2.5, inner=inner
    )
    assert face.dish_in == pytest.approx(dish, rel=1e-6)
    assert face.clean_up_in == pytest.approx(abs(dish), abs=1e-6)
    assert ("hollow" if dish > 0 else "crowned") in " ".join(face.words)
    assert not face.missing


def test_wave_is_not_taken_for_tilt() -> None:
    face = fit_face(
        clock_rad=EIGHT, reading_in=0.0006 * np.cos(2 * EIGHT), radius_in=2, rim_radius_in=2
    )
    assert face.tir_in == pytest.approx(0.0, abs=1e-6)
    assert face.wave_in == pytest.approx(0.0006, rel=0.3)


@pytest.mark.parametrize(
    ("tir", "word"), [(0.0005, "true"), (0.0020, "too close to call"), (0.0045, "not true")]
)
def test_verdicts_against_the_printed_limit(tir: float, word: str) -> None:
    face = fit_face(clock_rad=EIGHT, reading_in=tilted(EIGHT, tir), radius_in=2, rim_radius_in=2)
    assert face.face_limit_in == coupling_limit_in("face") == 0.002
    assert face.face_word == word
    assert word in face.words[0]


def test_before_and_after() -> None:
    def at(tir: float):
        return fit_face(
            clock_rad=EIGHT, reading_in=tilted(EIGHT, tir), radius_in=2, rim_radius_in=2
        )

    assert compare_faces(at(0.006), at(0.001)).better is True
    assert compare_faces(at(0.001), at(0.006)).better is False
    assert compare_faces(at(0.0010), at(0.0011)).better is None


def test_pilot_external_and_internal() -> None:
    reading = tilted(EIGHT, 0.003, 1.0, 0.0)
    outside = fit_pilot(clock_rad=EIGHT, reading_in=reading, resolution_in=0.0001)
    inside = fit_pilot(clock_rad=EIGHT, reading_in=reading, resolution_in=0.0001, internal=True)
    assert outside.fit.tir_in == pytest.approx(0.003, rel=0.01)
    assert outside.eccentric_rad == pytest.approx(1.0, abs=0.01)
    assert inside.eccentric_rad == pytest.approx(1.0 + np.pi, abs=0.01)
    assert outside.word == "not true"


@pytest.mark.parametrize(
    "bad",
    [
        {"clock_rad": [0, 1], "reading_in": [0, 0]},
        {"clock_rad": [0, 0, 2 * np.pi], "reading_in": [0, 0, 0]},
        {"clock_rad": FOUR, "reading_in": [0, 0, 0]},
        {"clock_rad": FOUR, "reading_in": [0, 0, 0, float("nan")]},
        {"clock_rad": FOUR, "reading_in": [0.0] * 4, "opposite_in": [0.0] * 3},
        {"clock_rad": FOUR, "reading_in": [0.0] * 4, "rim_radius_in": 1.0},
        {"clock_rad": FOUR, "reading_in": [0.0] * 4, "radius_in": 0.0},
        {"clock_rad": FOUR, "reading_in": [0.0] * 4, "inner": FaceRing(3.0, FOUR, [0.0] * 4)},
    ],
)
def test_bad_readings_are_refused(bad) -> None:
    with pytest.raises(BadReadings):
        fit_face(**{"radius_in": 2.0, "rim_radius_in": 2.5, **bad})
