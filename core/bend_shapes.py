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
    place = np.concatenate([x_in, rollers_in])[:, None]
    return _refer(_raw_lift(place, from_in[None, :], to_in[None, :]), x_in, rollers_in)


def lift_slopes(
    x_in: Array, from_in: Array, to_in: Array, rollers_in: Array
) -> tuple[Array, Array]:
    """How the lift changes when the beginning and when the end of each shape moves.

    Same shapes as `lift`, two arrays (n, m). For a sharp corner both ends move together and
    the first array holds the whole change, the second zero.
    """
    place = np.concatenate([x_in, rollers_in])[:, None]
    begin, end = from_in[None, :], to_in[None, :]
    width = end - begin
    bowed = width > 0
    safe = np.where(bowed, width, 1.0)
    if not bowed.any():
        by_begin = _refer(-(place > begin).astype(float), x_in, rollers_in)
        return by_begin, np.zeros_like(by_begin)
    raw = _raw_lift(place, begin, end)
    after_begin = np.maximum(place - begin, 0.0)
    after_end = np.maximum(place - end, 0.0)
    by_begin = np.where(bowed, (raw - after_begin) / safe, -(place > begin).astype(float))
    by_end = np.where(bowed, (after_end - raw) / safe, 0.0)
    return _refer(by_begin, x_in, rollers_in), _refer(by_end, x_in, rollers_in)


def _raw_lift(place: Array, begin: Array, end: Array) -> Array:
    width = end - begin
    after_begin = np.maximum(place - begin, 0.0)
    if not width.any():
        return np.asarray(after_begin)
    after_end = np.maximum(place - end, 0.0)
    safe = np.where(width > 0, width, 1.0)
    return np.where(width > 0, (after_begin**2 - after_end**2) / (2 * safe), after_begin)


def _refer(values: Array, x_in: Array, rollers_in: Array) -> Array:
    """Take off the chord through the last two rows (the rollers)."""
    n = x_in.size
    share = ((x_in - rollers_in[0]) / (rollers_in[1] - rollers_in[0]))[:, None]
    chord = (1 - share) * values[n] + share * values[n + 1]
    return np.asarray(values[:n] - chord)
