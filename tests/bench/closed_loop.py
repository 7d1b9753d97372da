"""The closed loop of straightening, against chasing the highest reading.

Run: python -m tests.bench.closed_loop [shafts] [scenario ...]

Prints for each scenario the hits and bench minutes of both ways summed over all shafts, shafts
not finished, and how true they ended. A hit costs 6 minutes, a station read 1.5; every sweep is
counted, the last one too. 'Truly over' and 'worst TIR' are judged at the stations of the sweep. A
hit a quarter inch off a 10 mrad bend leaves a step of 2.5 thou within that quarter inch which no
station sees and no further hit can mend; 'between stations' shows it. Target of the main
scenario: hits under 35 %, minutes under 20 %, no failure in 500.
"""

from __future__ import annotations

import sys
from collections.abc import Callable
from dataclasses import dataclass, field

import numpy as np

from core.demo.simulate import Ovality, TrueBow, TrueShaft
from tests.support.chasing import chase
from tests.support.fitted import straighten
from tests.support.random_shafts import random_shaft
from tests.support.simulated_bench import Bench, Setup

Maker = Callable[[np.random.Generator, int], TrueShaft]


@dataclass(frozen=True)
class Scenario:
    """One kind of shop and shaft."""

    title: str
    make: Maker
    setup: Setup = field(default_factory=Setup)


@dataclass(frozen=True)
class Outcome:
    """One shaft worked one way."""

    hits: int
    minutes: float
    finished: bool
    worst_in: float
    """Worst true TIR at the stations."""
    between_in: float
    """Worst true TIR anywhere, between the stations too."""


def sharp(rng: np.random.Generator, index: int) -> TrueShaft:
    """One, two or three sharp bends in turn."""
    return random_shaft(rng, 1 + index % 3)


def bowed(rng: np.random.Generator, index: int) -> TrueShaft:
    """A gentle bow over 24 to 48 in, 3 to 8 mrad in all, and a sharp bend on every other shaft."""
    width = rng.uniform(24, 48)
    start = rng.uniform(18, 102 - width)
    size, clock = rng.uniform(0.003, 0.008), rng.uniform(0, 2 * np.pi)
    bow = TrueBow(start, start + width, (size * np.cos(clock), size * np.sin(clock)))
    bends = random_shaft(rng, 1).bends if index % 2 else ()
    return TrueShaft(120.0, bends=bends, bows=(bow,))


def oval_rollers(rng: np.random.Generator, index: int) -> TrueShaft:
    """As `sharp`, out of round by half a thou, and lifted twice a turn by the rollers."""
    shaft = random_shaft(rng, 1 + index % 3)
    clock = rng.uniform(0, np.pi, 3)
    oval = Ovality(0.0, 120.0, 0.0005, float(clock[0]))
    lift = tuple(rng.uniform(0.0003, 0.001, 2).tolist())
    return TrueShaft(
        120.0,
        bends=shaft.bends,
        ovality=(oval,),
        roller_lift_in=(lift[0], lift[1]),
        roller_lift_clock_rad=(float(clock[1]), float(clock[2])),
    )


SCENARIOS = {
    "main": Scenario("thirds of 1, 2, 3 sharp bends, 20 % scatter, 5 deg, 0.25 in", sharp),
    "weak": Scenario("press gives 30 % too little", sharp, Setup(response=0.7)),
    "oval": Scenario("rollers and shaft out of round", oval_rollers),
    "coarse": Scenario("stations every 12 in", sharp, Setup(every_in=12.0)),
    "bow": Scenario("a bow, every other shaft with a sharp bend too", bowed),
    "dial": Scenario(
        "dial of 0.001 in, repeats to 0.0005",
        sharp,
        Setup(resolution_in=1e-3, repeatability_in=5e-4),
    ),
}


def work(bench: Bench, way: Callable[[Bench], bool]) -> Outcome:
    """Work one shaft and say how it went."""
    finished = way(bench)
    between = bench.shaft.worst_tir_in(bench.setup.rollers_in)
    return Outcome(bench.hits, bench.minutes, finished, bench.true_worst_in, between)


def run(scenario: Scenario, shafts: int, way: Callable[[Bench], bool]) -> list[Outcome]:
    """Work many shafts one way; the shafts are the same for every way."""
    told = []
    for index in range(shafts):
        shaft = scenario.make(np.random.default_rng([1, index]), index)
        told.append(work(Bench(shaft, scenario.setup, np.random.default_rng([2, index])), way))
    return told


def describe(name: str, told: list[Outcome], limit_in: float) -> str:
    """One line of figures for one way of working."""
    worst = np.array([o.worst_in for o in told])
    failed = sum(not o.finished for o in told)
    over, far = int((worst > limit_in).sum()), int((worst > 1.15 * limit_in).sum())
    return (
        f"  {name:26s} hits {sum(o.hits for o in told):6d}  minutes "
        f"{sum(o.minutes for o in told):9.0f}  not finished {failed:3d}  truly over {over:3d} "
        f"(by 15 %: {far:2d})  worst TIR {1000 * worst.max():.2f}, between stations usually "
        f"{1000 * np.median([o.between_in for o in told]):.1f} thou"
    )


def main(arguments: list[str]) -> None:
    """Print the figures."""
    shafts = int(arguments[0]) if arguments else 500
    names = arguments[1:] or list(SCENARIOS)
    for name in names:
        scenario = SCENARIOS[name]
        print(f"{name}: {scenario.title}; {shafts} shafts")
        ways = {
            "fitted bends": straighten,
            "chasing": chase,
            "chasing, dial slid": lambda bench: chase(bench, slide=True),
            "chasing, lean": lambda bench: chase(bench, lean=True),
        }
        told = {way: run(scenario, shafts, function) for way, function in ways.items()}
        for way, outcomes in told.items():
            print(describe(way, outcomes, scenario.setup.limit_in))
        ours = told["fitted bends"]
        for rival in list(told)[1:]:
            hits = sum(o.hits for o in ours) / sum(o.hits for o in told[rival])
            minutes = sum(o.minutes for o in ours) / sum(o.minutes for o in told[rival])
            print(f"  against {rival}: hits {hits:.1%}, minutes {minutes:.1%}", flush=True)


if __name__ == "__main__":
    main(sys.argv[1:])
