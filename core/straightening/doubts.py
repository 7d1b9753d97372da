"""Readings that contradict a hit: pressed on the wrong side, nothing stayed, wrong clock.

From readings taken after the hits it is worked out, with an open mind, how much each hit took out
along its own direction and how much across it. What no scatter of a proper hit explains is said
in plain words; nothing is changed.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import atan2, degrees, hypot

import numpy as np
from numpy.typing import ArrayLike, NDArray

from core.base.units import format_station
from core.runout.checked_line import joint_covariance_in2
from core.runout.line import ShaftLine
from core.straightening.after_hits import hit_lift, misplaced
from core.straightening.check import stations_index
from core.straightening.plan import PlannedHit

Array = NDArray[np.float64]

OPEN_MIND = 1.5
"""Before the readings, shares taken out between minus and plus this are no surprise."""
CONTRADICTS_SIGMAS = 2.0
"""Standard deviations by which a share must pass a mark before anything is said."""
WRONG_SIDE, NOTHING, TOO_MUCH, ASIDE = -0.3, 0.25, 1.8, 0.5


def doubts(
    before: ShaftLine,
    hits: Sequence[PlannedHit],
    station_in: ArrayLike,
    ecc_in: ArrayLike,
    sigma_in: ArrayLike,
) -> tuple[str, ...]:
    """Sentences about hits the readings contradict; none when all look like proper hits.

    Arguments as in `core.straightening.plan.after_quick_check`, with the line before the hits.
    """
    index = stations_index(before, station_in)
    if not hits:
        return ()
    found = np.asarray(ecc_in, dtype=float)
    sigma = np.broadcast_to(np.asarray(sigma_in, dtype=float), (len(index),))
    change = (found - before.ecc_in[index]).ravel()
    effect, noise = _model(before, hits, index, sigma)
    weight = np.linalg.solve(noise, np.column_stack([effect, change]))
    normal = effect.T @ weight[:, :-1] + np.eye(effect.shape[1]) / OPEN_MIND**2
    spread = np.linalg.inv(normal)
    share: Array = np.asarray(spread @ (effect.T @ weight[:, -1]), dtype=float)
    doubt: Array = np.asarray(np.sqrt(np.diag(spread)), dtype=float)
    said = [_say(h, share[2 * k : 2 * k + 2], doubt[2 * k : 2 * k + 2]) for k, h in enumerate(hits)]
    return tuple(sentence for sentence in said if sentence)


def _model(
    before: ShaftLine, hits: Sequence[PlannedHit], index: list[int], sigma_in: Array
) -> tuple[Array, Array]:
    """Effect (2 m, 2 k) of a full share along and across each hit; noise (2 m, 2 m)."""
    rows = np.array([[2 * i, 2 * i + 1] for i in index], dtype=int).ravel()
    astray = misplaced(before, hits)[rows]
    noise = joint_covariance_in2(before)[np.ix_(rows, rows)] + astray @ astray.T
    noise = noise + np.diag(np.repeat(sigma_in**2, 2))
    at = np.array([hit.station_in for hit in hits])
    shape = hit_lift(before.station_in[index], at, before.rollers_in)
    columns = []
    for k, hit in enumerate(hits):
        aside = np.array([-hit.kappa_rad[1], hit.kappa_rad[0]])
        columns += [-np.outer(shape[:, k], v).ravel() for v in (hit.kappa_rad, aside)]
    return np.column_stack(columns), noise


def _say(hit: PlannedHit, share: Array, doubt: Array) -> str:
    """What to say of one hit; '' when it looks proper."""
    along, across = (float(v) for v in share)
    margin = CONTRADICTS_SIGMAS * float(doubt[0])
    less, more = along - margin, along + margin
    where = format_station(hit.station_in)
    if more < WRONG_SIDE:
        side = degrees(hit.high_side_rad)
        return (
            f"At {where} the high side got higher: pressed on the wrong side? The ram belongs at "
            f"clock {side:.0f}."
        )
    if abs(across) - CONTRADICTS_SIGMAS * float(doubt[1]) > ASIDE * hypot(along, across):
        turned = degrees(atan2(across, along))
        return (
            f"The hit at {where} went {abs(turned):.0f} degrees {'up' if turned > 0 else 'down'} "
            "the clock from its high side. Check the chalk mark, and which way the marks run."
        )
    if more < NOTHING:
        return (
            f"The hit at {where} took out almost nothing. Was it below yield, or at another place?"
        )
    if less > TOO_MUCH:
        return f"The hit at {where} took out {along:.1f} times what was planned. Ease off."
    return ""
