"""Shafts with random bends, for the programs that measure and the property tests."""

from __future__ import annotations

import numpy as np

from core.demo.simulate import Ovality, TrueBend, TrueShaft, Vector


def random_shaft(
    rng: np.random.Generator,
    n_bends: int,
    *,
    length_in: float = 120.0,
    rollers_in: Vector = (12.0, 108.0),
    apart_in: float = 12.0,
    angle_rad: Vector = (0.002, 0.010),
    ovality_in: float = 0.0001,
) -> TrueShaft:
    """A shaft with sharp bends between the rollers, at least `apart_in` from each other."""
    lo, hi = rollers_in[0] + apart_in / 2, rollers_in[1] - apart_in / 2
    room = (hi - lo) - (n_bends - 1) * apart_in
    places = lo + np.sort(rng.uniform(0, room, n_bends)) + apart_in * np.arange(n_bends)
    size = rng.uniform(*angle_rad, n_bends)
    clock = rng.uniform(0, 2 * np.pi, n_bends)
    bends = tuple(
        TrueBend(float(s), (float(k * np.cos(c)), float(k * np.sin(c))))
        for s, k, c in zip(places, size, clock, strict=True)
    )
    oval = Ovality(0.0, length_in, abs(float(rng.normal(0, ovality_in))), rng.uniform(0, np.pi))
    return TrueShaft(length_in=length_in, bends=bends, ovality=(oval,))
