"""Time of a whole analysis: 20 stations, 8 marks, with bends, verdicts and next hits.

    python -m tests.bench.analysis_speed --n 60 --seed 1

Target: under 50 ms. Equal parts of shafts with 1, 2 and 3 bends and with a bow; every sweep is new
to the program. Two clocks: the wall, and the processor's time of this process (what a quiet
machine would show when others are busy here). Parts are timed by themselves.
"""

from __future__ import annotations

import argparse
import time
from collections.abc import Callable

import numpy as np

from core.analysis.sweep import analyse
from core.bends.find import find_bends
from core.demo.simulate import TrueBow, TrueShaft, read_sweep
from core.runout.readings import SweepReadings
from core.runout.sweep_fit import fit_sweep
from core.runout.verdict import Area
from core.straightening.plan import plan_round
from tests.support.random_shafts import random_shaft

ROLLERS = (12.0, 108.0)
AREAS = (
    Area("coupling", "coupling", 0.0, 6.0, 0.002),
    Area("bearing", "bearing", 60.0, 72.0, 0.002),
    Area("taper", "taper", 108.0, 120.0, 0.002),
)


def sweeps(n: int, seed: int) -> list[SweepReadings]:
    """Sweeps of 20 stations, every fourth of a bowed shaft."""
    rng = np.random.default_rng(seed)
    marks = np.arange(8) * np.pi / 4
    made = []
    for i in range(n):
        bow = TrueBow(30.0, 84.0, (0.004, 0.002))
        shaft = TrueShaft(120.0, bows=(bow,)) if i % 4 == 3 else random_shaft(rng, 1 + i % 4)
        made.append(read_sweep(shaft, ROLLERS, np.linspace(3.0, 117.0, 20), marks, rng=rng))
    return made


def times_ms(work: Callable[[], object], clock: Callable[[], float]) -> float:
    """Time of one call."""
    start = clock()
    work()
    return 1e3 * (clock() - start)


def main() -> None:
    """Print median, 95th percentile and worst of both clocks."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--n", type=int, default=60)
    parser.add_argument("--seed", type=int, default=1)
    args = parser.parse_args()
    first, *rest = sweeps(args.n + 1, args.seed)
    analyse(first, areas=AREAS)
    for name, clock in (("wall", time.perf_counter), ("processor", time.process_time)):
        taken = [times_ms(lambda s=s: analyse(s, areas=AREAS), clock) for s in rest]
        print(
            f"whole analysis, {name} time: median {np.median(taken):.1f} ms,"
            f" 95 % {np.quantile(taken, 0.95):.1f} ms, worst {max(taken):.1f} ms"
        )
    fits = [fit_sweep(s) for s in rest]
    reports = [find_bends(f.line) for f in fits]
    parts = {
        "fits and slips": [lambda s=s: fit_sweep(s) for s in rest],
        "bends": [lambda f=f: find_bends(f.line) for f in fits],
        "next hits": [
            lambda f=f, b=b: plan_round(f.line, bends=b) for f, b in zip(fits, reports, strict=True)
        ],
    }
    for name, calls in parts.items():
        taken = [times_ms(call, time.process_time) for call in calls]
        print(f"  {name}, processor time: median {np.median(taken):.1f}, worst {max(taken):.1f} ms")


if __name__ == "__main__":
    main()
