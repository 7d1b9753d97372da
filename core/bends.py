"""Bends of a shaft line: how many, where, how large, how well known.

A bend is a change of slope of the centre line, kappa (radians, a vector towards clock 0 and 90),
at one station. The high side is the direction of -kappa: there the shaft bulges, there the
ram goes.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import atan2, hypot, pi

import numpy as np
from numpy.typing import NDArray

from core.bend_fit import Fit, Target, station_jacobian
from core.bend_search import best_line, scatter_ratio
from core.bend_shapes import lift
from core.shaftline import ShaftLine

Array = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class Bend:
    """One bend, inches and radians."""

    station_in: float
    station_u95_in: float
    """Half width of the 95 % interval of the station."""
    kappa_rad: Array
    """Change of slope (2,): towards clock 0, towards clock 90."""
    resolved: bool
    """False = a region: corners closer together than the stations tell apart, or a bow."""
    from_in: float = 0.0
    to_in: float = 0.0
    """Region the bend is spread over; equal to the 95 % interval for a sharp bend."""
    kind: str = "sharp"
    """'sharp', 'region' or 'bow'."""

    @property
    def angle_rad(self) -> float:
        """Size of the bend, radians."""
        return hypot(float(self.kappa_rad[0]), float(self.kappa_rad[1]))

    @property
    def high_side_rad(self) -> float:
        """Clock of the high side, radians 0 to 2 pi."""
        return atan2(-float(self.kappa_rad[1]), -float(self.kappa_rad[0])) % (2 * pi)


@dataclass(frozen=True, eq=False)
class BendReport:
    """All bends of a line and how well the broken line explains it."""

    bends: tuple[Bend, ...]
    fitted: ShaftLine
    """The broken line at the measured stations."""
    scatter_ratio: float
    """Scatter about the broken line against the stated uncertainty; about 1 when all is well."""
    sharpen_at_in: float | None
    """Where one more station would sharpen the bends most; None when nothing would."""
    notes: tuple[str, ...] = ()

    @property
    def bow(self) -> Bend | None:
        """The largest bow, if there is one."""
        bows = [bend for bend in self.bends if bend.kind == "bow"]
        return max(bows, key=lambda bend: bend.angle_rad) if bows else None


def find_bends(line: ShaftLine) -> BendReport:
    """Fit a broken line with few corners to a shaft line."""
    base = line.measured or line
    target = Target.of(base)
    fit = best_line(target)
    scale = scatter_ratio(target, fit)
    bends = _sharp_bends(target, fit, scale)
    shape = lift(target.x_in, fit.shapes[:, 0], fit.shapes[:, 1], target.rollers_in)
    fitted = ShaftLine(base.station_in, shape @ fit.kappa_rad, base.sigma_in, base.rollers_in)
    return BendReport(bends, fitted, scale, None)


def _sharp_bends(target: Target, fit: Fit, scale: float) -> tuple[Bend, ...]:
    if fit.shapes.shape[0] == 0:
        return ()
    jacobian = station_jacobian(target, fit)
    normal = jacobian.T @ jacobian + 1e-9 * np.eye(jacobian.shape[1])
    u95 = 1.96 * scale * np.sqrt(np.diag(np.linalg.inv(normal)))
    order = np.argsort(fit.shapes[:, 0])
    return tuple(
        Bend(
            station_in=float(fit.shapes[k, 0]),
            station_u95_in=float(u95[k]),
            kappa_rad=fit.kappa_rad[k],
            resolved=True,
            from_in=float(fit.shapes[k, 0] - u95[k]),
            to_in=float(fit.shapes[k, 0] + u95[k]),
        )
        for k in order
    )
