"""How often a riding area over its limit is called true, near the limit.

Run: python -m tests.bench.verdicts [--seed N] [--n N]

Each trial: a 120 in shaft with one to three bends scaled so that the true worst TIR in the middle
riding area (stations in it every 3 in) is the limit times a factor; a whole sweep is simulated
(0.5 thou dial, repeatability 0.2 thou, 8 marks or a partial roll) and judged by both figures. Wrong
= called true at or over the limit.

A second table is of shafts that are out of round, each piece of 6 in for itself, with a worst bend
part anywhere from 0.15 to 1.1 of the limit, read at 8 and at 16 marks: how many areas called true
swing over the limit, and how many that do not are called so, against a verdict by the bend alone.
"""

from __future__ import annotations

import argparse
from collections import Counter
from dataclasses import replace

import numpy as np

from core.analysis.area_verdicts import judge_areas
from core.demo.simulate import Ovality, TrueBend, TrueShaft, read_sweep
from core.runout.harmonics import TURN
from core.runout.sweep_fit import fit_sweep
from core.runout.swing import full_turn
from core.runout.verdict import Area, Rule

LIMIT_IN = 0.002
ROLLERS = (18.0, 102.0)
AREA = Area("strut bearing", "bearing", 55.0, 67.0, LIMIT_IN)
STATIONS = (
    4,
    10,
    16,
    22,
    28,
    34,
    40,
    46,
    52,
    55,
    58,
    61,
    64,
    67,
    70,
    76,
    82,
    88,
    94,
    100,
    106,
    112,
)
FACTORS = (0.5, 0.7, 0.8, 0.9, 0.95, 1.0, 1.05, 1.1, 1.2, 1.3, 1.5)
ROLLS = ((315, 45), (225, 45), (330, 30))


def one_shaft(factor: float, rng: np.random.Generator) -> TrueShaft:
    """A shaft whose worst true TIR in the area is `factor` times the limit."""
    spots = rng.uniform(20, 100, rng.integers(1, 4))
    kappas = rng.normal(0, 0.001, (spots.size, 2))
    inside = np.linspace(AREA.from_in, AREA.to_in, 97)

    def shaft(scale: float) -> TrueShaft:
        bends = tuple(
            TrueBend(float(s), (float(scale * k[0]), float(scale * k[1])))
            for s, k in zip(spots, kappas, strict=True)
        )
        return TrueShaft(120.0, bends=bends)

    return shaft(factor * LIMIT_IN / float(shaft(1.0).tir_in(inside, ROLLERS).max()))


def words(
    factor: float,
    n: int,
    seed: int,
    *,
    rule: Rule = "guarded",
    roll: tuple[float, float] | None = None,
) -> Counter[str]:
    """Verdict words over n shafts."""
    rng = np.random.default_rng(seed)
    count: Counter[str] = Counter()
    for _ in range(n):
        span, step = roll or ROLLS[rng.integers(len(ROLLS))]
        marks = np.radians(np.arange(0, span + 1e-6, step))
        sweep = read_sweep(
            one_shaft(factor, rng), ROLLERS, STATIONS, marks, rng=rng, repeatability_in=0.0002
        )
        fit = fit_sweep(sweep)
        count[judge_areas([AREA], fit.line, fits=fit.fits, rule=rule)[0].word] += 1
    return count


def out_of_round(sigma_in: float, marks: int, n: int, seed: int) -> tuple[int, int, int, int]:
    """Called true; of these over the limit by swing; rightly true; rightly true by bend alone."""
    rng = np.random.default_rng(seed)
    clock = np.arange(marks) * TURN / marks
    called = wrong = right = by_bend = 0
    for _ in range(n):
        parts = rng.normal(0, sigma_in, (20, 2))
        size, high = np.hypot(*parts.T), np.arctan2(parts[:, 1], parts[:, 0]) / 2
        pieces = tuple(
            Ovality(6.0 * k, 6.0 * k + 6.0, float(size[k]), float(high[k] % np.pi))
            for k in range(20)
        )
        shaft = replace(one_shaft(float(rng.uniform(0.15, 1.1)), rng), ovality=pieces)
        sweep = read_sweep(shaft, ROLLERS, STATIONS, clock, rng=rng, repeatability_in=0.0002)
        fit = fit_sweep(sweep)
        x = np.linspace(AREA.from_in, AREA.to_in - 1e-6, 97)
        theta = np.zeros((x.size, 6))
        theta[:, :2] = shaft.centre_in(x, ROLLERS)
        theta[:, 2:4] = parts[(x // 6.0).astype(int)]
        true = bool(full_turn(theta).max() < LIMIT_IN)
        word = judge_areas([AREA], fit.line, fits=fit.fits)[0].word == "true"
        called += word
        wrong += word and not true
        right += word and true
        by_bend += true and judge_areas([AREA], fit.line)[0].word == "true"
    return called, wrong, right, by_bend


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--n", type=int, default=150)
    options = parser.parse_args()
    for rule in ("guarded", "simple"):
        print(f"{rule}: TIR over limit -> true / too close to call / not true")
        wrong = at_or_over = 0
        for k, factor in enumerate(FACTORS):
            count = words(factor, options.n, options.seed + k, rule=rule)
            row = [count[w] / options.n for w in ("true", "too close to call", "not true")]
            print(f"  {factor:4.2f}   " + "  ".join(f"{share:6.3f}" for share in row))
            if factor >= 1:
                wrong += count["true"]
                at_or_over += options.n
        print(f"  wrong 'true' at or over the limit: {wrong / at_or_over:.4f}")
    for sigma_thou in (0.2, 0.4, 0.8):
        for marks in (8, 16):
            of = out_of_round(sigma_thou / 1000, marks, 2 * options.n, options.seed)
            called, wrong, right, by_bend = of
            print(
                f"ovality sd {sigma_thou:g} thou, {marks} marks: called true {called}, over by"
                f" swing {wrong} ({wrong / max(1, called):.3f}); rightly true {right}, by the bend"
                f" alone {by_bend}",
                flush=True,
            )


if __name__ == "__main__":
    main()
