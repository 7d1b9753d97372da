"""How well bends are found: right number, station error, interval, by kind of shaft and sweep.

    python -m tests.bench.bends --n 1000 --seed 1

The first row is the target of the design: 8 marks, 0.0005 dial, stations every 6 in, 1 to 3 sharp
bends of 2 to 10 mrad at least two stations apart; lengths, rollers, repeatability (0.0002 to
0.0003) random. Targets: right number in 97 %, median error under 0.03 in, interval right in 93
to 97 %. The other rows change one thing. Every sweep goes the whole way: readings as a dial
shows them, `core.runout.station_fit.fit_station` of each station, `core.bends.find.find_bends` of
the line.
"""

from __future__ import annotations

import argparse
import time
from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np

from core.bends.find import BendReport, find_bends
from core.demo.simulate import Blocked, TrueBend, TrueBow, TrueShaft, read_sweep
from core.runout.line import ShaftLine
from core.runout.station_fit import fit_station

TURN = 2 * np.pi


@dataclass(frozen=True)
class Case:
    """One kind of shaft and sweep."""

    name: str
    marks: int = 8
    spacing_in: float = 6.0
    angle_rad: tuple[float, float] = (0.002, 0.010)
    end_gaps: float = 1.0
    """Bends stay this many gaps inside the first and last station."""
    jitter_in: float = 0.0
    repeatability_in: tuple[float, float] = (0.0002, 0.0003)
    told: bool = False
    """True when the repeatability is told to the fit."""
    keyway_in: float = 0.0
    """Length of a keyway from the far end that blocks the plunger."""
    to_and_fro: int = 0
    """This many bends in one plane, each against the one before, on a shaft of 120 in."""


CASES = (
    Case("as in the design"),
    Case("repeatability told", told=True),
    Case("repeatability 0.0005, not told", repeatability_in=(0.0005, 0.0005)),
    Case("repeatability nil", repeatability_in=(0.0, 0.0)),
    Case("bends up to the end stations", end_gaps=0.0),
    Case("uneven stations", jitter_in=1.5),
    Case("16 marks", marks=16),
    Case("6 marks", marks=6),
    Case("stations every 12 in", spacing_in=12.0),
    Case("small bends, 0.2 to 1 mrad", angle_rad=(0.0002, 0.001)),
    Case("large bends, 10 to 30 mrad", angle_rad=(0.010, 0.030)),
    Case("keyway on the last 24 in", keyway_in=24.0),
    *(Case(f"{count} bends to and fro in one plane", to_and_fro=count) for count in (4, 5, 6, 7)),
)


def draw(case: Case, rng: np.random.Generator) -> tuple[TrueShaft, np.ndarray, tuple[float, float]]:
    """A shaft with 1 to 3 bends, the stations read, and the rollers."""
    if case.to_and_fro:
        return _to_and_fro(case, rng)
    length = rng.uniform(60, 180) * max(1.0, case.spacing_in / 6)
    x = np.arange(rng.uniform(1, case.spacing_in), length - 0.5, case.spacing_in)
    x = np.sort(x + rng.uniform(-case.jitter_in, case.jitter_in, x.size))
    count = int(rng.integers(1, 4))
    inside = case.end_gaps * case.spacing_in
    while True:
        s = np.sort(rng.uniform(x[0] + inside, x[-1] - inside, count))
        if count == 1 or np.diff(s).min() >= 2 * case.spacing_in:
            break
    size, clock = rng.uniform(*case.angle_rad, count), rng.uniform(0, TURN, count)
    bends = tuple(
        TrueBend(float(a), (float(k * np.cos(c)), float(k * np.sin(c))))
        for a, k, c in zip(s, size, clock, strict=True)
    )
    rollers = (rng.uniform(0.08, 0.3) * length, rng.uniform(0.65, 0.92) * length)
    shaft = TrueShaft(length_in=length, bends=bends)
    if case.keyway_in:
        shaft = replace(shaft, keyways=(Blocked(length - case.keyway_in, length, 0.0, 0.5),))
    return shaft, x, rollers


