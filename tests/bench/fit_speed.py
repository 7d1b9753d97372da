"""Time of one station's fit, search for slips included, and of a whole sweep.

Run: python -m tests.bench.fit_speed [--seed N] [--n REPEATS]

Median and least over repeated fits of fresh readings at 8, 12 and 16 marks. The matrices of a set
of marks are prepared once; the first fit of a sweep pays for that and is printed too.
"""

from __future__ import annotations

import argparse
import time
from statistics import median

import numpy as np

from core.demo.simulate import TrueBend, TrueShaft, read_sweep
from core.runout.harmonics import forget, harmonics
from core.runout.station_fit import fit_station
from core.runout.sweep_fit import fit_sweep
from tests.bench.slips import slipped
from tests.bench.tir_coverage import one_theta


def times_ms(
    marks: int, n: int, seed: int, *, known: bool, with_slip: bool = False
) -> tuple[float, float, float]:
    """First, median and least time of one station's fit, milliseconds."""
    rng = np.random.default_rng(seed)
    clock = np.linspace(0, 2 * np.pi, marks, endpoint=False)
    forget()
    taken = []
    for _ in range(n):
        reading = harmonics(clock) @ one_theta(float(10 ** rng.uniform(-3, -1)), False, rng)
        reading = np.round((reading + rng.normal(0, 0.0002, marks)) / 0.0005) * 0.0005
        if with_slip:
            reading = slipped(reading, int(rng.integers(marks)), "half range", rng)
        start = time.perf_counter()
        fit_station(
            clock, reading, resolution_in=0.0005, repeatability_in=0.0002 if known else None
        )
        taken.append((time.perf_counter() - start) * 1000)
    return taken[0], median(taken), min(taken)


def sweep_ms(n: int, seed: int) -> tuple[float, float]:
    """Median and least time of fitting a whole 20-station sweep, milliseconds."""
    rng = np.random.default_rng(seed)
    shaft = TrueShaft(120.0, bends=(TrueBend(40, (0.004, 0.0)), TrueBend(80, (0.001, -0.005))))
    marks = np.radians(np.arange(0, 360, 45))
    taken = []
    for _ in range(n):
        sweep = read_sweep(shaft, (20.0, 100.0), list(range(3, 120, 6)), marks, rng=rng)
        start = time.perf_counter()
        fit_sweep(sweep)
        taken.append((time.perf_counter() - start) * 1000)
    return median(taken), min(taken)


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--n", type=int, default=300)
    options = parser.parse_args()
    print("one station's fit, ms:            first  median   least")
    for marks in (8, 12, 16):
        for known in (True, False):
            for with_slip in (False, True):
                row = times_ms(marks, options.n, options.seed, known=known, with_slip=with_slip)
                name = f"{marks} marks, noise {'known' if known else 'estimated'}"
                name += ", one slip" if with_slip else ""
                print(f"  {name:34s}" + "".join(f"{t:8.3f}" for t in row))
    middle, least = sweep_ms(max(5, options.n // 10), options.seed)
    print(f"20 stations of 8 marks: median {middle:.1f} ms, least {least:.1f} ms")


if __name__ == "__main__":
    main()
