"""The next station is where the fits of those read so far differ most; enough is said."""

from __future__ import annotations

import numpy as np
import pytest

from core.analysis.area_verdicts import judge_areas
from core.analysis.next_station import next_station
from core.base.errors import BadShaft
from core.bends.find import find_bends
from core.bends.shapes import lift
from core.runout.line import ShaftLine
from core.runout.verdict import Area

LENGTH_IN = 96.0
ROLLERS_IN = np.array([14.0, 80.0])
LIST = tuple(np.arange(3.0, 96.0, 6.0).tolist())
SIGMA_IN = 0.00013


def read(places: list[float], bends: list[tuple[float, float]], seed: int = 0) -> ShaftLine:
    x = np.array(sorted(places))
    ecc = np.random.default_rng(seed).normal(0, SIGMA_IN, (100, 2))[x.astype(int)]
    for at, kappa in bends:
        place = np.array([at])
        ecc[:, 0] += kappa * lift(x, place, place, ROLLERS_IN)[:, 0]
    return ShaftLine(x, ecc, np.full(x.size, SIGMA_IN), ROLLERS_IN)


def swept(bends: list[tuple[float, float]], areas: tuple[Area, ...] = ()) -> list[float]:
    """Stations read when the shaft is read where it is asked for."""
    places = [LIST[0], LIST[-1]]
    while True:
        line = read(places, bends)
        following = next_station(line, length_in=LENGTH_IN, areas=areas, among_in=LIST)
        assert following.why
        if following.station_in is None:
            return sorted(places)
        assert following.station_in not in places
        places.append(following.station_in)


def test_two_bends_are_found_as_closely_with_a_third_fewer_stations() -> None:
    bends = [(33.0, 0.006), (58.5, -0.004)]
    places = swept(bends)
    assert len(places) <= 0.65 * len(LIST)
    found = find_bends(read(places, bends)).bends
    assert [b.station_in for b in found] == pytest.approx([33.0, 58.5], abs=0.5)


def test_a_straight_shaft_is_read_until_all_of_it_has_a_verdict() -> None:
    whole = Area("whole", "shaft log", 3.0, 93.0)
    line = read(swept([]), [])
    assert judge_areas([whole], line)[0].word == "true"


def test_each_riding_area_is_read() -> None:
    log = Area("log", "shaft log", 50.0, 58.0)
    assert any(50.0 <= x <= 58.0 for x in swept([(30.0, 0.008)], (log,)))


def test_the_place_between_two_bends_that_nobody_saw_is_asked_for_first() -> None:
    """All is known but the length about the bend: the next reading goes there."""
    places = [x for x in LIST if not 36.0 < x < 54.0]
    following = next_station(read(places, [(47.0, 0.008)]), length_in=LENGTH_IN, among_in=LIST)
    assert following.station_in is not None
    assert 36.0 < following.station_in < 54.0


def test_without_a_list_any_inch_of_the_shaft_may_be_asked_for() -> None:
    line = read([3.0, 20.0, 40.0, 60.0, 75.0], [(47.0, 0.008)])
    following = next_station(line, length_in=LENGTH_IN)
    assert following.station_in is not None
    assert 1.0 <= following.station_in <= 95.0
    assert np.abs(line.station_in - following.station_in).min() >= 2.5


def test_nothing_is_left_when_the_list_is_read() -> None:
    following = next_station(read(list(LIST), [(47.0, 0.008)]), length_in=LENGTH_IN, among_in=LIST)
    assert following.station_in is None
    assert "Every station is read" in following.why


@pytest.mark.parametrize("length", [0.0, -3.0, float("nan"), float("inf")])
def test_no_length_is_refused_in_words(length: float) -> None:
    with pytest.raises(BadShaft, match="length of the shaft"):
        next_station(read(list(LIST), []), length_in=length)


def test_two_stations_of_a_short_shaft_are_no_trouble() -> None:
    x, rollers = np.array([8.0, 16.0]), np.array([4.0, 20.0])
    line = ShaftLine(x, np.zeros((2, 2)), np.full(2, SIGMA_IN), rollers)
    assert next_station(line, length_in=24.0).why
