"""A line known from a sweep, the hits since, and what was read after them.

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
    swept: ShaftLine | None = None
    """The full sweep of the same stations that was worked in last; None = hit or checked since."""


def worked_into(sweep: ShaftLine, line: CheckedLine) -> CheckedLine:
    """A line with a full sweep worked in, at every station of that sweep, which has all of the
    line's; what the line does not know of stays as it was read."""
    n = sweep.station_in.size
    at = np.abs(sweep.station_in[None, :] - line.station_in[:, None]).argmin(axis=1)
    ecc, joint = sweep.ecc_in.copy(), joint_covariance_in2(sweep)
    both = np.column_stack([2 * at, 2 * at + 1]).ravel()
    ecc[at] = line.ecc_in
    joint[np.ix_(both, both)] = joint_covariance_in2(line)
    index = np.arange(n)
    own = joint.reshape(n, 2, n, 2)[index, :, index, :]
    return CheckedLine(
        station_in=sweep.station_in,
        ecc_in=ecc,
        sigma_in=np.sqrt(np.trace(own, axis1=1, axis2=2) / 2),
        rollers_in=sweep.rollers_in,
        noise_freedom=sweep.noise_freedom,
        roller_sigma_in=sweep.roller_sigma_in,
        cov_in2=own,
        joint_cov_in2=joint,
        shares=line.shares,
        swept=sweep,
    )


def joint_covariance_in2(line: ShaftLine) -> Array:
    """Covariance (2 n, 2 n) of all components; stations independent when nothing else is known."""
    if isinstance(line, CheckedLine) and line.joint_cov_in2 is not None:
        return line.joint_cov_in2
    n = line.station_in.size
    joint = np.zeros((n, 2, n, 2))
    index = np.arange(n)
    joint[index, :, index, :] = line.covariance_in2
    return joint.reshape(2 * n, 2 * n)
