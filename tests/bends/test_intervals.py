"""How well a bend's place is known, against the whole integral; the station to add; regions."""

from __future__ import annotations

import numpy as np
import pytest
import scipy

from core.bends.find import find_bends
from core.bends.fit import SOFT_KAPPA_RAD, Fit, Target, refine, solve
from core.bends.intervals import (
    SHARP_SHARE,
    bend_spread,
    sharpening_stations,
    station_covariance_in2,
)
from core.bends.search import TRUST, scatter_ratio
from core.bends.shapes import lift
from core.bends.zones import LONGEST_ZONE_IN
from core.runout.line import ShaftLine

ROLLERS = np.array([12.0, 96.0])
X = np.arange(3.0, 112.0, 6.0)
QUANTILES = [0.025, 0.16, 0.5, 0.84, 0.975]
LOG_SCALE = -600.0
"""Keeps likelihoods of about 20 stations read to a thou or less within a double."""


def bent(
    corners: list[tuple[float, float, float]],
    sigma_in: float,
    *,
    x: np.ndarray = X,
    rollers: np.ndarray = ROLLERS,
    seed: int = 0,
) -> ShaftLine:
    """A line of corners (station, kappa toward 0, kappa toward 90) with noise."""
    parts = np.array(corners)
    ecc = lift(x, parts[:, 0], parts[:, 0], rollers) @ parts[:, 1:]
    ecc = ecc + np.random.default_rng(seed).normal(0, sigma_in, ecc.shape)
    return ShaftLine(x, ecc, np.full(x.size, sigma_in), rollers)


def told_quantiles(line: ShaftLine, near_in: float) -> np.ndarray:
    """Places that `bend_spread` says the bend lies before with the probabilities QUANTILES."""
    target = Target.of(line)
    fit = refine(target, solve(target, np.array([[near_in, near_in]])))
    scatter = scatter_ratio(target, fit)
    covariance = station_covariance_in2(target, fit, scatter)
    places, before = bend_spread(target, fit, 0, covariance, scatter)
    return np.interp(QUANTILES, before, places)


def whole_integral(line: ShaftLine, *, spread: bool = False) -> np.ndarray:
    """The same from Bayes' rule, nothing approximated: any place alike, a bend's components normal
    with `SOFT_KAPPA_RAD`, the variance of the noise over the stated one scaled inverse chi squared
    with `TRUST` degrees of freedom; the readings are then multivariate normal (textbook).

    `spread` : sharp with probability `SHARP_SHARE`, or else a zone of any length alike."""
    place = np.linspace(line.station_in[0], line.station_in[-1], 1301 if spread else 325)
    density = _density(line, place, 0.0)
    if spread:
        lengths = np.arange(0.125, LONGEST_ZONE_IN, 0.25)
        each = [_density(line, place, length) for length in lengths]
        density = SHARP_SHARE * density + (1 - SHARP_SHARE) / lengths.size * np.sum(each, axis=0)
    before = np.concatenate([[0.0], np.cumsum((density[1:] + density[:-1]) / 2)])
    return np.interp(QUANTILES, before / before[-1], place)


def _density(line: ShaftLine, place: np.ndarray, length_in: float) -> np.ndarray:
    """Density of the place of a bend of one length, not normed; 0 where it would not fit on."""
    begin, end = place - length_in / 2, place + length_in / 2
    shape = lift(line.station_in, begin, end, line.rollers_in).T
    ratio = np.exp(np.linspace(np.log(0.2), np.log(8), 50))[:, None]
    noise2, bend2 = ratio * line.sigma_in[0] ** 2, SOFT_KAPPA_RAD**2
    square = (shape**2).sum(axis=1)
    left = (line.ecc_in**2).sum() - ((shape @ line.ecc_in) ** 2).sum(axis=1) * bend2 / (
        noise2 + bend2 * square
    )
    log_likely = -left / noise2 / 2 - np.log1p(bend2 * square / noise2)
    log_likely = log_likely - line.station_in.size * np.log(noise2)
    log_likely += scipy.stats.invgamma.logpdf(ratio, TRUST / 2, scale=TRUST / 2) + np.log(ratio)
    inside = (begin >= line.station_in[0]) & (end <= line.station_in[-1])
    return np.where(inside, np.exp(log_likely + LOG_SCALE).sum(axis=0), 0.0)


