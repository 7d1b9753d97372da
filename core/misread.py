"""Misreadings of a whole station: rolled the other way, and a dial that moved or crept.

Nothing here is applied by itself: each finding says what was seen and carries the mended values
for the person to take or leave. Thresholds: common practice, no source; tried on simulated sweeps.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

import numpy as np

from core.harmonics import Array, Priors, evidence, log_sum, prepare
from core.shaftline import ShaftLine

CLEARLY = 5.0
"""A station must miss its neighbours by so many standard deviations before it is doubted."""
FITS = 3.0
"""... and fit them within so many when mirrored."""


@dataclass(frozen=True)
class OtherWay:
    """A station that fits its neighbours only when its marks are taken in the other direction."""

    station_in: float
    first_mark_rad: float
    """Clock of the mark that was read first: it stays, the others change sides about it."""
    miss_in: float
    """How far the eccentricity stands from its neighbours as read, inches."""
    mirrored_miss_in: float
    """The same when mirrored, inches."""

    def mended_clock_rad(self, clock_rad: float) -> float:
        """Clock of a reading of this station if it was rolled the other way."""
        return (2 * self.first_mark_rad - clock_rad) % (2 * math.pi)


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
    out mirrored about the first mark. Each station is compared with the straight line through
    its neighbours, as it is and mirrored; the scatter that a bent shaft shows against such
    lines anyway (median over the other stations) is allowed for.

    Parameters
    ----------
    first_mark_rad : (n,) clock of the first mark read at each station.
    """
    n = line.station_in.size
    if n < 4:
        return ()
    found: list[OtherWay] = []
    doubt = np.ones(n, dtype=bool)
    while doubt.any():
        best = _worst_way(line, first_mark_rad, [f.station_in for f in found])
        if best is None:
            break
        found.append(best)
        doubt[np.searchsorted(line.station_in, best.station_in)] = False
        if len(found) > n // 3:
            return ()
    return tuple(sorted(found, key=lambda f: f.station_in))


def _worst_way(line: ShaftLine, first: Array, mirrored: list[float]) -> OtherWay | None:
    """The station that gains most by being mirrored, those already found taken as mirrored."""
    flipped = np.isin(line.station_in, mirrored)
    turned = _mirror(line.ecc_in, first)
    ecc = np.where(flipped[:, None], turned, line.ecc_in)
    miss, sigma = _against_neighbours(line, ecc, ecc)
    other, _ = _against_neighbours(line, ecc, turned)
    # Neighbours of a wrong station miss too, so only a station better off than both counts.
    gain = np.where(flipped, -np.inf, miss - other)
    i = int(gain.argmax())
    usual = float(np.median(np.delete(miss, i)))
    allowed = math.hypot(sigma[i], usual)
    if miss[i] < CLEARLY * allowed or other[i] > FITS * allowed or other[i] > 0.35 * miss[i]:
        return None
    return OtherWay(float(line.station_in[i]), float(first[i]), float(miss[i]), float(other[i]))


def _mirror(ecc: Array, first: Array) -> Array:
    c, s = np.cos(2 * first), np.sin(2 * first)
    return np.stack([c * ecc[:, 0] + s * ecc[:, 1], s * ecc[:, 0] - c * ecc[:, 1]], axis=1)


def _against_neighbours(line: ShaftLine, ecc: Array, tried: Array) -> tuple[Array, Array]:
    """Distance (n,) of each tried vector from the line through its neighbours, and its sigma.

    The rollers count as stations where the eccentricity is zero.
    """
    free = np.min(np.abs(line.station_in[:, None] - line.rollers_in), axis=1) > 0.5
    place = np.concatenate([line.station_in[free], line.rollers_in])
    order = np.argsort(place)
    place = place[order]
    value = np.concatenate([ecc[free], np.zeros((2, 2))])[order]
    noise = np.concatenate([line.sigma_in[free], np.zeros(2)])[order]
    miss = np.zeros(line.station_in.size)
    sigma = np.full(line.station_in.size, np.inf)
    for i in np.flatnonzero(free):
        at = int(np.searchsorted(place, line.station_in[i]))
        near = (at - 1, at + 1) if 0 < at < place.size - 1 else (at + 1, at + 2)
        near = near if near[1] < place.size else (at - 1, at - 2)
        a, b = near
        share = (place[at] - place[a]) / (place[b] - place[a])
        guess = (1 - share) * value[a] + share * value[b]
        miss[i] = np.hypot(*(tried[i] - guess))
        spread = ((1 - share) * noise[a]) ** 2 + (share * noise[b]) ** 2 + line.sigma_in[i] ** 2
        sigma[i] = math.sqrt(spread)
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

    The closing reading must differ from the first by more than 3.5 standard deviations of such a
    difference and by more than a graduation. Creep in proportion to the readings taken and a jump
    before each reading are compared by how well the mended readings fit one section.
    """
    if closing_in is None or len(reading_in) < 5:
        return None
    drift = closing_in - reading_in[0]
    sigma = math.sqrt(2 * (repeatability_in**2 + resolution_in**2 / 12))
    if abs(drift) <= max(3.5 * sigma, 1.01 * resolution_in):
        return None
    n = len(reading_in)
    reading = np.array(reading_in)
    steps = [np.arange(n) / n] + [np.arange(n) >= k for k in range(1, n + 1)]
    marks = prepare(clock_rad, resolution_in, repeatability_in, priors or Priors())
    fits = [float(log_sum(evidence(marks, reading - drift * step))) for step in steps]
    # One way to creep against n places to jump.
    best = int(np.argmax([fits[0] + math.log(n), *fits[1:]]))
    return DialMoved(
        kind="jumped" if best else "crept",
        drift_in=drift,
        before_index=best if best else None,
        mended_in=tuple((reading - drift * steps[best]).tolist()),
    )
