"""Misreadings of a whole station: rolled the other way, and a dial that moved or crept.

Nothing here is applied by itself: each finding says what was seen and carries the corrected
values, for the person to take or leave. Thresholds: common practice, no source; tried on
simulated sweeps.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from core.base.errors import BadReadings
from core.runout.harmonics import Array, Priors, evidence, log_sum, prepare
from core.runout.line import ShaftLine

MISS_SIGMAS = 5.0
"""Standard deviations by which a station must miss its neighbours to be doubted."""
ENOUGH = 4.0
"""Gain in log likelihood that mirroring the station must bring."""
SURELY = 12.0
"""Log odds from which a moved dial is reported."""


@dataclass(frozen=True)
class OtherWay:
    """A station that fits its neighbours only when its marks are taken in the other direction."""

    station_in: float
    first_mark_rad: float
    """Clock of the mark that was read first: it stays, the others change sides about it."""
    miss_in: float
    """Distance of the eccentricity from its neighbours as read, inches."""
    mirrored_miss_in: float
    """The same when mirrored, inches."""


def turned_clocks_deg(
    first_mark_rad: float, direction: int, clock_deg: Sequence[float]
) -> tuple[float, ...]:
    """Clocks of a station's readings, in their order, if it was rolled the other way.

    A clock t was really 2 t0 - t, t0 the first mark; each comes back as that mark is written.

    Parameters
    ----------
    first_mark_rad : as `OtherWay` has it, the clock of the shaft.
    direction : 1, or -1 when the marks are written against the clock of the shaft.
    clock_deg : as written on the shaft.

    Raises
    ------
    BadReadings : the marks do not lie evenly about the first one.
    """
    twice_first = 2 * math.degrees(first_mark_rad) * direction
    written = {_key(clock): clock for clock in clock_deg}
    try:
        return tuple(written[_key(twice_first - clock)] for clock in clock_deg)
    except KeyError:
        raise BadReadings(
            "Its marks do not lie evenly about the first one: read the station again."
        ) from None


def _key(clock_deg: float) -> float:
    return round(clock_deg % 360.0, 4) % 360.0


@dataclass(frozen=True)
class DialMoved:
    """The closing reading does not repeat the first one."""

    kind: Literal["crept", "jumped"]
    drift_in: float
    """Closing minus first reading, inches."""
    before_index: int | None
    """For a jump: it happened just before this reading."""
    mended_in: tuple[float, ...]
    """The readings with the movement taken out."""


def read_the_other_way(line: ShaftLine, first_mark_rad: Array) -> tuple[OtherWay, ...]:
    """Stations of a line (n >= 4) that look rolled the wrong way.

    Rolled the other way, a clock t is really 2 t0 - t (t0 = first mark), so the eccentricity comes
    out mirrored about the first mark. A shaft is straight at most stations and has corners at few;
    the sum over all stations of log(1 + (miss / scale)^2), miss = distance from the straight line
    through the neighbours, is small for few large misses and large for many. A station is
    reported when mirroring it, and nothing else, makes that sum clearly smaller.

    Parameters
    ----------
    first_mark_rad : (n,) clock of the first mark read at each station.
    """
    n = line.station_in.size
    if n < 4:
        return ()
    turned = _mirror(line.ecc_in, first_mark_rad)
    flipped = np.zeros(n, dtype=bool)
    found: list[OtherWay] = []
    while (best := _best_flip(line, turned, flipped, first_mark_rad)) is not None:
        found.append(best[1])
        flipped[best[0]] = True
        if len(found) > n // 3:
            return ()
    return tuple(sorted(found, key=lambda f: f.station_in))


def _best_flip(
    line: ShaftLine, turned: Array, flipped: NDArray[np.bool_], first: Array
) -> tuple[int, OtherWay] | None:
    """The station whose mirroring makes the line clearly more like a shaft; None = none does."""
    ecc = np.where(flipped[:, None], turned, line.ecc_in)
    miss, sigma = _against_neighbours(line, ecc)
    scale = np.hypot(sigma, np.median(miss))
    cost = np.log1p((miss / scale) ** 2).sum()
    best: tuple[float, int, float] | None = None
    apart = np.hypot(*(turned - line.ecc_in).T)
    doubted = ~flipped & (miss > MISS_SIGMAS * sigma) & (apart > MISS_SIGMAS * scale)
    for i in np.flatnonzero(doubted).tolist():
        tried = ecc.copy()
        tried[i] = turned[i]
        other, _ = _against_neighbours(line, tried)
        gain = float(cost - np.log1p((other / scale) ** 2).sum())
        if gain > ENOUGH and (best is None or gain > best[0]):
            best = (gain, i, float(other[i]))
    if best is None:
        return None
    _, i, other_i = best
    return i, OtherWay(float(line.station_in[i]), float(first[i]), float(miss[i]), other_i)


def _mirror(ecc: Array, first: Array) -> Array:
    c, s = np.cos(2 * first), np.sin(2 * first)
    return np.stack([c * ecc[:, 0] + s * ecc[:, 1], s * ecc[:, 0] - c * ecc[:, 1]], axis=1)


def _against_neighbours(line: ShaftLine, ecc: Array) -> tuple[Array, Array]:
    """Distance (n,) of each vector from the line through its neighbours, and its sigma.

    The rollers count as stations where the eccentricity is zero.
    """
    free = np.min(np.abs(line.station_in[:, None] - line.rollers_in), axis=1) > 0.5
    place = np.concatenate([line.station_in[free], line.rollers_in])
    order = np.argsort(place)
    place = place[order]
    value = np.concatenate([ecc[free], np.zeros((2, 2))])[order]
    noise = np.concatenate([line.sigma_in[free], np.zeros(2)])[order]
    at = np.searchsorted(place, line.station_in[free])
    # At the ends of the shaft there is a neighbour on one side only: the next two then.
    last = place.size - 1
    a = np.where(at == 0, 1, at - 1)
    b = np.where(at == 0, 2, np.where(at == last, last - 2, at + 1))
    share = (place[at] - place[a]) / (place[b] - place[a])
    guess = (1 - share)[:, None] * value[a] + share[:, None] * value[b]
    miss = np.zeros(line.station_in.size)
    sigma = np.full(line.station_in.size, np.inf)
    miss[free] = np.hypot(*(ecc[free] - guess).T)
    spread = ((1 - share) * noise[a]) ** 2 + (share * noise[b]) ** 2 + line.sigma_in[free] ** 2
    sigma[free] = np.sqrt(spread)
    return miss, sigma


def dial_moved(
    clock_rad: tuple[float, ...],
    reading_in: tuple[float, ...],
    closing_in: float | None,
    *,
    resolution_in: float,
    repeatability_in: float,
    priors: Priors | None = None,
) -> DialMoved | None:
    """Whether the dial crept or jumped during the roll; None when the closing mark repeats.

    Creep in proportion to the readings taken, and a jump before each reading, are compared by how
    well the mended readings fit one section; together with the closing reading they must be
    clearly likelier than a dial that stood still, and the drift more than a graduation.
    """
    if closing_in is None or len(reading_in) < 5:
        return None
    drift = closing_in - reading_in[0]
    if abs(drift) < 1.01 * resolution_in:
        return None
    n = len(reading_in)
    reading = np.array(reading_in)
    steps = [np.arange(n) / n] + [np.arange(n) >= k for k in range(1, n + 1)]
    marks = prepare(clock_rad, resolution_in, repeatability_in, priors or Priors())
    still = float(log_sum(evidence(marks, reading)))
    fits = [float(log_sum(evidence(marks, reading - drift * step))) for step in steps]
    # One way to creep against n places to jump.
    best = int(np.argmax([fits[0] + math.log(n), *fits[1:]]))
    said = 0.25 * drift**2 / (repeatability_in**2 + resolution_in**2 / 12)
    if said + fits[best] - still < SURELY:
        return None
    return DialMoved(
        kind="jumped" if best else "crept",
        drift_in=drift,
        before_index=best if best else None,
        mended_in=tuple((reading - drift * steps[best]).tolist()),
    )