@pytest.mark.parametrize(
    ("station_in", "kappa_rad", "sigma_in"),
    [(40.0, 0.0005, 0.0014), (60.0, 0.0003, 0.002), (60.0, 0.001, 0.004), (70.0, 0.0002, 0.001)],
)
def test_place_of_an_ill_known_bend_is_as_the_whole_integral_has_it(
    station_in: float, kappa_rad: float, sigma_in: float
) -> None:
    line = bent([(station_in, kappa_rad, 0.0)], sigma_in, seed=1)
    told, whole = told_quantiles(line, station_in), whole_integral(line)
    assert told == pytest.approx(whole, abs=0.02 * (whole[-1] - whole[0]))


@pytest.mark.parametrize(("station_in", "near_in"), [(106.0, 107.0), (5.0, 6.0)])
def test_place_with_one_station_beyond_it_is_open_over_its_gap(
    station_in: float, near_in: float
) -> None:
    line = bent([(station_in, 0.005, 0.0)], 0.00014, seed=3)
    told, whole = told_quantiles(line, near_in), whole_integral(line)
    assert told[[0, -1]] == pytest.approx(whole[[0, -1]], abs=1.0)


@pytest.mark.parametrize("length_in", [0.0, 5.0, 9.0])
def test_place_of_a_bend_spread_over_inches_is_as_the_whole_integral_has_it(
    length_in: float,
) -> None:
    """A mixture of sharp and spread: each part is a Laplace or grid sum, so a tenth is allowed."""
    begin, end = np.array([51.0 - length_in / 2]), np.array([51.0 + length_in / 2])
    ecc = lift(X, begin, end, ROLLERS) @ np.array([[0.0012, 0.0009]])
    ecc = ecc + np.random.default_rng(4).normal(0, 0.00014, ecc.shape)
    line = ShaftLine(X, ecc, np.full(X.size, 0.00014), ROLLERS)
    told, whole = told_quantiles(line, 51.0), whole_integral(line, spread=True)
    assert told == pytest.approx(whole, abs=0.1 * (whole[-1] - whole[0]))


def test_place_of_a_plain_bend_is_known_as_least_squares_has_it() -> None:
    """Between stations the misfit is smooth: sigma = noise over the size of the bend's shadow."""
    line = bent([(51.5, 0.003, 0.004)], 0.00014, seed=2)
    (bend,) = find_bends(line).bends
    shape = lift(X, np.array([51.5]), np.array([51.5]), ROLLERS)
    ahead = lift(X, np.array([51.6]), np.array([51.6]), ROLLERS)
    slope = (ahead - shape) / 0.1 * 0.005
    left = slope - shape @ np.linalg.lstsq(shape, slope, rcond=None)[0]
    sigma = 0.00014 * find_bends(line).scatter_ratio / np.linalg.norm(left)
    assert bend.station_u95_in == pytest.approx(1.96 * sigma, rel=0.06)


def mirrored(line: ShaftLine) -> ShaftLine:
    return ShaftLine(
        114.0 - line.station_in[::-1],
        line.ecc_in[::-1],
        line.sigma_in[::-1],
        114.0 - line.rollers_in[::-1],
    )


