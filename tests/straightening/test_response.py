"""Response of hits: shrinkage to 1, scatter, learning within a job."""

from __future__ import annotations

import numpy as np
import pytest

from core.base.errors import ShaftlogError
from core.straightening.response import (
    STARTS,
    HitOutcome,
    Response,
    as_response,
    learn,
    learn_from_job,
    response_for,
)


def _hits(mean: float, count: int, *, scatter: float = 0.2, seed: int = 1) -> list[HitOutcome]:
    rng = np.random.default_rng(seed)
    share = mean + scatter * rng.standard_normal(count)
    return [HitOutcome("S20910", "press", 0.002, 0.002 * float(s)) for s in share]


def test_no_record_means_as_planned() -> None:
    told = response_for([], "S20910", "press")
    assert (told.mean, told.n_hits, told.aim_for) == (1.0, 0, 1.0)


def test_few_hits_stay_near_one_and_many_follow_the_record() -> None:
    means = [response_for(_hits(0.7, n), "S20910", "press").mean for n in (1, 5, 20, 200)]
    assert means[0] > means[1] > means[2] > means[3]
    assert 0.85 < means[0] < 1.0
    assert means[3] == pytest.approx(0.7, abs=0.03)


def test_the_scatter_is_learnt() -> None:
    assert response_for(_hits(1.0, 400, scatter=0.1), "S20910", "press").scatter == pytest.approx(
        0.1, abs=0.015
    )
    assert response_for(_hits(1.0, 400, scatter=0.4), "S20910", "press").scatter == pytest.approx(
        0.4, abs=0.04
    )
    assert response_for(_hits(1.0, 1), "S20910", "press").scatter == pytest.approx(0.2, abs=0.01)


def test_shrinkage_beats_the_plain_mean() -> None:
    """Against groups drawn as the model says, the shrunk mean errs less than the group's own."""
    rng = np.random.default_rng(5)
    plain, shrunk = [], []
    for _ in range(300):
        true = 1 + 0.15 * rng.standard_normal()
        shares = true + 0.2 * rng.standard_normal(3)
        records = [HitOutcome("a", "press", 1.0, float(s)) for s in shares]
        plain.append((np.mean(shares) - true) ** 2)
        shrunk.append((response_for(records, "a", "press").mean - true) ** 2)
    assert np.mean(shrunk) < 0.85 * np.mean(plain)


def test_stated_sigma_of_the_mean_is_honest() -> None:
    rng = np.random.default_rng(6)
    inside = 0
    for _ in range(2000):
        true = 1 + 0.15 * rng.standard_normal()
        shares = true + 0.2 * rng.standard_normal(6)
        told = response_for([HitOutcome("a", "press", 1.0, float(s)) for s in shares], "a", "press")
        inside += abs(told.mean - true) < 1.96 * told.mean_sigma
    assert 0.92 < inside / 2000 < 0.98


def test_groups_are_kept_apart() -> None:
    heat = [HitOutcome("S20910", "heat", 0.001, 0.0004)] * 40
    told = learn(_hits(1.0, 40) + heat)
    assert told["S20910", "press"].mean == pytest.approx(1.0, abs=0.06)
    assert told["S20910", "heat"].mean == pytest.approx(0.4, abs=0.05)


def test_one_slip_does_not_rule() -> None:
    spoilt = [*_hits(1.0, 20), HitOutcome("S20910", "press", 0.0001, 0.01)]
    assert response_for(spoilt, "S20910", "press").mean < 1.15


def test_the_job_teaches_its_own_response() -> None:
    told = learn_from_job(Response(), [(0.7, 0.02)] * 6)
    assert 0.75 < told.mean < 0.85
    assert told.mean_sigma < Response().mean_sigma
    assert told.aim_for == pytest.approx(1 / told.mean)
    assert learn_from_job(Response(), []) == Response()


def test_a_plain_number_is_a_response() -> None:
    assert as_response(0.8).mean == 0.8
    assert as_response(None) == Response()
    with pytest.raises(ShaftlogError, match="above 0"):
        as_response(0.0)
    with pytest.raises(ShaftlogError, match="asks for no angle"):
        learn([HitOutcome("a", "b", 0.0, 0.1)])


def test_a_torch_that_reaches_little_is_reckoned_with_what_it_reaches() -> None:
    """0.12 of the ceiling is 0.4 of the model: no hit is taken to do more than the record says."""
    record = [HitOutcome("G10450", "heat", 1.0, 0.12) for _ in range(40)]
    learnt = response_for(record, "G10450", "heat")
    assert learnt.mean * learnt.aim_for == pytest.approx(1.0)
    assert learn_from_job(learnt, [(0.12, 0.01)]).least == learnt.least


def test_heat_of_many_spots_still_differs_from_bar_to_bar() -> None:
    record = [HitOutcome("G10450", "heat", 1.0, 0.3) for _ in range(400)]
    assert response_for(record, "G10450", "heat").mean_sigma >= STARTS["heat"].bar_to_bar
