"""The spread a hit brings to a line, against hits played many times and against plain formulas."""

from __future__ import annotations

import numpy as np
import pytest

from core.straightening.after_hits import (
    CLOCK_SIGMA_RAD,
    HIT_LENGTH_IN,
    HIT_LENGTH_SIGMA_IN,
    PLACE_SIGMA_IN,
    LineReading,
    best_check_stations,
    expected_after,
    hit_lift,
    spread_lift,
    work_in,
)
from core.straightening.plan import PlannedHit
from tests.support.bent_lines import ROLLERS, SIGMA, STATIONS, TWO, line_of

RAMS = np.array(ROLLERS)


def covariance_of_plays(hit: PlannedHit, plays: int = 6_000) -> np.ndarray:
    """Covariance (2 n, 2 n) of what a hit off in size, clock, place and length does to the line."""
    rng = np.random.default_rng(1)
    size = rng.normal(1, hit.share_sigma, plays)
    turn = rng.normal(0, CLOCK_SIGMA_RAD, plays)
    at = hit.station_in + rng.normal(0, PLACE_SIGMA_IN, plays)
    length = np.maximum(rng.normal(HIT_LENGTH_IN, HIT_LENGTH_SIGMA_IN, plays), 0.0)
    taken = size * (hit.kappa_rad[0] + 1j * hit.kappa_rad[1]) * np.exp(1j * turn)
    shape = spread_lift(STATIONS, at, RAMS, length)
    moved = np.stack([shape * taken.real, shape * taken.imag], axis=1).reshape(-1, plays)
    return np.cov(moved)


@pytest.mark.parametrize("station_in", [45.3, 6.5, 111.0])
def test_the_spread_of_a_hit_is_that_of_hits_played_many_times(station_in: float) -> None:
    hit = PlannedHit(station_in, np.array([0.004, -0.003]), share_sigma=0.1)
    line = line_of(TWO)
    told = expected_after(line, [hit])
    played = covariance_of_plays(hit)
    own = told.joint_cov_in2 - np.eye(2 * STATIONS.size) * SIGMA**2
    assert np.abs(own - played).max() / played.max() < 0.06
    seen = np.flatnonzero(np.diag(played) > 0.1 * played.max())
    # Straight lines where a ram off its place passes a station: a quarter off there at most.
    assert np.diag(own)[seen] == pytest.approx(np.diag(played)[seen], rel=0.25)
    move = hit_lift(STATIONS, np.array([station_in]), RAMS) * hit.kappa_rad
    assert told.ecc_in == pytest.approx(line.ecc_in - move)
    assert told.shares == ((1.0, 0.1),)


def test_no_hits_leave_the_line_as_it_is() -> None:
    line = line_of(TWO)
    told = expected_after(line, [])
    assert np.array_equal(told.ecc_in, line.ecc_in)
    assert told.sigma_in == pytest.approx(line.sigma_in)
    assert told.shares == ()


def test_a_check_is_worked_in_as_a_normal_vector_is_conditioned() -> None:
    """Textbook: mean + C S' (S C S' + R)^-1 (z - S mean), covariance C - C S' (...)^-1 S C."""
    line, hits = (
        line_of(TWO),
        [PlannedHit(40.0, np.array([0.006, 0.0])), PlannedHit(78.0, np.array([0, 0.005]))],
    )
    before = expected_after(line, hits)
    index, sigma = [6, 13], np.array([0.0002, 0.0001])
    found = before.ecc_in[index] + [[0.001, 0.0], [-0.0005, 0.002]]
    check = work_in(line, hits, [LineReading(2, tuple(index), found, sigma)])
    pick = np.zeros((4, 2 * STATIONS.size))
    pick[np.arange(4), [12, 13, 26, 27]] = 1
    cov = before.joint_cov_in2
    inner = pick @ cov @ pick.T + np.diag(np.repeat(sigma**2, 2))
    gain = cov @ pick.T @ np.linalg.inv(inner)
    surprise = np.array([0.001, 0.0, -0.0005, 0.002])
    assert check.line.ecc_in.ravel() == pytest.approx(before.ecc_in.ravel() + gain @ surprise)
    assert check.line.joint_cov_in2 == pytest.approx(cov - gain @ pick @ cov, abs=1e-14)
    assert check.chi2 == pytest.approx(surprise @ np.linalg.solve(inner, surprise))
    assert check.n_values == 4
    # A share is one more normal number: its covariance with the readings is share^2 times the move.
    for k, hit in enumerate(hits):
        at = np.array([hit.station_in])
        move = -(hit_lift(STATIONS, at, RAMS) * hit.kappa_rad).ravel() * hit.share_sigma**2
        learnt = move @ pick.T @ np.linalg.inv(inner)
        share, doubt = check.line.shares[k]
        assert share == pytest.approx(1 + learnt @ surprise)
        assert doubt == pytest.approx(np.sqrt(hit.share_sigma**2 - learnt @ pick @ move))


def test_best_check_stations_leave_the_least_variance_of_all_pairs() -> None:
    line = line_of(TWO)
    hits = [PlannedHit(40.0, np.array([0.006, 0.0])), PlannedHit(78.0, np.array([0.0, 0.005]))]
    told = best_check_stations(line, hits, 2, SIGMA)
    calm = line_of(TWO, sigma=0.0)

    def left(pair: tuple[int, int]) -> float:
        found = expected_after(calm, hits).ecc_in[list(pair)]
        check = LineReading(len(hits), pair, found, np.full(2, SIGMA))
        return float((work_in(calm, hits, [check]).line.sigma_in ** 2).sum())

    n = STATIONS.size
    every = {(i, j): left((i, j)) for i in range(n) for j in range(i + 1, n)}
    assert every[told] < 1.05 * min(every.values())
