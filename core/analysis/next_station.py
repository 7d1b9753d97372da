"""Which station to read next, and whether enough is read.

The stations already read are fitted again and again, each time with the noise redrawn and one of
them left out. Where these lines differ most, as a share of the limit there, the next reading tells
most; where they agree everywhere, the rest of the list would say what is known already. Before
that the ends are read and no gap is left wide: no fit can speak for a length nobody looked at.

Source: query by an ensemble (Seung, Opper and Sompolinsky 1992, from memory); its spread and
where it stops are set by tests/bench/world. Not modelled: a jog or a short bend and its mend
between two stations, which no fit of the others can know of.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from core.analysis.area_verdicts import NEAR_IN, REACH_IN, limits_at
from core.base.errors import BadShaft
from core.base.limits import DEFAULT_LIMIT_IN
from core.base.units import format_dial, format_length
from core.bends.fit import Target, solve
from core.bends.search import best_line
from core.bends.shapes import lift
from core.bends.zones import spread_out
from core.runout.line import Array, ShaftLine
from core.runout.stations import END_IN
from core.runout.verdict import Area

WIDEST_GAP_IN = 20.0
"""A bent shaft is read at least this closely; one within its limits so closely that every length
of it gets a verdict."""
LEAST_AWAY_IN = 2.5
"""A place closer to a station read or a roller tells little more."""
FITS = 6
AGREE = 0.3
"""The fits agree when their lines differ by less than this share of the limit (standard
deviation of the eccentricity over half the limit)."""


@dataclass(frozen=True)
class NextStation:
    """Where to read next."""

    station_in: float | None
    """Inches; None = enough is read."""
    why: str
    """In a plain sentence."""


def next_station(
    line: ShaftLine,
    *,
    length_in: float,
    areas: Sequence[Area] = (),
    limit_in: float = DEFAULT_LIMIT_IN,
    among_in: Sequence[float] | None = None,
) -> NextStation:
    """The station whose reading would tell most of a shaft half read.

    Parameters
    ----------
    line : of the stations read so far, seen from the rollers.
    length_in : of the shaft.
    areas : riding areas with their limits; `limit_in` for the rest, inches.
    among_in : the places that may be read, inches; None = every inch of the shaft.

    Raises
    ------
    BadShaft : a length that is no length.
    """
    if not (math.isfinite(length_in) and length_in > 2 * END_IN):
        raise BadShaft("Give the length of the shaft first: the stations lie along it.")
    places = _places(line, length_in, among_in)
    if not places.size:
        return NextStation(None, "Every station is read.")
    within = bool((line.bend_tir_in < limits_at(line.station_in, areas, limit_in)).all())
    unread = _unread(line, places, areas, 2 * REACH_IN if within else WIDEST_GAP_IN)
    if unread is not None:
        return unread
    limits = limits_at(places, areas, limit_in)
    spread = _spread(line, places)
    share = spread / (limits / 2)
    most = int(share.argmax())
    if share[most] < AGREE:
        return NextStation(None, "The stations read agree on the whole shaft: it is enough.")
    where = format_length(float(places[most]), 1)
    return NextStation(
        float(places[most]),
        f"At {where} the stations read leave the line open by {format_dial(2 * spread[most])} TIR.",
    )


def _places(line: ShaftLine, length_in: float, among_in: Sequence[float] | None) -> Array:
    """Where a reading can be taken and is not taken yet (c,), rising."""
    if among_in is None:
        known = np.concatenate([line.station_in, line.rollers_in])
        every = np.append(np.arange(END_IN, length_in - END_IN, 1.0), length_in - END_IN)
        away = np.abs(every[:, None] - known).min(axis=1)
        return np.asarray(every[away >= LEAST_AWAY_IN])
    listed = np.unique(np.asarray(among_in, dtype=float))
    away = np.abs(listed[:, None] - line.station_in).min(axis=1)
    return np.asarray(listed[away >= NEAR_IN])


def _unread(
    line: ShaftLine, places: Array, areas: Sequence[Area], widest_in: float
) -> NextStation | None:
    """An end, a wide gap or a riding area that nobody has read."""
    first, last = float(line.station_in[0]), float(line.station_in[-1])
    if places[0] < first:
        return NextStation(float(places[0]), "The end of the shaft was not read.")
    known = np.append(line.station_in, max(last, float(places[-1])))
    for low, high in pairwise(known.tolist()):
        inside = places[(places > low) & (places <= high)]
        if high - low <= widest_in or not inside.size:
            continue
        near = inside[inside <= low + widest_in]
        place = float(near[-1] if near.size else inside[0])
        return NextStation(
            place, f"Nothing was read between {format_length(low, 1)} and {format_length(high, 1)}."
        )
    if places[-1] > last:
        return NextStation(float(places[-1]), "The end of the shaft was not read.")
    for area in areas:
        start, stop = sorted((area.from_in, area.to_in))
        read = (line.station_in >= start - NEAR_IN) & (line.station_in <= stop + NEAR_IN)
        inside = places[(places >= start) & (places <= stop)]
        if not read.any() and inside.size:
            middle = float(inside[np.abs(inside - (start + stop) / 2).argmin()])
            return NextStation(middle, f"Nothing was read in {area.name}.")
    return None


def _spread(line: ShaftLine, places: Array) -> Array:
    """How much the fits differ at places (c,): standard deviation of the eccentricity, inches."""
    rng = np.random.default_rng([2026, line.station_in.size])
    covariance = line.covariance_in2
    root = np.linalg.cholesky(covariance + 1e-14 * np.eye(2))
    inner = rng.permutation(np.arange(1, line.station_in.size - 1))
    drawn = []
    for k in range(FITS):
        noise = (root @ rng.standard_normal((line.station_in.size, 2, 1)))[..., 0]
        kept = np.arange(line.station_in.size)
        if inner.size:
            kept = np.delete(kept, inner[k % inner.size])
        again = ShaftLine(
            line.station_in[kept],
            (line.ecc_in + noise)[kept],
            line.sigma_in[kept],
            line.rollers_in,
            cov_in2=covariance[kept],
            roller_sigma_in=line.roller_sigma_in,
        )
        target = Target.of(again)
        fit = best_line(target)
        fit = spread_out(target, solve(target, fit.shapes[np.argsort(fit.shapes.mean(axis=1))]))
        shape = lift(places, fit.shapes[:, 0], fit.shapes[:, 1], line.rollers_in)
        drawn.append(shape @ fit.kappa_rad)
    lines = np.array(drawn)
    off = lines - lines.mean(axis=0)
    return np.asarray(np.sqrt((off**2).sum(axis=2).sum(axis=0) / (FITS - 1) / 2))
