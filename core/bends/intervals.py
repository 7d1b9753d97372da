"""How well the stations of corners are known, and which station to add.

The interval of a bend comes from its profile: the bend is put at many places, sharp and spread over
zones of many lengths, everything else follows as well as it can, and the likelihoods are weighed
against each other. So an interval knows of the kinks at stations and rollers, of a second place
that fits as well, of an end where one station alone says little, and that steel bends over inches.

Source: profile likelihood with the linear unknowns integrated out (Laplace), textbook.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from core.bends.fit import (
    SOFT_KAPPA_RAD,
    SOFT_STATION_IN,
    Fit,
    Target,
    others_following,
    station_changes,
    station_jacobian,
)
from core.bends.search import TRUST, Grid, gains, squares
from core.bends.shapes import plain_lift, plain_slopes, referring
from core.bends.zones import LONGEST_ZONE_IN, WIDTHS_IN

Array = NDArray[np.float64]

SPAN_SIGMAS = 7.0
LEAST_SPAN_IN = 0.02
POINTS = 81
SHARP_SHARE = 0.4
"""Before the readings, the probability that a bend is sharp; else any length of zone is as likely.
Shop figure, no source."""
ILL_KNOWN_IN = 0.5
"""A sharp bend known no better than this (standard deviation) is not tried as a zone: the length
of one would change its interval little."""
SIGMAS_AROUND = 4.0
ZONE_POINTS = 21
FAR_PER_GAP = 3
CLEAR_IN = 0.5
"""A station to add is at least this far from those read."""
WORTH_WHILE = 0.85
"""A station to add must bring the interval down to this share."""


def station_covariance_in2(target: Target, fit: Fit, scatter: float) -> Array:
    """Covariance of the unknown stations by linear error propagation (p, p)."""
    jacobian = station_jacobian(target, fit)
    normal = jacobian.T @ jacobian + np.eye(jacobian.shape[1]) / SOFT_STATION_IN**2
    return np.asarray(scatter**2 * np.linalg.inv(normal))


def bend_spread(
    target: Target,
    fit: Fit,
    k: int,
    covariance_in2: Array,
    scatter: float,
    *,
    past_others: bool = False,
) -> tuple[Array, Array]:
    """Places of the middle of bend k (g,) and the probability that it lies before each (g,).

    The bend is sharp or spread over a short zone; both are weighed by how well they explain the
    stations near it. `covariance_in2` is that of its unknown stations, (1, 1) or (2, 2).
    `past_others` : look past the bends before and after it too.
    """
    sigma = float(np.sqrt(covariance_in2.mean()))
    others = np.zeros(0) if past_others else np.delete(fit.shapes.mean(axis=1), k)
    places = _places(target, float(fit.shapes[k].mean()), others, sigma)
    zones, area_in2 = _zones_about(target, fit.shapes[k], places, covariance_in2)
    if sigma > ILL_KNOWN_IN:
        zones = zones[:0]
    log_density = _log_density(
        target, fit, k, np.vstack([np.column_stack([places, places]), zones]), scatter
    )
    likely = np.exp(log_density - log_density.max())
    sharp, spread = likely[: places.size], likely[places.size :]
    piece = (sharp[1:] + sharp[:-1]) / 2 * np.diff(places)
    before = np.concatenate([[0.0], np.cumsum(piece)])
    if not spread.any():
        return places, np.asarray(before / before[-1])
    at, which = np.unique(zones.mean(axis=1).round(9), return_inverse=True)
    mass = np.bincount(which, spread * area_in2[: spread.size])
    heap = np.cumsum(mass) - mass / 2  # half of a column of zones lies before its middle
    every = np.union1d(places, at)
    zoned = np.interp(every, at, heap, left=0.0, right=float(mass.sum()))
    summed = SHARP_SHARE * np.interp(every, places, before)
    summed += (1 - SHARP_SHARE) / LONGEST_ZONE_IN * zoned
    return every, np.asarray(summed / summed[-1])


def _zones_about(
    target: Target, shape: Array, places: Array, covariance_in2: Array
) -> tuple[Array, Array]:
    """Zones (c, 2) about the one fitted, or about places of a sharp bend, and the area (c,) of
    middle times length that each is there for."""
    begin, end = (float(v) for v in shape)
    if end > begin:
        (var_from, cov), (_, var_to) = covariance_in2
        length_sigma = float(np.sqrt(max(var_from + var_to - 2 * cov, 1e-6)))
        reach = np.linspace(-SIGMAS_AROUND, SIGMAS_AROUND, ZONE_POINTS)
        middles = (begin + end) / 2 + float(np.sqrt(covariance_in2.mean())) * reach
        lengths = (end - begin) + length_sigma * reach
        share = np.full(lengths.size, reach[1] - reach[0]) * length_sigma
    else:
        near = np.flatnonzero(np.abs(places - begin) < LONGEST_ZONE_IN / 2)[::2]
        middles, lengths = places[near], WIDTHS_IN
        share = np.gradient(WIDTHS_IN)
    spacing = np.gradient(middles)
    middle, length = (v.ravel() for v in np.meshgrid(middles, lengths, indexing="ij"))
    zones = np.column_stack([middle - length / 2, middle + length / 2])
    low, high = target.knots_in[0], target.knots_in[-1]
    kept = (length > 0) & (length <= LONGEST_ZONE_IN) & (middle >= low) & (middle <= high)
    return zones[kept], np.outer(spacing, share).ravel()[kept]


def _log_density(target: Target, fit: Fit, k: int, shapes: Array, scatter: float) -> Array:
    """Log of the posterior density (c,) of shape k being each of some shapes (c, 2)."""
    grid = Grid.of(target, shapes)
    others = others_following(target, fit, k)
    gain = gains(others, grid)
    inside = others.basis[: target.value.size].T @ grid.block
    first, second, cross = grid.gram - squares(inside)
    pull = (scatter / SOFT_KAPPA_RAD) ** 2
    volume = (first + pull) * (second + pull) - cross**2
    unknowns = 2 * fit.bowed.size + fit.unknown_stations
    degrees = max(0, target.value.size - unknowns)
    misfit = np.log(TRUST + np.maximum(others.chi2 - gain - fit.pulled, 0.0))
    return np.asarray(-((TRUST + degrees + 1) * misfit + np.log(np.maximum(volume, pull**2))) / 2)


def half_width_in(places: Array, before: Array, centre_in: float, share: float = 0.95) -> float:
    """Half width of the interval about a centre that holds a share of the probability."""
    away = np.sort(np.abs(places - centre_in))
    held = np.interp(centre_in + away, places, before) - np.interp(centre_in - away, places, before)
    return float(np.interp(share, held, away))


def middle_interval(places: Array, before: Array) -> tuple[float, float]:
    """Middle and half width of the interval that leaves 2.5 % out on either side."""
    low, high = np.interp([0.025, 0.975], before, places)
    return float(low + high) / 2, float(high - low) / 2


def sharpening_stations(target: Target, fit: Fit) -> list[float | None]:
    """For each shape the station to add that would sharpen it most; None = little to gain."""
    candidates = _candidates(target)
    if candidates.size == 0 or fit.bowed.size == 0:
        return [None] * fit.bowed.size
    m = fit.bowed.size
    changes = np.hstack([target.columns(fit.shapes), station_changes(target, fit)])
    pull = np.concatenate(
        [np.full(2 * m, SOFT_KAPPA_RAD**-2.0), np.full(fit.unknown_stations, SOFT_STATION_IN**-2.0)]
    )
    covariance = np.linalg.inv(changes.T @ changes + np.diag(pull))
    rows = _rows_at(target, fit, candidates, np.sqrt(np.diag(covariance)[2 * m :]))
    spread = rows @ covariance
    inner = spread @ rows.transpose(0, 2, 1) + np.eye(2)
    taken = np.einsum("gip,gip->gp", spread, np.linalg.solve(inner, spread))
    before = np.diag(covariance)
    left = np.sqrt(np.maximum(1 - taken / before, 0.0))[:, 2 * m :]
    owner = np.repeat(np.arange(m), 1 + fit.bowed)
    chosen: list[float | None] = []
    for k in range(m):
        share = left[:, owner == k].mean(axis=1)
        best = int(np.argmin(share))
        chosen.append(float(candidates[best]) if share[best] < WORTH_WHILE else None)
    return chosen


def _places(target: Target, centre: float, others_in: Array, sigma_in: float) -> Array:
    """Between the bends before and after: close together about the fitted place, a few in every
    gap elsewhere."""
    knots = target.knots_in
    low = max(knots[0], others_in[others_in < centre].max(initial=knots[0]))
    high = min(knots[-1], others_in[others_in > centre].min(initial=knots[-1]))
    gap = float(np.max(np.diff(knots)))
    span = float(np.clip(SPAN_SIGMAS * sigma_in, LEAST_SPAN_IN, gap))
    near = centre + span * np.linspace(-1, 1, POINTS)
    share = np.arange(FAR_PER_GAP) / FAR_PER_GAP
    far = (knots[:-1, None] + np.diff(knots)[:, None] * share).ravel()
    every = np.concatenate([near, far, knots[-1:]])
    every.sort()
    return np.asarray(every[(every >= low) & (every <= high)])


def _candidates(target: Target) -> Array:
    low, high = target.x_in[0], target.x_in[-1]
    places = np.linspace(low, high, int(min(2 * (high - low), 200)) + 2)
    taken = np.concatenate([target.x_in, target.rollers_in])
    clear = np.abs(places[:, None] - taken[None, :]).min(axis=1) >= CLEAR_IN
    return np.asarray(places[clear])


def _rows_at(target: Target, fit: Fit, x_in: Array, sigma_in: Array) -> Array:
    """Rows (g, 2, 2 m + p) a typical reading at each of x_in would add.

    Slopes are averaged over where the corner may be (`sigma_in` (p,)): a station so close that it
    may lie on either side of the corner tells little.
    """
    refer = referring(x_in, target.rollers_in)
    place = np.concatenate([x_in, target.rollers_in])
    raised = refer @ plain_lift(place, fit.shapes[:, 0], fit.shapes[:, 1])
    free = np.column_stack([np.ones(fit.bowed.size, dtype=bool), fit.bowed]).ravel()
    both = np.repeat(sigma_in, np.repeat(2 - fit.bowed, 1 + fit.bowed))
    spread = [
        np.stack(plain_slopes(place, *(fit.shapes + z * both.reshape(-1, 2)).T), axis=2)
        for z in (-2.0, -1.0, 0.0, 1.0, 2.0)
    ]
    slopes = refer @ np.mean(spread, axis=0).reshape(place.size, -1)[:, free]
    kappa = np.repeat(fit.kappa_rad, 1 + fit.bowed, axis=0)
    lifted = np.zeros((x_in.size, 2, fit.bowed.size, 2))
    lifted[:, 0, :, 0] = lifted[:, 1, :, 1] = raised
    moved = slopes[:, None, :] * kappa.T[None, :, :]
    rows = np.concatenate([lifted.reshape(x_in.size, 2, -1), moved], axis=2)
    return np.asarray(rows * np.sqrt(np.median(_station_weight(target))))


def _station_weight(target: Target) -> Array:
    """One over the variance of each component when read alone (n, 2)."""
    whitener = target.whitener
    if whitener.ndim == 3:
        return np.asarray((whitener**2).sum(axis=1))
    return np.asarray((whitener**2).sum(axis=0).reshape(-1, 2))
