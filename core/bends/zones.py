"""Bends spread over a plastic zone: a corner given a length where the readings show one.

Steel bends over a few inches, not at a point. Stations outside the zone see a corner at its middle;
a station inside lies closer to the axis than the corner says, which pushes a sharp corner off its
place or makes two of it. So corners side by side are tried as one zone, and single corners with a
length. A zone is an even one (constant curvature), as a bow is; a zone with a peak of curvature in
the middle reads like an even one of 0.7 times its length.

Source: geometry; zones of 4 to 12 in under a press or a grounding are common practice, no source.
"""

from __future__ import annotations

from itertools import combinations

import numpy as np
from numpy.typing import NDArray

from core.bends.fit import Fit, Target, others_following, refine, solve
from core.bends.search import (
    BOW_PRICE,
    CORNER_PRICE,
    OVERLAP_PRICE,
    Grid,
    gains,
    misfit,
    overlaps,
)

Array = NDArray[np.float64]

LONGEST_ZONE_IN = 14.0
"""A longer bend is a bow."""
ZONE_PRICE = 4.0
"""Misfit that giving a corner a length must take away."""
LEAST_HOPE = 0.25
"""A length that saves less than this share of its price, to first order, is not tried."""
WIDTHS_IN = np.array([1.0, 2.0, 3.5, 5.0, 7.0, 9.0, 12.0])
ASIDE_IN = np.linspace(-2.0, 2.0, 9)
MOST_MERGED = 3
HOPELESS = 1e5
"""A shape is not left out where that adds this much misfit before the others have followed."""
ONE_WAY = 0.3
"""Neighbours are tried as one zone when their sum is at least this share of their sizes."""


def is_zone(shapes: Array) -> NDArray[np.bool_]:
    """(m,) True where a shape is a bend at one place: a corner, or spread over a short zone."""
    return np.asarray(shapes[:, 1] - shapes[:, 0] <= LONGEST_ZONE_IN)


def spread_out(target: Target, fit: Fit) -> Fit:
    """The fit with corners given a length, joined into zones or left out, where that pays.

    Shapes rise along the shaft, here and in the result. A zone taken for a sharp corner spoils
    its neighbours, so every simpler fit is judged with all lengths set again.
    """
    fit = _with_lengths(target, fit)
    while True:
        simpler = [_with_lengths(target, other) for other in _simpler(target, fit)]
        best = min(simpler, key=lambda f: _price(target, f), default=fit)
        if _price(target, best) >= _price(target, fit):
            return fit
        fit = best


def widened(target: Target, fit: Fit, k: int) -> Fit | None:
    """The best fit with corner k given a length, as the same shape; None = it will have none."""
    rest = solve(target, np.delete(fit.shapes, k, axis=0))
    return _with_zone(target, rest, float(fit.shapes[k].mean()) + ASIDE_IN, k)


def _may_pay(target: Target, fit: Fit, k: int) -> bool:
    """Whether a length for corner k, the others following, comes near to earning its price."""
    zones = _zones(target, float(fit.shapes[k].mean()) + ASIDE_IN)
    if not zones.size:
        return False
    others = others_following(target, fit, k)
    best = others.chi2 - float(gains(others, Grid.of(target, zones)).max()) - fit.pulled
    saved = misfit(target, fit.off) - misfit(target, best)
    return bool(saved > LEAST_HOPE * ZONE_PRICE)


def _with_lengths(target: Target, fit: Fit) -> Fit:
    """Every corner that a length suits better, given one."""
    for k in np.flatnonzero(~fit.bowed):
        if not _may_pay(target, fit, int(k)):
            continue
        wider = widened(target, fit, int(k))
        if wider is not None and _price(target, wider) < _price(target, fit):
            fit = wider
    return fit


def _simpler(target: Target, fit: Fit) -> list[Fit]:
    """Fits with neighbours joined into one zone; where there are zones, with one shape less too."""
    m = fit.bowed.size
    found = []
    for first, last in combinations(range(m), 2):
        begin, end = fit.shapes[first, 0], fit.shapes[first : last + 1, 1].max()
        short = last - first < MOST_MERGED and end - begin <= LONGEST_ZONE_IN
        if short and _one_way(fit.kappa_rad[first : last + 1]):
            rest = solve(target, np.delete(fit.shapes, np.arange(first, last + 1), axis=0))
            found.append(_with_zone(target, rest, np.linspace(begin, end, 9), first))
    if fit.bowed.any():
        fewer = [solve(target, np.delete(fit.shapes, k, axis=0)) for k in range(m)]
        found += [refine(target, f) for f in fewer if f.chi2 - fit.chi2 < HOPELESS]
    return [f for f in found if f is not None]


def _one_way(kappa_rad: Array) -> bool:
    """Whether some corners (c, 2) bend much the same way, as one zone would."""
    size = np.hypot(*kappa_rad.T).sum()
    return bool(np.hypot(*kappa_rad.sum(axis=0)) >= ONE_WAY * size)


def _with_zone(target: Target, rest: Fit, middles_in: Array, at: int) -> Fit | None:
    """Some fit with one zone more, inserted as shape `at`; None = its best length is none."""
    grid = Grid.of(target, _zones(target, middles_in))
    if not grid.shapes.size:
        return None
    best = grid.shapes[int(np.argmax(gains(rest, grid)))]
    fit = refine(target, solve(target, np.insert(rest.shapes, at, best, axis=0)))
    return fit if fit.bowed[at] and is_zone(fit.shapes)[at] else None


def _zones(target: Target, middles_in: Array) -> Array:
    """Zones (c, 2) of all lengths about some middles that lie on the shaft as read."""
    middle, width = np.meshgrid(middles_in, WIDTHS_IN)
    shapes = np.column_stack([(middle - width / 2).ravel(), (middle + width / 2).ravel()])
    low, high = target.knots_in[0], target.knots_in[-1]
    return np.asarray(shapes[(shapes[:, 0] >= low) & (shapes[:, 1] <= high)])


def _price(target: Target, fit: Fit) -> float:
    """Misfit plus what the shapes cost."""
    local = is_zone(fit.shapes)
    shapes = np.where(local, CORNER_PRICE + ZONE_PRICE * fit.bowed, BOW_PRICE)
    overlap = OVERLAP_PRICE * overlaps(fit, ~local)
    return float(misfit(target, fit.off) + shapes.sum() + overlap)