def _to_and_fro(
    case: Case, rng: np.random.Generator
) -> tuple[TrueShaft, np.ndarray, tuple[float, float]]:
    """Bends at least two stations apart, 4 in or more inside the rollers."""
    count, apart = case.to_and_fro, 2 * case.spacing_in
    rollers = (rng.uniform(8.0, 14.0), rng.uniform(104.0, 112.0))
    low, high = rollers[0] + 4.0, rollers[1] - 4.0
    free = np.sort(rng.uniform(0, high - low - apart * (count - 1), count))
    places = low + free + apart * np.arange(count)
    size = rng.uniform(*case.angle_rad, count) * (-1.0) ** np.arange(count)
    clock = rng.uniform(0, TURN)
    bends = tuple(
        TrueBend(float(s), (float(k * np.cos(clock)), float(k * np.sin(clock))))
        for s, k in zip(places, size, strict=True)
    )
    x = np.arange(case.spacing_in / 2, 120.0, case.spacing_in)
    clear = np.abs(x[:, None] - np.array(rollers)).min(axis=1) > 0.75
    return TrueShaft(length_in=120.0, bends=bends), x[clear], rollers


def measure(
    shaft: TrueShaft,
    x: np.ndarray,
    rollers: tuple[float, float],
    case: Case,
    rng: np.random.Generator,
) -> ShaftLine:
    """The line a bench would get of the shaft."""
    repeat = rng.uniform(*case.repeatability_in)
    marks = np.arange(case.marks) * TURN / case.marks
    sweep = read_sweep(shaft, rollers, x, marks, repeatability_in=repeat, rng=rng)
    fits = [
        fit_station(
            s.clock_rad,
            s.reading_in,
            resolution_in=0.0005,
            repeatability_in=repeat if case.told else None,
        )
        for s in sweep.stations
    ]
    return ShaftLine(
        station_in=x,
        ecc_in=np.array([f.ecc_in for f in fits]),
        sigma_in=np.array([f.ecc_sigma_in for f in fits]),
        rollers_in=np.array(rollers),
        cov_in2=np.array([f.ecc_cov_in2 for f in fits]),
    )


@dataclass(frozen=True)
class Score:
    """What came out of a run of one case."""

    right: float
    median_in: float
    held: float
    seconds: float
    closed: float
    """Share of the bends told as resolved."""


def run(case: Case, n: int, seed: int, tell: Callable[[str], None] | None = None) -> Score:
    """Score of `n` shafts of a case."""
    rng = np.random.default_rng(seed)
    right, errors, held, closed, seconds = 0, [], [], [], 0.0
    for i in range(n):
        shaft, x, rollers = draw(case, rng)
        line = measure(shaft, x, rollers, case, rng)
        start = time.perf_counter()
        report = find_bends(line)
        seconds += time.perf_counter() - start
        if len(report.bends) != len(shaft.bends):
            if tell:
                tell(f"{i}: {_words(shaft, report)} stations {x[0]:.1f}..{x[-1]:.1f} {rollers}")
            continue
        right += 1
        for bend, true in zip(report.bends, shaft.bends, strict=True):
            errors.append(abs(bend.station_in - true.station_in))
            held.append(errors[-1] <= bend.station_u95_in)
            closed.append(bend.resolved)
    return Score(
        right / n,
        float(np.median(errors)) if errors else float("nan"),
        float(np.mean(held)) if held else float("nan"),
        seconds / n,
        float(np.mean(closed)) if closed else float("nan"),
    )


def _words(shaft: TrueShaft, report: BendReport) -> str:
    true = [
        (round(b.station_in, 2), round(1e3 * float(np.hypot(*b.kappa_rad)), 2)) for b in shaft.bends
    ]
    found = [
        (round(b.station_in, 2), round(b.station_u95_in, 2), round(1e3 * b.angle_rad, 2), b.kind)
        for b in report.bends
    ]
    return f"true {true} found {found}"


