"""Is the forecast right? Forecast each shaft from its first sweep, then straighten it for real.

Run: python -m tests.bench.forecast_check [shafts]

Prints how many shafts took no more hits and hours than the forecast's median (about half) and its
nine-in-ten figure (about nine tenths), and what one forecast costs.
"""

from __future__ import annotations

import sys
import time

import numpy as np

from core.runout.line import ShaftLine
from core.straightening.forecast import Forecast, forecast
from tests.bench.closed_loop import SCENARIOS
from tests.support.fitted import straighten
from tests.support.simulated_bench import MINUTES_A_STATION, Bench

Row = tuple[Forecast, int, float]


def one(index: int) -> tuple[Row, float]:
    """Forecast, hits and hours really taken (after the first sweep), seconds of the forecast."""
    scenario = SCENARIOS["main"]
    shaft = scenario.make(np.random.default_rng([3, index]), index)
    bench = Bench(shaft, scenario.setup, np.random.default_rng([4, index]))
    line: ShaftLine = bench.sweep()
    started = time.perf_counter()
    told = forecast(line)
    took = time.perf_counter() - started
    straighten(bench)
    # the bench swept twice as received: once for the forecast, once for the way of working
    minutes = bench.minutes - 2 * MINUTES_A_STATION * line.station_in.size
    return (told, bench.hits, minutes / 60), took


def main(arguments: list[str]) -> None:
    """Print the figures."""
    shafts = int(arguments[0]) if arguments else 120
    rows, seconds = zip(*(one(index) for index in range(shafts)), strict=True)
    print(f"{shafts} shafts")
    for name, real in (("hits", 1), ("hours", 2)):
        half = np.mean([row[real] <= getattr(row[0], f"{name}_median") for row in rows])
        most = np.mean([row[real] <= getattr(row[0], f"{name}_90") for row in rows])
        print(f"  {name}: within the median {half:.0%}, within nine in ten {most:.0%}")
    print(f"  one forecast: median {np.median(seconds):.2f} s, worst {max(seconds):.2f} s")


if __name__ == "__main__":
    main(sys.argv[1:])
