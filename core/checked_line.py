"""A shaft line that has been hit: what is expected, how well it is known, what a check adds.

All eccentricity components of a line are one normal vector, order (station 0 toward 0, station 0
toward 90, station 1 toward 0, ...), with a full covariance. A hit moves the vector by a known
shape and spreads it in three directions: how much the hit took out, which way it went, and
where the ram really stood. A quick check at a few stations is the usual linear update of such a
vector; because the shapes are known, three stations tell about all the others.

Source: linear Gaussian update (Kalman), textbook; the spreads are shop figures.
Lengths inches, angles radians.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from core.bend_shapes import lift
from core.shaftline import ShaftLine

Array = NDArray[np.float64]

CLOCK_SIGMA_RAD = float(np.radians(5.0))
"""How far off its clock a hit goes, one standard deviation. Common practice, no source."""
PLACE_SIGMA_IN = 0.25
"""How far off its station the ram stands, one standard deviation. Common practice, no source."""


class PlannedHit(Protocol):
    """What this module needs of a hit (see `core.straighten.Hit`)."""

    @property
    def station_in(self) -> float:
        """Where the ram goes."""

    @property
    def kappa_rad(self) -> Array:
        """Change of slope to take out (2,)."""

    @property
    def share_sigma(self) -> float:
        """Standard deviation of what it takes out over what it is to take out."""


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


def expected_after(line: ShaftLine, hits: Sequence[PlannedHit]) -> CheckedLine:
    """The line after the hits by the plan alone, with the spread the hits bring."""
    mean, cov = line.ecc_in.ravel().copy(), joint_covariance_in2(line)
    for hit in hits:
        moved, spread = _effect(line, hit)
        mean = mean + moved
        cov = cov + spread @ spread.T
    return _as_line(line, mean, cov, _shares(line) + tuple((1.0, h.share_sigma) for h in hits))


@dataclass(frozen=True, eq=False)
class Check:
    """A quick check set against what was expected."""

    line: CheckedLine
    """The line with the check worked in."""
    chi2: float
    """Squared distance of the check from the expected line."""
    n_values: int
    """Components read: chi2 should be about this."""


def work_in(
    line: ShaftLine,
    hits: Sequence[PlannedHit],
    index: Sequence[int],
    ecc_in: Array,
    sigma_in: Array,
) -> Check:
    """The line after the hits with readings at the stations `index` worked in.

    Parameters
    ----------
    index : (m,) which stations of the line were read
    ecc_in : (m, 2); sigma_in : (m,) standard deviation of each component
    """
    expected = expected_after(line, hits)
    cov, mean = joint_covariance_in2(expected), expected.ecc_in.ravel()
    rows = np.array([[2 * i, 2 * i + 1] for i in index], dtype=int).ravel()
    noise = np.repeat(np.asarray(sigma_in, dtype=float) ** 2, 2)
    surprise = np.asarray(ecc_in, dtype=float).ravel() - mean[rows]
    inner = cov[np.ix_(rows, rows)] + np.diag(noise)
    gain = np.linalg.solve(inner, cov[rows]).T
    settled = np.linalg.solve(inner, surprise)
    learnt = cov - gain @ cov[rows]
    shares = list(expected.shares)
    first = len(shares) - len(hits)
    for k, hit in enumerate(hits):
        along = hit.share_sigma**2 * _effect(line, hit)[0][rows]
        left = hit.share_sigma**2 - along @ np.linalg.solve(inner, along)
        shares[first + k] = (1.0 + float(along @ settled), float(np.sqrt(max(left, 0.0))))
    after = _as_line(line, mean + gain @ surprise, (learnt + learnt.T) / 2, tuple(shares))
    return Check(after, float(surprise @ settled), rows.size)


def best_check_stations(line: CheckedLine, count: int, noise_in: float) -> tuple[int, ...]:
    """Stations whose readings would leave the least doubt about the whole line, by index.

    One after the other, each the one that takes the most variance out of all stations together.
    """
    cov = joint_covariance_in2(line).copy()
    n = line.station_in.size
    chosen: list[int] = []
    for _ in range(min(count, n)):
        columns = cov.reshape(2 * n, n, 2)
        squares = np.einsum("ink,inl->nkl", columns, columns)
        index = np.arange(n)
        inner = cov.reshape(n, 2, n, 2)[index, :, index, :] + noise_in**2 * np.eye(2)
        gain = np.trace(np.linalg.solve(inner, squares), axis1=1, axis2=2)
        gain[chosen] = -1.0
        best = int(np.argmax(gain))
        chosen.append(best)
        at = columns[:, best, :]
        cov = cov - at @ np.linalg.solve(inner[best], at.T)
    return tuple(sorted(chosen))


def _effect(line: ShaftLine, hit: PlannedHit) -> tuple[Array, Array]:
    """Mean move (2 n,) of all components, and its spread (2 n, 3): share, clock, place."""
    at = np.array([hit.station_in])
    shape = lift(line.station_in, at, at, line.rollers_in)[:, 0]
    kappa = np.asarray(hit.kappa_rad, dtype=float)
    aside = np.array([-kappa[1], kappa[0]])
    moved = -np.outer(shape, kappa).ravel()
    spread = np.column_stack(
        [
            hit.share_sigma * moved,
            -CLOCK_SIGMA_RAD * np.outer(shape, aside).ravel(),
            -PLACE_SIGMA_IN * np.outer(_place_slope(line, hit.station_in), kappa).ravel(),
        ]
    )
    return moved, spread


def _place_slope(line: ShaftLine, station_in: float) -> Array:
    """Change of the unit shape at each station when the ram moves; smooth over its own spread."""

    def passed(x: Array) -> Array:
        return np.asarray(-1 / (1 + np.exp(-1.702 * np.clip((x - station_in) / width, -30, 30))))

    width = PLACE_SIGMA_IN
    a, b = line.rollers_in
    share = (line.station_in - a) / (b - a)
    ends = passed(line.rollers_in)
    return np.asarray(passed(line.station_in) - (1 - share) * ends[0] - share * ends[1])


def _shares(line: ShaftLine) -> tuple[tuple[float, float], ...]:
    return line.shares if isinstance(line, CheckedLine) else ()


def _as_line(
    line: ShaftLine, mean: Array, cov: Array, shares: tuple[tuple[float, float], ...]
) -> CheckedLine:
    n = line.station_in.size
    index = np.arange(n)
    own = cov.reshape(n, 2, n, 2)[index, :, index, :]
    return CheckedLine(
        station_in=line.station_in,
        ecc_in=mean.reshape(n, 2),
        sigma_in=np.sqrt(np.trace(own, axis1=1, axis2=2) / 2),
        rollers_in=line.rollers_in,
        cov_in2=own,
        joint_cov_in2=cov,
        shares=shares,
    )
