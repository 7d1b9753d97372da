"""Shapes a centre line is built from: a sharp corner, or a bow spread over a length.

A unit corner at s lifts the line by max(x - s, 0); a unit bow from a to b spreads the same total
change of slope evenly over its length (a corner is a bow of no length)::

    corner      ______/          bow      ______.-'/
                     s                         a  b

Every shape is then referred to the rollers: the chord through its own values there is taken
off, so that it is zero at both rollers by definition, like the measured line.

Lengths inches; a shape is inches of lift per radian of bend. Source: common practice (truncated
lines, broken-line regression); the bow is the beam curve of an evenly spread curvature.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]


def lift(x_in: Array, from_in: Array, to_in: Array, rollers_in: Array) -> Array:
    """Lift of unit shapes at stations, referred to the rollers.

    Parameters
    ----------
    x_in : (n,) stations, inches
    from_in, to_in : (m,) where each shape begins and ends; equal for a sharp corner
    rollers_in : (2,) stations of the rollers

    Returns
    -------
    (n, m) inches per radian
    """
    place = np.concatenate([x_in, rollers_in])
    return np.asarray(referring(x_in, rollers_in) @ plain_lift(place, from_in, to_in))


def referring(x_in: Array, rollers_in: Array) -> Array:
    """Matrix (n, n + 2) that takes the chord through the last two values off the others."""
    share = (x_in - rollers_in[0]) / (rollers_in[1] - rollers_in[0])
    return np.hstack([np.eye(x_in.size), (share - 1)[:, None], -share[:, None]])


def plain_lift(place_in: Array, from_in: Array, to_in: Array) -> Array:
    """Lift of unit shapes (n, m) that leaves the shaft before each shape where it is."""
    after_begin = np.maximum(place_in[:, None] - from_in, 0.0)
    width = to_in - from_in
    if not width.any():
        return np.asarray(after_begin)
    after_end = np.maximum(place_in[:, None] - to_in, 0.0)
    safe = np.where(width > 0, width, 1.0)
    return np.where(width > 0, (after_begin**2 - after_end**2) / (2 * safe), after_begin)


def plain_slopes(place_in: Array, from_in: Array, to_in: Array) -> tuple[Array, Array]:
    """How `plain_lift` changes when the beginning and when the end of each shape moves.

    Two arrays (n, m). For a sharp corner both ends move together and the first array holds the
    whole change, the second zero.
    """
    by_begin = np.where(place_in[:, None] > from_in, -1.0, 0.0)
    width = to_in - from_in
    bowed = width > 0
    if not bowed.any():
        return by_begin, np.zeros_like(by_begin)
    safe = np.where(bowed, width, 1.0)
    raw = plain_lift(place_in, from_in, to_in)
    after_begin = np.maximum(place_in[:, None] - from_in, 0.0)
    after_end = np.maximum(place_in[:, None] - to_in, 0.0)
    by_begin = np.where(bowed, (raw - after_begin) / safe, by_begin)
    return by_begin, np.where(bowed, (after_end - raw) / safe, 0.0)
