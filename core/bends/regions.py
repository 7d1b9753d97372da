"""From fitted shapes to what the readings support: sharp bends, regions, bows.

Two corners that are, or as well could be, in one gap between stations are one region: its bend is
the sum of theirs, at the place where the lines before and after it cross.
A corner whose place stays open over most of a gap is a region too. Bows that touch and bend
the same way, and corners inside a bow that are small beside it, are one bow.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from core.bends.fit import Fit, Target, refine, solve
from core.bends.intervals import (
    bend_spread,
    half_width_in,
    middle_interval,
    sharpening_stations,
    station_covariance_in2,
)
from core.bends.zones import is_zone

Array = NDArray[np.float64]

OPEN_SHARE = 0.5
"""A corner whose 95 % interval covers more than this share of its gap is a region."""
RESOLVED_INTERVALS = 3.0
"""Two corners closer than a gap stay two bends when this many times their intervals part them."""
WEAK_GAIN = 100.0
"""A corner that saves less misfit than this is weak."""
MOST_WORSE = 4.0
"""Misfit that putting an open corner in the middle of its interval may add; where bends crowd, the
others would have to follow."""
TOGETHER_WORSE = 12.0
"""Misfit that putting two corners into one gap may add when they may well be there."""
UNEVEN_SHARE = 0.01
"""A real zone is not quite even, which shifts its middle by this share of its length (half width;
set by simulation with zones of 4 to 12 in, even and peaked)."""
SMALL_BESIDE_BOW = 0.4
BOW_GAPS = 1.25
"""Bows closer than this many gaps between stations touch."""


@dataclass(frozen=True, eq=False)
class Region:
    """A stretch of shaft with one change of slope."""

    from_in: float
    to_in: float
    station_in: float
    kappa_rad: Array
    kind: Literal["sharp", "region", "bow"]
    shapes: tuple[int, ...]
    """The fitted shapes it is made of."""
    sharpen_at_in: float | None = None
    spread_in: float = 0.0
    """Length over which a bend at one place is spread; 0 = sharp, as far as the readings show."""

    @property
    def u95_in(self) -> float:
        """Half width about the station that covers the whole stretch."""
        return max(self.station_in - self.from_in, self.to_in - self.station_in)


def regions(target: Target, fit: Fit, scatter: float) -> tuple[Fit, tuple[Region, ...]]:
    """Bends that a fit supports, rising along the shaft; and the fit they come from.

    A corner whose place is open is put in the middle of its interval, so the fit may change.
    """
    if fit.bowed.size == 0:
        return fit, ()
    order = np.argsort(fit.shapes.mean(axis=1))
    fit = _without_weak(target, solve(target, fit.shapes[order]), scatter)
    fit, widths = _settle(target, fit, scatter)
    helpful = sharpening_stations(target, fit)
    single = [_single(target, fit, k, widths[k], helpful[k]) for k in range(fit.bowed.size)]
    single.sort(key=lambda region: region.station_in)  # settling may have moved one past another
    found = [single[0]]
    for region in single[1:]:
        joined = _joined(target, fit, scatter, found[-1], region)
        found = [*found[:-1], joined] if joined else [*found, region]
    return fit, tuple(found)


def _without_weak(target: Target, fit: Fit, scatter: float) -> Fit:
    """The fit without corners that save little and may as well be where another bend is: noise
    told too small, or a part of that bend."""
    for k in np.flatnonzero(is_zone(fit.shapes)):
        rest = solve(target, np.delete(fit.shapes, k, axis=0))
        if fit.bowed.size < 2 or rest.chi2 - fit.chi2 > WEAK_GAIN * max(scatter, 1.0) ** 2:
            continue
        covariance = station_covariance_in2(target, fit, scatter)
        own = np.repeat(np.arange(fit.bowed.size), 1 + fit.bowed) == k
        spread = bend_spread(
            target, fit, int(k), covariance[np.ix_(own, own)], scatter, past_others=True
        )
        middle, half = middle_interval(*spread)
        if np.any(np.abs(rest.shapes.mean(axis=1) - middle) < half):
            return _without_weak(target, refine(target, rest), scatter)
    return fit


def _settle(target: Target, fit: Fit, scatter: float) -> tuple[Fit, list[float]]:
    """Half width of each corner's interval; open corners moved to the middle of theirs."""
    covariance = station_covariance_in2(target, fit, scatter)
    owner = np.repeat(np.arange(fit.bowed.size), 1 + fit.bowed)
    local = is_zone(fit.shapes)
    centred, widths = fit, []
    for k in range(fit.bowed.size):
        own = covariance[np.ix_(owner == k, owner == k)]
        if not local[k]:
            widths.append(float(1.96 * np.sqrt(np.diag(own).max())))
            continue
        centre = float(fit.shapes[k].mean())
        places, before = bend_spread(target, fit, k, own, scatter)
        length = float(np.ptp(fit.shapes[k]))
        width = float(np.hypot(half_width_in(places, before, centre), UNEVEN_SHARE * length))
        if 2 * width > OPEN_SHARE * _gap(target, centre):
            middle, half = middle_interval(places, before)
            trial = solve(target, _moved(centred.shapes, k, middle - centre))
            alone = not _crowded(target, trial, k) or _crowded(target, centred, k)
            if alone and trial.off - centred.off <= MOST_WORSE * max(scatter, 1.0) ** 2:
                centred, width = trial, half
        widths.append(width)
    return centred, widths


