"""The fewest hits that bring a line within its limits, and where they go.

The line is matched by a broken line with few corners (the fitted bends); taking those bends out
leaves the misfit. One corner after the other is added, each time all are lifted out and set again,
over a grid of places a quarter inch apart (a ram is not set closer). Once a fit may be good
enough, its sizes are balanced so that the worst station, not the sum of squares, is least
(Lawson's weighting).

Only bends that matter for the limits are matched: the search stops as soon as what is left lies
inside the wanted share of the limits. Lengths inches, angles radians.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from core.straightening.after_hits import hit_lift

Array = NDArray[np.float64]

GRID_IN = 0.25
KAPPA_PULL = 1e5
"""Weight of a hit's own square, radians, beside the misfit as a share of the limits squared: two
large hits an inch apart that nearly cancel are never worth what they mend."""
PASSES = 4
LAWSON_STEPS = 8


@dataclass(frozen=True, eq=False)
class BrokenLine:
    """A broken line: `station_in` (k,), `kappa_rad` (k, 2) and what it leaves."""

    station_in: Array
    kappa_rad: Array
    left: Array
    """(n,) size of the eccentricity left at each station over the one allowed there."""

    @property
    def worst(self) -> float:
        """Worst station: 1 = just at its limit."""
        return float(self.left.max())


@dataclass(frozen=True, eq=False)
class CandidateSites:
    """Where hits can go on one shaft, and what a unit hit at each place does at the stations."""

    place_in: Array
    """(c,)"""
    shape: Array
    """(n, c) unit shapes over the allowed eccentricity."""
    gram: Array
    """(c, c) products of the shapes."""
    pull: Array
    """(n,) one over the allowed eccentricity."""

    @classmethod
    def on(cls, station_in: Array, rollers_in: Array, allowed_in: Array) -> CandidateSites:
        """Every quarter inch between the first and last station."""
        return _places(*(tuple(v.tolist()) for v in (station_in, rollers_in, allowed_in)))


@lru_cache(maxsize=8)
def _places(
    station_in: tuple[float, ...], rollers_in: tuple[float, ...], allowed_in: tuple[float, ...]
) -> CandidateSites:
    station, pull = np.array(station_in), 1.0 / np.array(allowed_in)
    first, last = np.ceil(station[0] / GRID_IN), np.floor(station[-1] / GRID_IN)
    place = np.arange(first, last + 1) * GRID_IN
    shape = hit_lift(station, place, np.array(rollers_in)) * pull[:, None]
    return CandidateSites(place, shape, shape.T @ shape, pull)


def fewest(
    places: CandidateSites, ecc_in: Array, *, enough_at: float, enough: float, most: int
) -> BrokenLine:
    """The broken line with fewest corners that leaves little enough of a line (n, 2).

    With no corner at all, at most `enough_at` of the limit; with corners, at most `enough`, or
    whatever `most` corners leave.
    """
    target = ecc_in * places.pull[:, None]
    found = BrokenLine(np.zeros(0), np.zeros((0, 2)), np.hypot(*target.T))
    if found.worst <= enough_at or not places.place_in.size:
        return found
    wanted = places.shape.T @ target
    chosen: list[int] = []
    for _ in range(most):
        chosen = _settle(places, wanted, [*chosen, _best_place(places, wanted, chosen)])
        found = _corners(places, target, wanted, sorted(chosen), enough)
        if found.worst <= enough:
            break
    return found


def _settle(places: CandidateSites, wanted: Array, chosen: list[int]) -> list[int]:
    """Lift each corner out in turn and set it where it serves best, until none moves."""
    if len(chosen) == 1:
        return chosen
    for _ in range(PASSES):
        before = list(chosen)
        for k in range(len(chosen)):
            chosen[k] = _best_place(places, wanted, chosen[:k] + chosen[k + 1 :])
        if chosen == before:
            break
    return chosen


def _best_place(places: CandidateSites, wanted: Array, chosen: list[int]) -> int:
    """Place whose corner, added to the chosen ones, lowers the sum of squares most."""
    own = places.gram.diagonal() + KAPPA_PULL
    if chosen:
        cross = places.gram[chosen]
        square = cross[:, chosen] + KAPPA_PULL * np.eye(len(chosen))
        share = np.linalg.solve(square, cross)
        own = own - (cross * share).sum(axis=0)
        wanted = wanted - share.T @ wanted[chosen]
    gain = (wanted[:, 0] ** 2 + wanted[:, 1] ** 2) / np.maximum(own, KAPPA_PULL)
    gain[chosen] = -1.0
    return int(gain.argmax())


def _corners(
    places: CandidateSites, target: Array, wanted: Array, chosen: list[int], enough: float
) -> BrokenLine:
    """Sizes of the corners: least squares, balanced when that may bring it under `enough`."""
    shape: Array = places.shape[:, chosen]
    place = places.place_in[chosen]
    soft = KAPPA_PULL * np.eye(len(chosen))
    square = places.gram[np.ix_(chosen, chosen)] + soft
    kappa: Array = np.asarray(np.linalg.solve(square, wanted[chosen]), dtype=float)
    best = BrokenLine(place, kappa, np.hypot(*(target - shape @ kappa).T))
    if best.worst <= enough or float((best.left**2).mean()) > enough**2:
        return best  # good as it is, or out of reach: the worst is never under the mean square
    left, weight = best.left, np.ones(target.shape[0])
    for _ in range(LAWSON_STEPS):
        weight = weight * np.sqrt(left / max(float(left.max()), 1e-12) + 1e-3)
        heavy = shape * (weight * (weight.size / weight.sum()))[:, None]
        kappa = np.asarray(np.linalg.solve(heavy.T @ shape + soft, heavy.T @ target), float)
        left = np.hypot(*(target - shape @ kappa).T)
        if left.max() < best.worst:
            best = BrokenLine(place, kappa, left)
        if best.worst <= enough:
            break
    return best
