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

from core.bends.shapes import lift
from core.runout.checked_line import CheckedLine, joint_covariance_in2
from core.runout.line import ShaftLine

Array = NDArray[np.float64]

CLOCK_SIGMA_RAD = float(np.radians(5.0))
"""How far off its clock a hit goes, one standard deviation. Common practice, no source."""
PLACE_SIGMA_IN = 0.25
"""How far off its station the ram stands, one standard deviation. Common practice, no source."""

PASSES = 4


class AimedHit(Protocol):
    """What this module needs of a hit (see `core.straightening.plan.Hit`)."""

    @property
    def station_in(self) -> float:
        """Where the ram goes."""

    @property
    def kappa_rad(self) -> Array:
        """Change of slope to take out (2,)."""

    @property
    def share_sigma(self) -> float:
        """Standard deviation of what it takes out over what it is to take out."""


def expected_after(line: ShaftLine, hits: Sequence[AimedHit]) -> CheckedLine:
    """The line after the hits by the plan alone, with the spread the hits bring."""
    moved, spread = _effects(line, hits)
    mean = line.ecc_in.ravel() + moved.sum(axis=1)
    cov = joint_covariance_in2(line) + spread @ spread.T
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
    hits: Sequence[AimedHit],
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
    along = _effects(line, hits)[0][rows]
    told = along.T @ np.linalg.solve(inner, np.column_stack([surprise, along]))
    for k, hit in enumerate(hits):
        left = 1 - hit.share_sigma**2 * float(told[k, 1 + k])
        share = 1 + hit.share_sigma**2 * float(told[k, 0])
        shares[first + k] = (share, hit.share_sigma * max(left, 0.0) ** 0.5)
    after = _as_line(line, mean + gain @ surprise, (learnt + learnt.T) / 2, tuple(shares))
    return Check(after, float(surprise @ settled), rows.size)


def best_check_stations(
    line: ShaftLine, hits: Sequence[AimedHit], count: int, noise_in: float
) -> tuple[int, ...]:
    """Stations of the line whose readings would tell most about the hits to come, by index.

    Chosen one after the other, then each in turn lifted out and set where it leaves the least
    variance over the whole line.
    """
    ways = _effects(line, hits)[1]
    told = ways.reshape(line.station_in.size, 2, -1) / noise_in
    told = np.matmul(told.transpose(0, 2, 1), told)
    spread = ways.T @ ways
    chosen: list[int] = []
    for _ in range(min(count, line.station_in.size)):
        chosen.append(_tells_most(told, spread, chosen))
    for _ in range(PASSES):
        before = list(chosen)
        for place in range(len(chosen)):
            rest = chosen[:place] + chosen[place + 1 :]
            chosen[place] = _tells_most(told, spread, rest)
        if chosen == before:
            break
    return tuple(sorted(chosen))


def _tells_most(told: Array, spread: Array, chosen: list[int]) -> int:
    """Station that, read besides the chosen ones, leaves the least variance in all; of stations
    that tell the same, the first."""
    known = np.eye(spread.shape[0]) + told[chosen].sum(axis=0)
    left = np.trace(np.linalg.solve(known + told, spread), axis1=1, axis2=2)
    left[chosen] = np.inf
    return int(np.argmax(left <= left.min() * (1 + 1e-6)))


def _effects(line: ShaftLine, hits: Sequence[AimedHit]) -> tuple[Array, Array]:
    """Mean moves (2 n, k) of all components by each hit, and their spreads (2 n, 3 k).

    Each hit spreads in three directions: share taken out, clock, place.
    """
    if not hits:
        return np.zeros((2 * line.station_in.size, 0)), np.zeros((2 * line.station_in.size, 0))
    at = np.array([hit.station_in for hit in hits])
    kappa = np.array([hit.kappa_rad for hit in hits], dtype=float)
    share = np.array([hit.share_sigma for hit in hits])
    aside = np.column_stack([-kappa[:, 1], kappa[:, 0]])
    shape = lift(line.station_in, at, at, line.rollers_in)
    moved = _outer(-shape, kappa)
    turned = _outer(-CLOCK_SIGMA_RAD * shape, aside)
    placed = _outer(-PLACE_SIGMA_IN * _place_slopes(line, at), kappa)
    return moved, np.concatenate([moved * share, turned, placed], axis=1)


def _outer(shape: Array, vector: Array) -> Array:
    """(n, k) shapes and (k, 2) vectors to (2 n, k) components in the order of a joint vector."""
    n, k = shape.shape
    return (shape[:, None, :] * vector.T[None, :, :]).reshape(2 * n, k)


def _place_slopes(line: ShaftLine, at: Array) -> Array:
    """Change of the unit shapes when the ram moves (n, k); smooth over its own spread."""
    place = np.concatenate([line.station_in, line.rollers_in])[:, None]
    passed = -1 / (1 + np.exp(-1.702 * np.clip((place - at) / PLACE_SIGMA_IN, -30, 30)))
    a, b = line.rollers_in
    share = ((line.station_in - a) / (b - a))[:, None]
    return np.asarray(passed[:-2] - (1 - share) * passed[-2] - share * passed[-1])


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