def _moved(shapes: Array, k: int, by_in: float) -> Array:
    moved = shapes.copy()
    moved[k] += by_in
    return moved


def _crowded(target: Target, fit: Fit, k: int) -> bool:
    """Whether the gap of corner k holds another one."""
    gap = np.searchsorted(target.knots_in, fit.shapes.mean(axis=1), side="right")
    return int((gap == gap[k]).sum()) > 1


def _gap(target: Target, x_in: float) -> float:
    """Width of the gap between stations or rollers that x lies in."""
    x = target.knots_in
    after = int(np.clip(np.searchsorted(x, x_in), 1, x.size - 1))
    return float(x[after] - x[after - 1])


def _knot(target: Target, x_in: float, side: int) -> float:
    """The station or roller next to x on one side (-1 or 1)."""
    x = target.knots_in
    found = x[x <= x_in][-1:] if side < 0 else x[x >= x_in][:1]
    return float(found[0]) if found.size else x_in


def _single(
    target: Target, fit: Fit, k: int, width_in: float, sharpen_at_in: float | None
) -> Region:
    begin, end = (float(v) for v in fit.shapes[k])
    kappa = fit.kappa_rad[k]
    middle = (begin + end) / 2
    if not is_zone(fit.shapes)[k]:
        return Region(begin, end, middle, kappa, "bow", (k,), sharpen_at_in)
    is_open = 2 * width_in > OPEN_SHARE * _gap(target, middle)
    kind: Literal["sharp", "region"] = "region" if is_open else "sharp"
    low = max(middle - width_in, float(target.knots_in[0]))
    high = min(middle + width_in, float(target.knots_in[-1]))
    return Region(low, high, middle, kappa, kind, (k,), sharpen_at_in, end - begin)


def _joined(target: Target, fit: Fit, scatter: float, left: Region, right: Region) -> Region | None:
    """One region made of two neighbours, or None when they stay separate."""
    if "bow" in (left.kind, right.kind):
        return _joined_bow(target, left, right)
    knots = target.knots_in
    shapes = left.shapes + right.shapes
    begin, end = min(left.from_in, right.from_in), max(left.to_in, right.to_in)
    if not np.any((knots > left.station_in) & (knots < right.station_in)):
        begin, end = _knot(target, left.station_in, -1), _knot(target, right.station_in, 1)
    elif (gap := _common_gap(target, fit, scatter, left, right)) is not None:
        begin, end = gap
    elif not _too_close(target, left, right):
        return None
    kappa = left.kappa_rad + right.kappa_rad
    size = float(kappa @ kappa)
    moment = left.station_in * left.kappa_rad + right.station_in * right.kappa_rad
    crossing = float(moment @ kappa) / size if size > 0 else (begin + end) / 2
    station = float(np.clip(crossing, begin, end))
    to_add = _nearest_clear(target, (begin + end) / 2)
    return Region(begin, end, station, kappa, "region", shapes, to_add)


def _common_gap(
    target: Target, fit: Fit, scatter: float, left: Region, right: Region
) -> tuple[float, float] | None:
    """The gap in which two corners would explain the stations as well as where they are."""
    if "region" not in (left.kind, right.kind):
        return None
    both = list(left.shapes + right.shapes)
    knots, x = target.knots_in, [left.station_in, right.station_in]
    after = {*np.searchsorted(knots, x).tolist(), *np.searchsorted(knots, x, "right").tolist()}
    for k in sorted(after - {0, knots.size}):
        begin, end = float(knots[k - 1]), float(knots[k])
        inside = begin + (end - begin) * np.arange(1, len(both) + 1) / (len(both) + 1)
        trial = fit.shapes.copy()
        trial[both] = inside[:, None]
        if solve(target, trial).off - fit.off <= TOGETHER_WORSE * max(scatter, 1.0) ** 2:
            return begin, end
    return None


def _too_close(target: Target, left: Region, right: Region) -> bool:
    """Whether two corners with a station between them are too uncertain to stay two bends."""
    if left.kind == right.kind == "region" or float(left.kappa_rad @ right.kappa_rad) < 0:
        return False
    distance = right.station_in - left.station_in
    if distance >= _gap(target, left.station_in):
        return False
    return distance < RESOLVED_INTERVALS * (left.u95_in + right.u95_in)


def _joined_bow(target: Target, left: Region, right: Region) -> Region | None:
    size = [float(np.hypot(*r.kappa_rad)) for r in (left, right)]
    cosine = float(left.kappa_rad @ right.kappa_rad) / max(size[0] * size[1], 1e-30)
    touching = right.from_in - left.to_in < BOW_GAPS * _gap(target, right.from_in)
    bow, other = (left, right) if left.kind == "bow" else (right, left)
    beside = float(np.hypot(*other.kappa_rad)) < SMALL_BESIDE_BOW * float(np.hypot(*bow.kappa_rad))
    inside = bow.from_in <= other.station_in <= bow.to_in
    same = left.kind == right.kind == "bow" and cosine > 0 and touching
    if not (same or (beside and (inside or (touching and cosine > 0)))):
        return None
    begin, end = min(left.from_in, right.from_in), max(left.to_in, right.to_in)
    kappa = left.kappa_rad + right.kappa_rad
    return replace(bow, from_in=begin, to_in=end, station_in=(begin + end) / 2, kappa_rad=kappa)


def _nearest_clear(target: Target, x_in: float) -> float | None:
    """The middle of a region, when it is not a station already."""
    return x_in if float(np.min(np.abs(target.x_in - x_in))) >= 0.5 else None
