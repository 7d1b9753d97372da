"""Lifts by oval roller seats: found, and told from a shaft that is oval all along."""

from __future__ import annotations

import numpy as np
import pytest

from core.runout.roundness import RollerOvality, roller_ovality

ROLLERS = np.array([12.0, 96.0])
X = np.arange(3.0, 112.0, 6.0)
SIGMA_IN = 0.0001


def seats(first: float, second: float, sigma_in: float = SIGMA_IN, own: float = 1e-9):  # type: ignore[no-untyped-def]
    """Second harmonics that lifts of so much toward clock 0 bring, without noise."""
    share = (X - ROLLERS[0]) / (ROLLERS[1] - ROLLERS[0])
    oval = np.column_stack([(1 - share) * first + share * second, np.zeros(X.size)])
    cov = np.tile(np.eye(2) * sigma_in**2, (X.size, 1, 1))
    found = roller_ovality(X, oval, cov, ROLLERS, own_sigma_in=own)
    assert isinstance(found, RollerOvality)
    return found


def test_lifts_and_their_sigma_are_those_of_a_straight_line() -> None:
    """Against numpy's least squares of the same two columns."""
    share = (X - ROLLERS[0]) / (ROLLERS[1] - ROLLERS[0])
    rows = np.column_stack([1 - share, share])
    found = seats(0.002, 0.0005)
    assert found.lift_in == pytest.approx([0.002, 0.0005])
    cov = np.linalg.inv(rows.T @ rows) * SIGMA_IN**2
    assert found.sigma_in == pytest.approx(np.sqrt(np.diag(cov)), rel=1e-6)
    assert np.abs(found.own_in).max() < 1e-12


@pytest.mark.parametrize(
    ("second", "even"), [(0.0030, True), (0.0036, True), (0.0048, False), (0.0015, False)]
)
def test_lifts_well_known_are_even_within_a_third_of_their_mean(second: float, even: bool) -> None:
    """Common practice, no source: 0.35 of the mean."""
    found = seats(0.0030, second)
    assert found.found == (True, True)
    assert found.even == even
    assert len(found.words) == (1 if even else 2)


def test_lifts_ill_known_are_even_within_three_sigma_of_their_difference() -> None:
    """Var(A - B) = var A + var B - 2 cov, from the same least squares."""
    share = (X - ROLLERS[0]) / (ROLLERS[1] - ROLLERS[0])
    rows = np.column_stack([1 - share, share])
    sigma = 0.0007
    apart = np.array([1.0, -1.0])
    spread = sigma * np.sqrt(apart @ np.linalg.inv(rows.T @ rows) @ apart)
    mean = 0.0030
    assert 3 * spread > 0.35 * mean
    for share_of_limit, even in ((0.97, True), (1.03, False)):
        half = share_of_limit * 1.5 * spread
        found = seats(mean - half, mean + half, sigma)
        assert found.found == (True, True)
        assert found.even == even


@pytest.mark.parametrize(("first", "told"), [(0.00028, False), (0.00032, True)])
def test_a_lift_of_less_than_three_tenths_of_a_thou_is_not_worth_a_word(
    first: float, told: bool
) -> None:
    found = seats(first, 0.0, 0.00001)
    assert found.found == (told, False)
    assert bool(found.words) == told


def test_a_lift_within_four_sigma_may_be_chance() -> None:
    sigma = seats(0.002, 0.002, 0.0004).sigma_in[0]
    assert seats(3.9 * sigma, 0.0, 0.0004).found == (False, False)
    assert seats(4.1 * sigma, 0.0, 0.0004).found == (True, False)


def test_own_ovality_of_the_sections_counts_as_scatter() -> None:
    """A shaft lobed at random: what is seen of it makes the lifts less sure."""
    rng = np.random.default_rng(2)
    oval = rng.normal(0, 0.001, (X.size, 2))
    cov = np.tile(np.eye(2) * SIGMA_IN**2, (X.size, 1, 1))
    found = roller_ovality(X, oval, cov, ROLLERS)
    assert found is not None
    share = (X - ROLLERS[0]) / (ROLLERS[1] - ROLLERS[0])
    rows = np.column_stack([1 - share, share])
    alone = np.sqrt(np.diag(np.linalg.inv(rows.T @ rows)))
    assert found.sigma_in == pytest.approx(0.001 * alone, rel=0.35)
    assert found.found == (False, False)


def test_fewer_than_five_stations_do_not_tell() -> None:
    oval, cov = np.zeros((4, 2)), np.tile(np.eye(2) * 1e-8, (4, 1, 1))
    assert roller_ovality(X[:4], oval, cov, ROLLERS) is None
