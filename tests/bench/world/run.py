"""Work many shafts of the second world and print the figures.

python -m tests.bench.world.run --seed 7 --n 150 --kind zones
python -m tests.bench.world.run --seed 7 --n 300 --kind zone4 zone8 --first
"""

from __future__ import annotations

import argparse
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from tests.bench.world.ends import Outcome
from tests.bench.world.first_sweep import FirstSweep, first_sweep
from tests.bench.world.kinds import KINDS, make
from tests.bench.world.loop import (
    ASKED,
    Habits,
    Sweeper,
    every_station,
    stations_that_tell,
    straighten,
)


@dataclass(frozen=True)
class Figures:
    """The closed loop summed over shafts."""

    n: int
    hits: float
    reads: float
    first_reads: float
    minutes: float
    contradicted: float
    capped: int
    stuck: int
    """Nothing more to hit, an area not true."""
    over: int
    """Finished, a station truly over."""
    areas: int
    words: Counter[str]
    true: int
    false_bend: int
    """Called true, 2|e| at its limit or over somewhere in the area."""
    false_station: int
    """The same at a station."""
    false_swing: int
    """Called true, the swing of the dial at its limit or over somewhere."""
    false_swing_silent: int
    rightly_true: int
    """Called true, both figures under the limit everywhere."""
    rightly_by_stations: int
    """Every station true by itself, both figures under the limit everywhere."""
    false_by_stations: int
    """Every station true by itself, one of the figures not under the limit everywhere."""
    length_over_in: float
    """Median length over the limit of areas falsely called true."""
    straight: tuple[int, int, int]
    """Areas whose bend part is called inside, and is everywhere; falsely called so; and how many a
    look at the stations alone calls so rightly."""


def summed(outcomes: Sequence[Outcome]) -> Figures:
    """Figures of many shafts."""
    areas = [area for o in outcomes for area in o.areas]
    true = [a for a in areas if a.word == "true"]
    false = [a for a in true if a.bend_tir_in >= a.limit_in]
    swung = [a for a in true if a.swing_in >= a.limit_in]
    inside = [a for a in areas if max(a.bend_tir_in, a.swing_in) < a.limit_in]
    by_stations = sum(a.by_stations for a in areas)
    rightly_by_stations = sum(a.by_stations for a in inside)

    def mean(name: str) -> float:
        return float(np.mean([getattr(o, name) for o in outcomes]))

    return Figures(
        n=len(outcomes),
        hits=mean("hits"),
        reads=mean("reads"),
        first_reads=mean("first_reads"),
        minutes=mean("minutes"),
        contradicted=mean("contradicted"),
        capped=sum(o.ending == "cap" for o in outcomes),
        stuck=sum(o.stuck for o in outcomes),
        over=sum(o.ending == "finished" and o.truly_over for o in outcomes),
        areas=len(areas),
        words=Counter(a.word for a in areas),
        true=len(true),
        false_bend=len(false),
        false_station=sum(a.at_station_in >= a.limit_in for a in true),
        false_swing=len(swung),
        false_swing_silent=sum(not a.noted for a in swung),
        rightly_true=sum(a.word == "true" for a in inside),
        rightly_by_stations=rightly_by_stations,
        false_by_stations=by_stations - rightly_by_stations,
        length_over_in=float(np.median([a.over_in for a in false])) if false else 0.0,
        straight=(
            sum(a.straight and a.bend_tir_in < a.limit_in for a in areas),
            sum(a.straight and a.bend_tir_in >= a.limit_in for a in areas),
            sum(a.by_stations and a.bend_tir_in < a.limit_in for a in areas),
        ),
    )


