"""A line known from a sweep, the hits since, and the quick checks after them.

All eccentricity components of a line are one normal vector, order (station 0 toward 0, station 0
toward 90, station 1 toward 0, ...), with a full covariance. Lengths inches.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from core.runout.line import ShaftLine

Array = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class CheckedLine(ShaftLine):
    """A line worked out from a sweep, the hits since, and the quick checks after them.

    Not modelled: anything that happened to the shaft between the checks that was not a hit.
    """

    joint_cov_in2: Array | None = None
    """(2 n, 2 n) covariance of all components together."""
    shares: tuple[tuple[float, float], ...] = ()
    """For each hit since the sweep: taken out over planned, and its standard deviation."""


def joint_covariance_in2(line: ShaftLine) -> Array:
    """Covariance (2 n, 2 n) of all components; stations independent when nothing else is known."""
    if isinstance(line, CheckedLine) and line.joint_cov_in2 is not None:
        return line.joint_cov_in2
    n = line.station_in.size
    joint = np.zeros((n, 2, n, 2))
    index = np.arange(n)
    joint[index, :, index, :] = line.covariance_in2
    return joint.reshape(2 * n, 2 * n)
