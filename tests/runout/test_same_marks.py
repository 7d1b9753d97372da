"""Two sweeps read at the same marks: which marks are one, the change, the noise of a difference."""

from __future__ import annotations

import numpy as np
import pytest

from core.runout.harmonics import LEAST_NOISE_IN
from core.runout.readings import StationReadings
from core.runout.same_marks import change_at, difference_noise

EIGHT = np.arange(0, 360, 45.0)


def station(clock_deg: np.ndarray, reading_in: np.ndarray) -> StationReadings:
    return StationReadings(50.0, tuple(np.radians(clock_deg).tolist()), tuple(reading_in.tolist()))


def moved(
    clock_deg: np.ndarray, noise: np.ndarray, off_deg: np.ndarray | float = 0.0, turn: int = 0
) -> object:
    """The same station twice, at clocks a little off, the section moved by 3 and 4 thou."""
    lobes = 0.002 * np.cos(4 * np.radians(clock_deg))
    clock = np.radians(clock_deg)
    after = lobes + 0.01 + 0.003 * np.cos(clock) + 0.004 * np.sin(clock) + noise
    order = np.roll(np.arange(clock.size), turn)
    return change_at(
        station(clock_deg, lobes), station(((clock_deg + off_deg) % 360)[order], after[order])
    )


def test_change_shape_and_rest_are_those_of_least_squares() -> None:
    """Against numpy's least squares of the differences on 1, cos, sin."""
    marks = np.array([0.0, 30, 75, 110, 150, 200, 290])
    noise = np.random.default_rng(1).normal(0, 0.0002, marks.size)
    found = moved(marks, noise, turn=3)
    clock = np.radians(marks)
    design = np.column_stack([np.ones(marks.size), np.cos(clock), np.sin(clock)])
    rise = design @ [0.01, 0.003, 0.004] + noise
    best, (left,), *_ = np.linalg.lstsq(design, rise, rcond=None)
    assert found.step_in == pytest.approx(best[1:])
    assert found.shape == pytest.approx(np.linalg.inv(design.T @ design)[1:, 1:])
    assert found.left_in2 == pytest.approx(left)
    assert found.freedom == marks.size - 3


@pytest.mark.parametrize("off", [0.03, -0.03])
def test_marks_within_a_tenth_of_a_degree_are_one(off: float) -> None:
    """Also when one was typed as 359.97 and the other as 0."""
    found = moved(EIGHT, np.zeros(8), off)
    assert found.freedom == 5
    assert found.step_in == pytest.approx([0.003, 0.004], abs=1e-5)


def test_marks_half_a_degree_apart_are_two() -> None:
    assert moved(EIGHT, np.zeros(8), 0.5) is None
    some = np.where(np.arange(8) < 3, 0.5, 0.0)
    found = moved(EIGHT, np.zeros(8), some)
    assert found.freedom == 2  # five marks are left


def test_fewer_than_five_marks_read_twice_do_not_tell() -> None:
    some = np.where(np.arange(8) < 4, 0.5, 0.0)
    assert moved(EIGHT, np.zeros(8), some) is None


def test_marks_all_on_one_side_do_not_tell() -> None:
    """Within two degrees the mean cannot be told from the eccentricity."""
    assert moved(np.array([0.0, 0.5, 1.0, 1.5, 2.0]), np.zeros(5)) is None


def test_of_a_mark_read_twice_the_last_counts_and_slips_are_left_out() -> None:
    zero = np.zeros(8)
    again = station(np.append(EIGHT, 45.0), np.append(zero, 0.008))
    found = change_at(station(EIGHT, zero), again)
    assert np.hypot(*found.step_in) == pytest.approx(0.002)  # 2 / n of the one that moved
    assert change_at(station(EIGHT, zero), again, (), (8,)).step_in == pytest.approx([0, 0])
    assert change_at(station(EIGHT, zero), again, (1,)).freedom == 4


def test_noise_of_a_difference_is_pooled_and_never_under_two_roundings() -> None:
    rng = np.random.default_rng(5)
    changes = [moved(EIGHT, rng.normal(0, 0.0004, 8)) for _ in range(40)]
    noise2, freedom = difference_noise(changes, 0.0005)
    assert freedom == 40 * 5
    assert noise2 == pytest.approx(0.0004**2, rel=0.3)
    assert noise2 == pytest.approx(sum(c.left_in2 for c in changes) / 200)
    still = [moved(EIGHT, np.zeros(8))]
    assert difference_noise(still, 0.001)[0] == pytest.approx(2 * 0.001**2 / 12)
    assert difference_noise(still, 0.0)[0] == pytest.approx(2 * LEAST_NOISE_IN**2)
    assert difference_noise([], 0.001) == (pytest.approx(2 * 0.001**2 / 12), 0.0)
