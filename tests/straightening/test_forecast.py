"""The forecast of a straightening: played, spread, stopped."""

from __future__ import annotations

import numpy as np
import pytest

from core.demo.simulate import TrueShaft
from core.straightening.forecast import PLAYS, Costs, Forecast, forecast
from core.straightening.response import Response
from tests.support.bent_lines import STATIONS, TWO, line_of


@pytest.mark.slow
def test_forecast_of_two_bends() -> None:
    line = line_of(TWO)
    seen: list[tuple[int, int]] = []
    told = forecast(line, progress=lambda done, of: seen.append((done, of)))
    assert seen[-1] == (PLAYS, PLAYS)
    assert told.complete
    assert told.unfinished == 0
    assert 4 <= told.hits_median <= 9
    assert told.hits_median <= told.hits_90 <= 14
    assert told.hours_median <= told.hours_90
    # every play ends with a sweep of all stations
    assert min(told.minutes) >= 1.5 * STATIONS.size + 6 * min(told.hits)
    assert forecast(line, plays=8).hits == told.hits[:8]


def test_forecast_can_be_cancelled() -> None:
    calls = iter(range(100))
    told = forecast(line_of(TWO), cancelled=lambda: next(calls) >= 5)
    assert len(told.hits) == 5
    assert not told.complete


def test_forecast_of_a_true_shaft_is_nothing() -> None:
    told = forecast(line_of(TrueShaft(120.0)), plays=10)
    assert (told.hits_median, told.hits_90, told.hours_median) == (0, 0, 0.0)


@pytest.mark.slow
def test_scatter_costs_hits() -> None:
    line = line_of(TWO)
    calm = forecast(line, response=Response(1.0, 0.02, 0.05), plays=30)
    wild = forecast(line, response=Response(1.0, 0.15, 0.45), plays=30)
    assert np.mean(calm.hits) < np.mean(wild.hits)


def test_cancelled_before_the_first_play_there_is_nothing_to_go_on() -> None:
    told = forecast(line_of(TWO), cancelled=lambda: True)
    assert (told.hits, told.minutes, told.unfinished, told.complete) == ((), (), 0, False)
    assert (told.hits_median, told.hits_90) == (0, 0)
    assert (told.hours_median, told.hours_90) == (0.0, 0.0)


def test_spread_of_the_plays_is_that_of_their_quantiles() -> None:
    """Median and nine in ten, against numpy; hits are whole, hours are minutes over sixty."""
    told = Forecast(tuple(range(1, 21)), tuple(60.0 * k for k in range(1, 21)), 0, True)
    assert (told.hits_median, told.hits_90) == (10, 19)
    assert told.hours_median == 10.5
    assert told.hours_90 == np.quantile(np.arange(1, 21), 0.9)


def test_minutes_are_hits_and_stations_at_their_cost() -> None:
    """The same play paid for twice: only the price of a hit, or of a station, changes."""
    line = line_of(TWO)
    hit, station = (forecast(line, costs=Costs(*c), plays=4) for c in ((1.0, 0.0), (0.0, 1.0)))
    both = forecast(line, costs=Costs(6.0, 1.5), plays=4)
    assert hit.minutes == both.hits
    assert all(n >= STATIONS.size and n == int(n) for n in station.minutes)
    assert both.minutes == tuple(
        6.0 * h + 1.5 * s for h, s in zip(hit.minutes, station.minutes, strict=True)
    )
