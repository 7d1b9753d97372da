"""Hold check: how often a shaft that held is called moved, and how often a move is found.

Run: python -m tests.bench.hold_check [--seed N] [--n CHECKS] [--rest]

Two sweeps of one simulated shaft (two bends, eight marks, half-thou dial, repeatability not told)
are compared. `--rest` compares the lines alone, as when the marks or rollers of the second sweep
differ. A moved shaft has taken another bend at mid span, which shows so many thou of TIR there.
"""

from __future__ import annotations

import argparse
from collections.abc import Callable
from dataclasses import replace

import numpy as np

from core.demo.simulate import Ovality, TrueBend, TrueShaft, read_sweep
from core.runout.hold_check import HoldCheck, compare_readings, compare_sweeps
from core.runout.readings import SweepReadings
from core.runout.sweep_fit import fit_sweep
from tests.support.random_shafts import random_shaft

LENGTH_IN = 120.0
ROLLERS_IN = (12.0, 108.0)
STATIONS_IN = tuple(float(x) for x in range(6, 120, 6))
MARKS_RAD = tuple(np.radians(np.arange(0, 360, 45)).tolist())
MOVES_THOU = (1, 2, 3)
CASES = ((0.15, 0.2), (0.15, 0.3), (0.4, 0.2), (0.4, 0.3))
"""Ovality and repeatability, thou."""
Compare = Callable[[SweepReadings, SweepReadings], HoldCheck]


def by_lines(before: SweepReadings, after: SweepReadings) -> HoldCheck:
    """The comparison that knows the two lines only."""
    return compare_sweeps(fit_sweep(before).line, fit_sweep(after).line)


def shaft_of(index: int, seed: int, ovality_in: float) -> TrueShaft:
    """A shaft with two bends and so much ovality."""
    rng = np.random.default_rng([seed, index])
    shaft = random_shaft(rng, 2, angle_rad=(0.0002, 0.001), rollers_in=ROLLERS_IN)
    return replace(shaft, ovality=(Ovality(0, LENGTH_IN, ovality_in, float(rng.uniform(0, 3))),))


def moved(shaft: TrueShaft, by_in: float) -> TrueShaft:
    """The same with another bend at mid span: its TIR there changes by up to `by_in`."""
    span = ROLLERS_IN[1] - ROLLERS_IN[0]
    bend = TrueBend(sum(ROLLERS_IN) / 2, (2 * by_in / span, 0.0))
    return replace(shaft, bends=(*shaft.bends, bend))


def swept(shaft: TrueShaft, repeatability_in: float, rng: np.random.Generator) -> SweepReadings:
    """Readings of it; their repeatability is not told."""
    found = read_sweep(
        shaft, ROLLERS_IN, STATIONS_IN, MARKS_RAD, repeatability_in=repeatability_in, rng=rng
    )
    return replace(found, repeatability_in=None)


def called_moved(
    n: int, seed: int, ovality_in: float, repeatability_in: float, by_in: float, compare: Compare
) -> float:
    """Share of checks that say moved."""
    count = 0
    for index in range(n):
        rng = np.random.default_rng([seed, index, 1])
        shaft = shaft_of(index, seed, ovality_in)
        before = swept(shaft, repeatability_in, rng)
        after = swept(moved(shaft, by_in) if by_in else shaft, repeatability_in, rng)
        count += compare(before, after).word == "moved"
    return count / n


def main() -> None:
    """Print the figures."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--n", type=int, default=300)
    parser.add_argument("--rest", action="store_true", help="compare the lines alone")
    options = parser.parse_args()
    compare: Compare = by_lines if options.rest else compare_readings
    print(f"{options.n} checks a figure, {len(STATIONS_IN)} stations; share called moved")
    print("ovality  repeatability   held" + "".join(f"   moved {m} thou" for m in MOVES_THOU))
    for oval, repeat in CASES:
        shares = [
            called_moved(options.n, options.seed, oval / 1000, repeat / 1000, m / 1000, compare)
            for m in (0, *MOVES_THOU)
        ]
        told = "".join(f"{share:15.1%}" for share in shares[1:])
        print(f"{oval:7g}  {repeat:13g} {shares[0]:6.1%}{told}", flush=True)


if __name__ == "__main__":
    main()
