"""A station that lies off the line of its neighbours: misread as a whole, or dirt under a roller.

A broken line can only follow such a station with three corners in two gaps, which no shaft has.
Where shapes crowd like that, or the fit is poor, the search is done again without the station
that is off most; when that is cheaper by far and the rest then fits, the station is set aside
and reported, never dropped in silence. The first and last station look like a bend next
to the end.

Source: common practice (leave one out, weighed by the same price as bends).
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from core.bends.fit import Fit, Target, solve
from core.bends.search import CORNER_PRICE, POOR_SCATTER, best_line, scatter_ratio, total_price

Array = NDArray[np.float64]

FEWEST_STATIONS = 6
MOST_OUTLIERS = 2
TRIED = 2
OUTLIER_PRICE = 1.7 * CORNER_PRICE
"""What setting a station aside must save: two corners, for one it may well be bent so."""

LONE_CORNERS = 2
LONE_WORSE = 12.0
"""Misfit of the other stations that leaving out such corners may add."""
OUTLIER_SIGMAS = 12.0
"""A station set aside lies at least this many standard deviations off the line of the others."""


def line_without_outliers(target: Target) -> tuple[Target, Fit, tuple[float, ...]]:
    """Best line, the readings it rests on, and the stations set aside (inches)."""
    whole = target, best_line(target)
    target, fit = whole
    outliers: list[float] = []
    while len(outliers) < MOST_OUTLIERS and _is_doubtful(target, fit):
        trials = [_without(target, j) for j in _standing_out(target)]
        fits = [best_line(trial) for trial in trials]
        prices = [total_price(t, f) for t, f in zip(trials, fits, strict=True)]
        best = int(np.argmin(prices))
        trial, found = trials[best], fits[best]
        if prices[best] + OUTLIER_PRICE >= total_price(target, fit):
            break
        if _distance(target, trial, found) < OUTLIER_SIGMAS:
            break
        outliers += np.setdiff1d(target.x_in, trial.x_in).tolist()
        target, fit = trial, found
    if outliers and scatter_ratio(target, fit) > POOR_SCATTER:
        return *whole, ()
    return target, fit, tuple(sorted(outliers))


def without_lone_corners(target: Target, fit: Fit) -> Fit:
    """The fit without corners that serve one station alone: some about it that leave the line on
    either side as it was. It is reported as a lone station, and read again, before anybody hits."""
    if target.x_in.size < FEWEST_STATIONS or target.whitener.ndim == 2:
        return fit
    x, middle = target.x_in, fit.shapes.mean(axis=1)
    for j in range(1, x.size - 1):
        about = (middle > x[max(j - 2, 0)]) & (middle < x[min(j + 2, x.size - 1)])
        if np.count_nonzero(about) < LONE_CORNERS:
            continue
        rest = fit.shapes[~about]
        if solve(_without(target, j), rest).off < fit.off + LONE_WORSE:
            return without_lone_corners(target, solve(target, rest))
    return fit


def _is_doubtful(target: Target, fit: Fit) -> bool:
    """Whether shapes crowd about a station as no shaft is bent, or the fit is poor."""
    if target.x_in.size < FEWEST_STATIONS or target.whitener.ndim == 2:
        return False
    if scatter_ratio(target, fit) > POOR_SCATTER:
        return True
    begin, end = fit.shapes[:, 0][None, :], fit.shapes[:, 1][None, :]
    before, after = target.x_in[:-2, None], target.x_in[2:, None]
    near = (end >= before) & (begin <= after)
    return bool(near.sum(axis=1).max(initial=0) > 1)


def _standing_out(target: Target) -> list[int]:
    """The stations inside the sweep whose neighbours on both sides bend away from them most."""
    x = target.x_in
    vector = np.linalg.solve(target.whitener, target.value.reshape(-1, 2)[:, :, None])[:, :, 0]
    share = ((x[1:-1] - x[:-2]) / (x[2:] - x[:-2]))[:, None]
    off = np.zeros_like(vector)
    off[1:-1] = vector[1:-1] - (1 - share) * vector[:-2] - share * vector[2:]
    alone = off[1:-1] - (off[:-2] + off[2:]) / 2
    return [int(j) + 1 for j in np.argsort(-np.hypot(*alone.T))[:TRIED]]


def _distance(target: Target, trial: Target, fit: Fit) -> float:
    """How far off the new line the station left out lies, in standard deviations."""
    off = target.value - target.columns(fit.shapes) @ fit.kappa_rad.ravel()
    left_out = np.isin(target.x_in, trial.x_in, invert=True)
    return float(np.hypot(*off.reshape(-1, 2)[left_out][0]))


def _without(target: Target, j: int) -> Target:
    value = np.delete(target.value.reshape(-1, 2), j, axis=0).ravel()
    return replace(
        target,
        x_in=np.delete(target.x_in, j),
        whitener=np.delete(target.whitener, j, axis=0),
        value=value,
        loose=np.delete(target.loose, [2 * j, 2 * j + 1], axis=0),
    )
