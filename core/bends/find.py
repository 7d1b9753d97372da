"""Bends of a shaft line: how many, where, how large, how well known.

A bend is a change of slope of the centre line, kappa (radians, a vector towards clock 0 and 90),
at one station. The high side is the direction of -kappa: there the shaft bulges, there the
ram goes::

    high side      .-^-.         kappa turns the line towards the axis again
              __.-'  s  '-.__

The line is zero at the rollers by definition, so the rollers count as two exact stations. A line
that was referred to other supports is taken back to its rollers first: where a shaft is
bent does not depend on what it is looked at from.

Not modelled: bends beyond the first and last station (no reading sees them).
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import atan2, hypot, pi
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike, NDArray

from core.base.errors import BadReadings, BadShaft
from core.base.units import format_length
from core.bends.fit import Target, solve
from core.bends.outliers import line_without_outliers, without_lone_corners
from core.bends.regions import Region, regions
from core.bends.rollers import RollerPlace, roller_part_in, roller_places
from core.bends.search import scatter_ratio
from core.bends.shapes import lift
from core.bends.zones import spread_out
from core.runout.line import SAME_PLACE_IN, ShaftLine
from core.runout.stations import NARROWEST_SHARE

Array = NDArray[np.float64]

NOISY = 1.6
"""Scatter ratio from which the readings are reported as faulty."""
AS_SHARP_IN = 3.0
"""A bend spread over less than this is as good as sharp; a longer one gets a word."""
OPEN_IN = 0.5
"""A bend known less well than this gets a word on how to know it better."""
FEWEST_TO_FIT = 5
"""With fewer stations than this no station can be distinguished from the fitted bends."""
OFF_SIGMAS = 3.25
"""A station this many standard deviations off the fitted bends is no noise (1 in 200)."""
FAR_OFF_SIGMAS = 5.0
"""From here on one that is off alone is reported: on sound shafts under 1 sweep in 200."""
MEDIAN_OFF = 1.4
"""Median distance above this says the stated noise is too small; noise alone gives 1.18."""
MOST_UNDERSTATED = 3.0
"""Noise is never taken for more than this many times the stated one: beyond, the fit is wrong."""
SAME_AGAIN = (
    "read it again. If it reads the same, read a station close by on each side: a section off "
    "centre stays alone and needs no hit, a short kink shows there too."
)


class Kink:
    """What has a change of slope: a bend, or the hit that is to take it out."""

    kappa_rad: Array
    """Change of slope (2,): towards clock 0, towards clock 90."""

    @property
    def angle_rad(self) -> float:
        """Size of it, radians."""
        return hypot(float(self.kappa_rad[0]), float(self.kappa_rad[1]))

    @property
    def high_side_rad(self) -> float:
        """Clock of the high side, where the ram goes, radians 0 to 2 pi."""
        return atan2(-float(self.kappa_rad[1]), -float(self.kappa_rad[0])) % (2 * pi)


@dataclass(frozen=True, eq=False)
class Bend(Kink):
    """One bend, inches and radians."""

    station_in: float
    station_u95_in: float
    """Half width of the 95 % interval of the station; of a region or bow half its length."""
    kappa_rad: Array
    """Change of slope (2,): towards clock 0, towards clock 90."""
    resolved: bool
    """False = somewhere in the interval, perhaps more than one corner, or a bow."""
    from_in: float
    to_in: float
    """Where the interval, region or bow begins and ends."""
    kind: Literal["sharp", "region", "bow"] = "sharp"
    sharpen_at_in: float | None = None
    """Station to add that would sharpen this bend most; None = little to gain."""
    spread_in: float = 0.0
    """Length over which a bend at one place is spread; 0 = sharp, as far as the readings show."""


@dataclass(frozen=True, eq=False)
class BendReport:
    """All bends of a line and how well the broken line explains it."""

    bends: tuple[Bend, ...]
    """Rising along the shaft."""
    shapes_in: Array
    """(m, 2) corners and bows of the fitted line as from and to (equal for a corner)."""
    shape_kappa_rad: Array
    """(m, 2) their bend vectors."""
    rollers_in: Array
    fitted: ShaftLine
    """The broken line at the measured stations, from the rollers of the sweep, with what rollers
    off their stated places add to it: what the readings should be."""
    bent: ShaftLine
    """The bends alone, seen from rollers at their stated places: what hits are to take out."""
    scatter_ratio: float
    """Scatter about the broken line against the stated uncertainty; about 1 when all is well."""
    sharpen_at_in: float | None
    """Station to add that would help the least known bend most; None = little to gain."""
    outlier_stations_in: tuple[float, ...] = ()
    """Stations set aside: off the line of their neighbours (`core.bends.outliers`)."""
    rollers: tuple[RollerPlace, ...] = ()
    """Where the readings put both rollers."""
    lone_stations_in: tuple[float, ...] = ()
    """Stations in the fit that stand plainly off it while their neighbours lie on it."""

    @property
    def bow(self) -> Bend | None:
        """The largest bow, if there is one."""
        bows = [bend for bend in self.bends if bend.kind == "bow"]
        return max(bows, key=lambda bend: bend.angle_rad) if bows else None

    @property
    def notes(self) -> tuple[str, ...]:
        """What the person should know of these bends, in plain sentences."""
        found = [
            f"Station {format_length(x, 1)} lies off the line of its neighbours as no bend would "
            f"put it. The {who} it out; {SAME_AGAIN}"
            for who, stations in (
                ("bends leave", self.outlier_stations_in),
                ("hits leave", self.lone_stations_in),
            )
            for x in stations
        ]
        if self.scatter_ratio >= NOISY:
            cause = "The bow is not an even one."
            if self.bow is None:
                cause = "Look for slips, dirt or rust on a roller seat, or a shaft that slid."
            found.append(
                f"The readings lie {self.scatter_ratio:.1f} times as far off the fitted bends as "
                f"the dial explains. {cause}"
            )
        found += [_beyond_note(bend, self.fitted) for bend in self.beyond_stations]
        found += [roller.words for roller in self.rollers if roller.words]
        return (*found, *(words for bend in self.bends if (words := _words(bend))))

    @property
    def beyond_stations(self) -> tuple[Bend, ...]:
        """Bends between a roller and the stations: a roller stated wrong looks the same."""
        first, last = self.fitted.station_in[[0, -1]]
        return tuple(b for b in self.bends if not first <= b.station_in <= last)

    def ecc_at(self, x_in: ArrayLike, supports_in: tuple[float, float] | None = None) -> Array:
        """The broken line at any stations (n,), seen from the rollers or other supports: (n, 2)."""
        supports = self.rollers_in if supports_in is None else np.asarray(supports_in, dtype=float)
        x = np.atleast_1d(np.asarray(x_in, dtype=float))
        raised = lift(x, self.shapes_in[:, 0], self.shapes_in[:, 1], supports)
        return np.asarray(raised @ self.shape_kappa_rad)


def find_bends(line: ShaftLine) -> BendReport:
    """Fit a broken line with few corners, or a bow, to a shaft line.

    Number, stations and vectors by penalised likelihood with the line's own uncertainty
    (`core.bends.search`); intervals by profile likelihood
    (`core.bends.intervals`). A single station shows no bend; two or three stations show
    at most a region.

    Parameters
    ----------
    line : stations rising, inches; any number from one up

    Raises
    ------
    BadReadings : a value that is not a number.
    BadShaft : rollers so close together, or so far off the shaft, that no line can be drawn.

    Source: common practice; the price of a corner is ours, set by simulation.
    """
    base = line.measured or line
    if not (np.isfinite(base.ecc_in).all() and np.isfinite(base.sigma_in).all()):
        raise BadReadings("A station of the line is not a number. Read that station again.")
    _check_rollers(base)
    target, fit, odd = line_without_outliers(Target.of(base))
    fit = spread_out(target, solve(target, fit.shapes[np.argsort(fit.shapes.mean(axis=1))]))
    scatter = scatter_ratio(target, fit)
    fit = without_lone_corners(target, fit)
    fit, found = regions(target, fit, scatter)
    shape = lift(base.station_in, fit.shapes[:, 0], fit.shapes[:, 1], target.rollers_in)
    bent = ShaftLine(base.station_in, shape @ fit.kappa_rad, base.sigma_in, base.rollers_in)
    fitted = replace(bent, ecc_in=bent.ecc_in + roller_part_in(base, fit))
    bends = tuple(_bend(region) for region in found)
    helped = [bend for bend in bends if bend.sharpen_at_in is not None]
    worst = max(helped, key=lambda bend: bend.station_u95_in, default=None)
    return BendReport(
        bends=bends,
        shapes_in=fit.shapes,
        shape_kappa_rad=fit.kappa_rad,
        rollers_in=target.rollers_in,
        fitted=fitted,
        bent=bent,
        rollers=roller_places(base, fit, scatter, [b.station_in for b in bends]),
        scatter_ratio=scatter,
        sharpen_at_in=worst.sharpen_at_in if worst else None,
        outlier_stations_in=odd,
        lone_stations_in=_lone_stations(base, fitted, odd),
    )


def _check_rollers(line: ShaftLine) -> None:
    """The rollers must carry the shaft: apart from each other, and on it.

    A roller stated wrong bends the line where no shaft is bent: it is zero there by definition.
    """
    first, last = float(line.station_in[0]), float(line.station_in[-1])
    low, high = sorted(line.rollers_in.tolist())
    if not (np.isfinite(low) and np.isfinite(high)):
        raise BadShaft("A roller is not a number. Measure where the rollers stand.")
    if high - low < (last - first) / NARROWEST_SHARE:
        raise BadShaft(
            f"The rollers are given {format_length(high - low, 1)} apart under readings over "
            f"{format_length(last - first, 1)}: no shaft lies on them so. Measure both rollers."
        )
    if low < min(0.0, first) - SAME_PLACE_IN:
        raise BadShaft(
            f"A roller at {format_length(low, 1)} lies before the end of the shaft. Measure it."
        )


def off_in_sigmas(line: ShaftLine, fitted: ShaftLine) -> Array:
    """How far each station lies off the fitted bends (n,), in standard deviations.

    Where all lie further off than the stated noise explains, in those of the noise there is, up to
    `MOST_UNDERSTATED`: a fit that misses the bends must not pass for noise.
    """
    off = np.hypot(*(line.ecc_in - fitted.ecc_in).T) / np.maximum(line.sigma_in, 1e-9)
    understated = float(np.clip(np.median(off) / MEDIAN_OFF, 1.0, MOST_UNDERSTATED))
    return np.asarray(off / understated)


def has_outlying_neighbour(off: Array) -> NDArray[np.bool_]:
    """Stations (n,) beside one that is off; the ends count: nothing lies beyond them.

    A bend moves its neighbours too; the end of a shaft can be bent without moving anything else.
    """
    far = off > OFF_SIGMAS
    beside = np.zeros_like(far)
    beside[1:] |= far[:-1]
    beside[:-1] |= far[1:]
    beside[[0, -1]] = True
    return beside


def _lone_stations(line: ShaftLine, fitted: ShaftLine, odd: tuple[float, ...]) -> tuple[float, ...]:
    if line.station_in.size < FEWEST_TO_FIT:
        return ()
    off = off_in_sigmas(line, fitted)
    lone = (off > FAR_OFF_SIGMAS) & ~has_outlying_neighbour(off) & ~np.isin(line.station_in, odd)
    return tuple(line.station_in[lone].tolist())


def _beyond_note(bend: Bend, line: ShaftLine) -> str:
    roller = float(line.rollers_in[np.argmin(np.abs(line.rollers_in - bend.station_in))])
    return (
        f"The bend at {format_length(bend.station_in, 1)} lies beyond the stations read, towards "
        f"the roller at {format_length(roller, 1)}. A roller stated wrong looks the same: measure "
        "it, and read a station there before any hit."
    )


def _words(bend: Bend) -> str:
    """A sentence on a bend that is not plainly at one place; empty when it is."""
    place, begin, end = (format_length(x, 1) for x in (bend.station_in, bend.from_in, bend.to_in))
    more = ""
    if bend.sharpen_at_in is not None:
        more = f" A station at {format_length(bend.sharpen_at_in, 1)} would tell more."
    if bend.kind == "bow":
        return f"The shaft is bowed from {begin} to {end} rather than bent at one place."
    if bend.kind == "region":
        return (
            f"The bend near {place} lies somewhere from {begin} to {end}, and may be more than "
            f"one.{more}"
        )
    if bend.station_u95_in > OPEN_IN:
        return (
            f"The bend at {place} is known to {format_length(bend.station_u95_in, 1)} only.{more}"
        )
    if bend.spread_in > AS_SHARP_IN:
        length = format_length(round(bend.spread_in), 0)
        return f"The bend at {place} is not a sharp one: it is spread over about {length}."
    return ""


def _bend(region: Region) -> Bend:
    return Bend(
        station_in=region.station_in,
        station_u95_in=region.u95_in,
        kappa_rad=region.kappa_rad,
        resolved=region.kind == "sharp",
        from_in=region.from_in,
        to_in=region.to_in,
        kind=region.kind,
        sharpen_at_in=region.sharpen_at_in,
        spread_in=region.spread_in,
    )