@pytest.mark.parametrize("station_in", [5.0, 7.5, 40.0, 104.2, 106.0, 109.0])
def test_intervals_are_the_same_counted_from_the_other_end(station_in: float) -> None:
    line = bent([(station_in, 0.004, 0.002)], 0.0002, seed=5)
    here, there = find_bends(line).bends, find_bends(mirrored(line)).bends
    assert [b.kind for b in here] == [b.kind for b in there[::-1]]
    for one, other in zip(here, there[::-1], strict=True):
        assert (one.from_in, one.to_in) == pytest.approx(
            (114.0 - other.to_in, 114.0 - other.from_in), abs=0.12
        )


@pytest.mark.parametrize("end", ["first", "last"])
def test_a_bend_in_a_short_gap_at_the_end_is_measured_by_that_gap(end: str) -> None:
    """One station beyond it: anywhere in its 2 in, however wide the gap next to it is."""
    x = np.append(np.arange(10.0, 110.0, 12.0), 108.0)
    line = bent([(107.0, 0.008, 0.0)], 0.00014, x=x, rollers=np.array([10.0, 94.0]))
    if end == "first":
        line = mirrored(line)
    bend = find_bends(line).bends[-1 if end == "last" else 0]
    low, high = (106.0, 108.0) if end == "last" else (6.0, 8.0)
    assert bend.kind == "region"
    assert low - 0.3 < bend.from_in < bend.to_in < high + 0.1


def test_a_region_of_two_bends_stands_where_the_lines_beside_it_cross() -> None:
    """Seen from outside, bends k1 at s1 and k2 at s2 lift by (k1 + k2) x - (k1 s1 + k2 s2)."""
    first, second = np.array([0.008, 0.0]), np.array([0.0, 0.003])
    (bend,) = find_bends(bent([(40.0, *first), (43.5, *second)], 0.00005)).bends
    both = first + second
    crossing = (40.0 * first + 43.5 * second) @ both / (both @ both)
    assert bend.kind == "region"
    assert bend.station_in == pytest.approx(crossing, abs=0.1)


def sigma_with(line: ShaftLine, fit: Fit, added_in: float | None = None) -> np.ndarray:
    """Standard deviation of beginning and end of a fit's one bow by plain least squares, slopes by
    differences; with one more station read when asked."""
    x = line.station_in if added_in is None else np.append(line.station_in, added_in)
    (bow,), (kappa,) = fit.shapes, fit.kappa_rad
    columns = [np.kron(lift(x, *bow[:, None], line.rollers_in), np.eye(2))]
    for step in (np.array([0.05, 0.0]), np.array([0.0, 0.05])):
        more, less = (lift(x, *end[:, None], line.rollers_in) for end in (bow + step, bow - step))
        columns.append(((more - less) / 0.1 * kappa).reshape(-1, 1))
    jacobian = np.hstack(columns) / line.sigma_in[0]
    return np.asarray(np.sqrt(np.diag(np.linalg.inv(jacobian.T @ jacobian)))[2:])


@pytest.mark.parametrize(("begin", "end"), [(33.0, 60.0), (30.0, 78.0)])
def test_the_station_to_add_to_a_bow_is_the_best_there_is(begin: float, end: float) -> None:
    x = np.arange(3.0, 112.0, 18.0)
    ecc = lift(x, np.array([begin]), np.array([end]), ROLLERS) @ np.array([[0.004, -0.002]])
    line = ShaftLine(x, ecc, np.full(x.size, 0.0003), ROLLERS)
    target = Target.of(line)
    fit = solve(target, np.array([[begin, end]]))
    (told,) = sharpening_stations(target, fit)
    now = sigma_with(line, fit)
    shares = [(sigma_with(line, fit, a) / now).mean() for a in np.arange(3.5, 110.0, 1.0)]
    assert told is not None
    assert (sigma_with(line, fit, told) / now).mean() < min(shares) + 0.01


def test_a_bow_read_every_six_inches_gains_little_from_one_station_more() -> None:
    line = bent([(33.0, 0.0, 0.0)], 0.0003)
    target = Target.of(line)
    fit = solve(target, np.array([[33.0, 60.0]]))
    assert sharpening_stations(target, fit) == [None]
