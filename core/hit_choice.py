"""The fewest hits that bring a line within its limits, and where they go.

The line is matched by a broken line with few corners (the fitted bends); taking those bends out
leaves the misfit. One corner after the other is added, each time all are lifted out and set anew,
over a grid of places a quarter inch apart (a ram is not set closer). The sizes are then
balanced so that the worst station, not the sum of squares, is least (Lawson's weighting).

Only bends that matter for the limits are matched: the search stops as soon as what is left lies
inside the wanted share of the limits. Lengths inches, angles radians.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from core.bend_shapes import lift

Array = NDArray[np.float64]

GRID_IN = 0.25
SOFT_KAPPA_RAD = 0.05
"""A bend of this size is no surprise; keeps places with no leverage from wild answers."""
PASSES = 4
LAWSON_STEPS = 8


@dataclass(frozen=True, eq=False)
class Corners:
    """A broken line: `station_in` (k,), `kappa_rad` (k, 2) and what it leaves."""

    station_in: Array
    kappa_rad: Array
    left: Array
    """(n,) size of the eccentricity left at each station over the one allowed there."""

    @property
    def worst(self) -> float:
        """Worst station: 1 = just at its limit."""
        return float(self.left.max()) if self.left.size else 0.0


@dataclass(frozen=True, eq=False)
class Places:
    """Where hits can go on one shaft, and what a unit hit at each place does at the stations."""

    place_in: Array
    """(c,)"""
    shape: Array
    """(n, c) unit shapes over the allowed eccentricity."""
    pull: Array
    """(n,) one over the allowed eccentricity."""

    @classmethod
    def on(cls, station_in: Array, rollers_in: Array, allowed_in: Array) -> Places:
        """Every quarter inch between the first and last station."""
        first, last = station_in[0], station_in[-1]
        place = np.arange(np.ceil(first / GRID_IN), np.floor(last / GRID_IN) + 1) * GRID_IN
        pull = 1.0 / allowed_in
        return cls(place, lift(station_in, place, place, rollers_in) * pull[:, None], pull)


def fewest(places: Places, ecc_in: Array, most: int) -> Iterator[Corners]:
    """Best broken lines with 0, 1, 2, ... corners for a line (n, 2), until the caller stops."""
    target = ecc_in * places.pull[:, None]
    chosen: list[int] = []
    yield _corners(places, target, chosen)
    for _ in range(most):
        chosen = _settle(places, target, [*chosen, _best_place(places, target, chosen)])
        yield _corners(places, target, chosen)


def _settle(places: Places, target: Array, chosen: list[int]) -> list[int]:
    """Lift each corner out in turn and set it where it serves best, until none moves."""
    if len(chosen) == 1:
        return chosen
    for _ in range(PASSES):
        before = list(chosen)
        for k in range(len(chosen)):
            rest = chosen[:k] + chosen[k + 1 :]
            chosen[k] = _best_place(places, target, rest)
        if chosen == before:
            break
    return chosen


def _best_place(places: Places, target: Array, chosen: list[int]) -> int:
    """Place whose corner, added to the chosen ones, lowers the sum of squares most."""
    shape, misfit = places.shape, target
    if chosen:
        basis = np.linalg.qr(shape[:, chosen])[0]
        shape = shape - basis @ (basis.T @ shape)
        misfit = target - basis @ (basis.T @ target)
    gain = ((shape.T @ misfit) ** 2).sum(axis=1)
    gain /= (shape**2).sum(axis=0) + SOFT_KAPPA_RAD**-2
    gain[chosen] = -1.0
    return int(np.argmax(gain))


def _corners(places: Places, target: Array, chosen: list[int]) -> Corners:
    if not chosen:
        return Corners(np.zeros(0), np.zeros((0, 2)), np.hypot(*target.T))
    order = sorted(chosen)
    shape = places.shape[:, order]
    soft = np.eye(len(order)) * SOFT_KAPPA_RAD**-2
    weight = np.full(target.shape[0], 1.0)
    best: Corners | None = None
    for _ in range(LAWSON_STEPS):
        heavy = shape * weight[:, None]
        kappa = np.linalg.solve(heavy.T @ shape + soft, heavy.T @ target)
        left = np.hypot(*(target - shape @ kappa).T)
        if best is None or left.max() < best.worst:
            best = Corners(places.place_in[order], kappa, left)
        weight = weight * np.sqrt(left / left.max() + 1e-3) if left.max() > 0 else weight
        weight *= weight.size / weight.sum()
    assert best is not None
    return best