def bows(n: int, seed: int, size_rad: tuple[float, float], with_bend: bool) -> tuple[float, float]:
    """Share of bowed shafts told as one bow (plus the bend), and median error of its ends."""
    rng = np.random.default_rng(seed)
    case = Case("bow")
    good, errors = 0, []
    for _ in range(n):
        shaft, x, rollers = draw(case, rng)
        begin = rng.uniform(x[0], x[-1] - 30)
        end = rng.uniform(begin + 24, min(begin + 72, x[-1]))
        k, clock = rng.uniform(*size_rad), rng.uniform(0, TURN)
        bow = TrueBow(begin, end, (float(k * np.cos(clock)), float(k * np.sin(clock))))
        apart = [b for b in shaft.bends[:1] if not begin - 12 < b.station_in < end + 12]
        bends = tuple(apart) if with_bend else ()
        line = measure(replace(shaft, bends=bends, bows=(bow,)), x, rollers, case, rng)
        report = find_bends(line)
        if report.bow is not None and len(report.bends) == 1 + len(bends):
            good += 1
            errors += [abs(report.bow.from_in - begin), abs(report.bow.to_in - end)]
    return good / n, float(np.median(errors)) if errors else float("nan")


def false_bends(n: int, seed: int) -> float:
    """Share of straight shafts on which a bend is told."""
    rng = np.random.default_rng(seed)
    case = Case("straight")
    told = 0
    for _ in range(n):
        shaft, x, rollers = draw(case, rng)
        line = measure(replace(shaft, bends=()), x, rollers, case, rng)
        told += bool(find_bends(line).bends)
    return told / n


def one_gap(n: int, seed: int) -> tuple[float, float]:
    """Two corners in one gap: share told as one, and share of those told as a region."""
    rng = np.random.default_rng(seed)
    case = Case("one gap")
    one, region = 0, 0
    for _ in range(n):
        shaft, x, rollers = draw(case, rng)
        gap = int(rng.integers(2, x.size - 3))
        s = np.sort(rng.uniform(x[gap] + 0.3, x[gap + 1] - 0.3, 2))
        k, c = rng.uniform(0.002, 0.010, 2), rng.uniform(0, TURN, 2)
        bends = tuple(
            TrueBend(float(s[j]), (float(k[j] * np.cos(c[j])), float(k[j] * np.sin(c[j]))))
            for j in range(2)
        )
        report = find_bends(measure(replace(shaft, bends=bends), x, rollers, case, rng))
        one += len(report.bends) == 1
        region += len(report.bends) == 1 and not report.bends[0].resolved
    return one / n, region / max(one, 1)


def main() -> None:
    """Print the table."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--n", type=int, default=300)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--only", type=int, default=None, help="only the first so many cases")
    parser.add_argument("--wrong", action="store_true", help="print the shafts counted wrong")
    args = parser.parse_args()
    print(f"{'case':34}  right   median    95 %    resolved  time")
    for case in CASES[: args.only]:
        score = run(case, args.n, args.seed, print if args.wrong else None)
        print(
            f"{case.name:34} {100 * score.right:5.1f} %  {score.median_in:.4f} in"
            f" {100 * score.held:5.1f} % {100 * score.closed:6.1f} %  {1e3 * score.seconds:.1f} ms",
            flush=True,
        )
    if args.only is not None:
        return
    for name, size in (("bow, 2 to 8 mrad", (0.002, 0.008)), ("bow, 0.5 to 2 mrad", (5e-4, 2e-3))):
        for with_bend in (False, True):
            good, error = bows(args.n, args.seed, size, with_bend)
            extra = " and a bend apart" if with_bend else ""
            print(f"{name + extra:40} told so {100 * good:5.1f} %, ends within {error:.2f} in")
    print(f"straight shaft: a bend told on {100 * false_bends(args.n, args.seed):.2f} %")
    one, region = one_gap(args.n, args.seed)
    print(f"two corners in one gap: told as one {100 * one:.1f} %, a region {100 * region:.1f} %")


if __name__ == "__main__":
    main()
