"""Walks from the shell: `python -m tests.walks.run --seed 1 --walks 200 --acts 150 [--jobs 2]`."""

from __future__ import annotations

import argparse
import sys
import time
from concurrent.futures import ProcessPoolExecutor
from functools import partial

from tests.walks.walk import run


def main() -> int:
    """Run the walks, print what was found."""
    parser = argparse.ArgumentParser()
    parser.add_argument("--seed", type=int, default=1, help="seed of the first walk")
    parser.add_argument("--walks", type=int, default=20)
    parser.add_argument("--acts", type=int, default=150, help="acts of each walk")
    parser.add_argument("--jobs", type=int, default=1, help="walks at the same time")
    told = parser.parse_args()
    began = time.perf_counter()
    seeds = range(told.seed, told.seed + told.walks)
    bad = acts = 0
    with ProcessPoolExecutor(told.jobs) as pool:
        for result in pool.map(partial(run, acts=told.acts), seeds):
            acts += result.acts
            if result.clean:
                print(f"seed {result.seed}, {result.acts} acts: clean", flush=True)
            else:
                bad += 1
                print(result.report(), flush=True)
                print("=" * 80, flush=True)
    print(
        f"{told.walks} walks of {told.acts} acts from seed {told.seed}: {bad} with a fault, "
        f"{acts} acts done, {time.perf_counter() - began:.0f} s"
    )
    return 1 if bad else 0


if __name__ == "__main__":
    sys.exit(main())