def words(f: Figures) -> str:
    """A few lines for one kind."""
    share, kept = 100 / max(f.true, 1), f.rightly_true / max(f.rightly_by_stations, 1)
    return "\n".join(
        (
            f"  hits {f.hits:.2f}  reads {f.reads:.1f} (first sweep {f.first_reads:.1f})  minutes "
            f"{f.minutes:.0f}  contradicted {f.contradicted:.2f}  over the cap {f.capped}",
            f"  nothing more to hit but not true {f.stuck}; finished with a station truly over "
            f"{f.over} of {f.n}",
            f"  areas {f.areas}: " + ", ".join(f"{w} {c}" for w, c in f.words.most_common()),
            f"  called true {f.true}: false anywhere by 2|e| {f.false_bend} "
            f"({share * f.false_bend:.1f} %, length over {f.length_over_in:.1f} in), at a station "
            f"{f.false_station}, by swing {f.false_swing} ({share * f.false_swing:.1f} %, silent "
            f"{f.false_swing_silent})",
            f"  rightly true {f.rightly_true}, {kept:.3f} of what a look at the stations alone "
            f"calls so: {f.rightly_by_stations} rightly, {f.false_by_stations} falsely",
            f"  bend part alone: {f.straight[0]} rightly, "
            f"{f.straight[0] / max(f.straight[2], 1):.3f} of {f.straight[2]} by the stations; "
            f"{f.straight[1]} falsely ({100 * f.straight[1] / max(sum(f.straight[:2]), 1):.1f} %)",
        )
    )


def first_words(found: Sequence[FirstSweep]) -> str:
    """A line for the first sweeps of one kind."""
    off = [x for f in found for x in f.off_in] or [float("nan")]
    inside = [x for f in found for x in f.inside]
    n = len(found)
    wrong, silent = sum(f.wrong for f in found), sum(f.silent for f in found)
    by_count = {c: [f.right_number for f in found if f.bends == c] for c in range(9)}
    counts = ", ".join(f"{c}: {np.mean(r):.3f} of {len(r)}" for c, r in by_count.items() if r)
    return (
        f"  right number {np.mean([f.right_number for f in found]):.3f}  place median "
        f"{np.median(off):.3f} p95 {np.quantile(off, 0.95):.2f} in  interval right "
        f"{np.mean(inside or [np.nan]):.3f} ({len(inside)})  wrong {wrong} "
        f"({100 * wrong / n:.1f} %)  silent {silent} ({100 * silent / n:.1f} %)\n"
        f"  right number by the number of bends: {counts}"
    )


def work(
    kind: str, seed: int, n: int, habits: Habits = ASKED, first: Sweeper = every_station
) -> list[Outcome]:
    """Outcomes of worlds 0 to n - 1 of a kind."""
    return [straighten(make(kind, seed, index), first=first, habits=habits) for index in range(n)]


def main() -> None:
    """Print the figures of one or more kinds."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--seed", type=int, required=True)
    parser.add_argument("--n", type=int, default=150)
    parser.add_argument("--kind", nargs="+", default=["kinks", "zones"], choices=list(KINDS))
    parser.add_argument("--first", action="store_true", help="first sweeps alone, no hits")
    parser.add_argument("--repeat", action="store_true", help="read the first station again")
    parser.add_argument("--half-turn", action="store_true", help="test the wheels at the end")
    parser.add_argument(
        "--asked", action="store_true", help="at the end also the stations that verdicts ask for"
    )
    parser.add_argument("--lean", action="store_true", help="as received only where it tells")
    args = parser.parse_args()
    habits = Habits(repeat_first=args.repeat, half_turn=args.half_turn, read_asked=3 * args.asked)
    first = stations_that_tell if args.lean else every_station
    for kind in args.kind:
        print(f"{kind}: {KINDS[kind][0]}; seed {args.seed}, n {args.n}", flush=True)
        if args.first:
            print(first_words([first_sweep(make(kind, args.seed, k)) for k in range(args.n)]))
        else:
            print(words(summed(work(kind, args.seed, args.n, habits, first))), flush=True)


if __name__ == "__main__":
    main()
